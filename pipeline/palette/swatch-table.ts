import type { Swatch } from '../../config/job.js';
import type { Lab } from '../../config/press/ciede2000.js';
import { hexOfRgb } from './oklab.js';
import { onScreen } from './swatch-colours.js';
import type { Sighting } from './swatch-sightings.js';

/** Where swatches appear, as a table (RFC 4180): a line for each swatch on each page, by swatch; one line for a swatch that is on none. */

const columns = [
  'character',
  'swatch',
  'wanted_srgb',
  'wanted_L',
  'wanted_a',
  'wanted_b',
  'tolerance_dE00',
  'page',
  'scene',
  'light',
  'verdict',
  'found_srgb',
  'found_L',
  'found_a',
  'found_b',
  'distance_dE00',
  'light_percent',
  'share_percent',
  'x_mm',
  'y_mm',
] as const;

/** @param sightings in reading order */
export function swatchTable(swatches: readonly Swatch[], sightings: readonly Sighting[]): string {
  const rows = swatches.flatMap((swatch) => {
    const own = sightings.filter((one) => one.swatch === swatch);
    return own.length === 0
      ? [[...wanted(swatch), ...nowhere]]
      : own.map((one) => [...wanted(swatch), ...found(one)]);
  });
  return [columns, ...rows].map((row) => `${row.map(cell).join(',')}\r\n`).join('');
}

function wanted(swatch: Swatch): string[] {
  const { lab, rgb } = onScreen(swatch.colour);
  const { character = '', name, toleranceDe } = swatch;
  return [character, name, hexOfRgb(rgb), ...labCells(lab), String(toleranceDe)];
}

/** Of a swatch that is on no page. */
const nowhere = ['', '', '', 'not seen', ...new Array<string>(9).fill('')];

function found(one: Sighting): string[] {
  return [
    ...[one.page, one.scene ?? '', one.light, one.verdict, hexOfRgb(one.rgb), ...labCells(one.lab)],
    one.distanceDe.toFixed(2),
    one.lightPercent?.toFixed(0) ?? '',
    one.sharePercent.toFixed(2),
    one.xMm.toFixed(1),
    one.yMm.toFixed(1),
  ];
}

/** Hundredths, without a negative nought. */
const labCells = (lab: Lab) => lab.map((value) => (Math.round(value * 100) / 100 + 0).toFixed(2));

/** Names that a table program would take for a formula are kept from it by an apostrophe, as such programs have it. */
function cell(text: string): string {
  const safe = /^[=@\t]|^[+-](?![\d.]+$)/.test(text) ? `'${text}` : text;
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}
