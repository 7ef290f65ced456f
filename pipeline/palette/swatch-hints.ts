import { swatchTitle } from '../../config/job.js';
import type { Noticed } from '../model/findings.js';
import { placesAround } from '../model/places.js';
import { hexOfRgb } from './oklab.js';
import type { Sighting } from './swatch-sightings.js';

/** What is said of swatches that have drifted: notes for the record, which hold nothing back. */

/** Swatches that are named in one hint; of more there is a count. */
const mostNamed = 6;

/** Hints on pages with swatches that have drifted, by page id: one a page. */
export function noticeDrift(sightings: readonly Sighting[]): [string, Noticed][] {
  const drifted = new Map<string, Sighting[]>();
  for (const one of sightings) {
    if (one.verdict === 'drifted') drifted.set(one.page, [...(drifted.get(one.page) ?? []), one]);
  }
  return [...drifted].map(([page, own]) => [page, drift(own.sort((a, b) => farOff(b) - farOff(a)))]);
}

/** How many times the tolerance. */
const farOff = ({ driftDe = 0, swatch }: Sighting) => driftDe / swatch.toleranceDe;

const off = ({ driftDe = 0 }: Sighting) => driftDe.toFixed(1);

function drift(own: readonly Sighting[]): Noticed {
  const named = own.slice(0, mostNamed).map((one) => `${swatchTitle(one.swatch)} by ${off(one)}`);
  const more = own.length > mostNamed ? ` and ${own.length - mostNamed} more` : '';
  const tolerances = [...new Set(own.map(({ swatch }) => swatch.toleranceDe))].sort((a, b) => a - b);
  const places = placesAround(
    own.map((one) => ({
      xMm: one.xMm,
      yMm: one.yMm,
      measured: `${swatchTitle(one.swatch)}: ${measured(one)}`,
    })),
  );
  return {
    code: 'swatch-drifted',
    severity: 'note',
    message: `A colour that seems to be a swatch of this issue is off it: ${named.join('; ')}${more}`,
    measured: own.slice(0, mostNamed).map(measured).join('; '),
    limit: `CIEDE2000 of at most ${tolerances.join(' or ')}, as the swatch says`,
    source: 'job.yaml: swatches; own choice where it gives no tolerance',
    remedy:
      'Pick the colour from its swatch again; nothing to do where another colour or another light is meant.',
    ...(places === undefined ? {} : { places }),
  };
}

function measured(one: Sighting): string {
  const from = one.light === 'dark' ? 'the other dark pages of the scene' : 'its swatch';
  return `${hexOfRgb(one.rgb)} on ${one.sharePercent.toFixed(1)} % is CIEDE2000 ${off(one)} from ${from}`;
}
