import type { FidelityLimits, InkSaving } from '../../config/print-spec.js';
import type { Fidelity } from '../model/fidelity.js';
import type { Noticed } from '../model/findings.js';
import type { InkSaved } from '../model/page-result.js';
import { placesAround } from '../model/places.js';

/** So long may edges be in all that nobody painted, in millimetres: a few stray pixels are no edge. Own choice. */
const edgeLimitMm = 2;

/**
 * Says where print is not what was painted, beside what the trade wants of black line.
 * @param fidelity as measured; undefined, for colour that came as CMYK, says nothing
 */
export function noticeDiffering(fidelity: Fidelity | undefined, limits: FidelityLimits): Noticed[] {
  if (fidelity === undefined) return [];
  const { rest, edges } = fidelity;
  const hasEdges = edges.lengthMm > edgeLimitMm;
  if (rest.p999De <= limits.warnDe && !hasEdges) return [];
  const measured = [
    `CIEDE2000 beside black line: mean ${rest.meanDe}, 95 % within ${rest.p95De}, 99.9 % within ${rest.p999De}, most ${rest.mostDe}`,
    ...(hasEdges ? [`some ${Math.ceil(edges.lengthMm)} mm of edges that nobody painted`] : []),
  ];
  return [
    {
      code: 'print-differs',
      severity: rest.p999De > limits.stopDe ? 'stop' : 'warn',
      message:
        'In places the page does not print as it was painted, beyond what black line and the ink limit ask for',
      measured: measured.join('; '),
      ...placesOf(fidelity),
      limit: `99.9 % within ${limits.warnDe} (stops above ${limits.stopDe}), ${edgeLimitMm} mm of edges above ${limits.edgeDe}`,
      source: 'our own choice, print.fidelity in job.yaml',
      remedy:
        'Look at the picture of the differences beside the proof; drop the inks as a file of their own, or switch lifting off (line: lift: false) if the page is painted.',
    },
  ];
}

function placesOf({ places }: Fidelity): Pick<Noticed, 'places'> {
  const boxed = placesAround(
    places.map(({ xMm, yMm, mostDe }) => ({ xMm, yMm, measured: `CIEDE2000 ${mostDe}` })),
  );
  return boxed === undefined ? {} : { places: boxed };
}

/**
 * Says how much ink was saved on a page, and how far its colours moved by it.
 * @param saved undefined, where nothing was to be saved, says nothing
 */
export function noticeSaved(saved: InkSaved | undefined, { mostDe, skinDe }: InkSaving): Noticed[] {
  if (saved === undefined) return [];
  return [
    {
      code: 'ink-saved',
      severity: 'note',
      message: 'Black prints grey that cyan, magenta and yellow would have made',
      measured: `${saved.savedPercent} % less ink in the colour; CIEDE2000 up to ${saved.mostDe}, 99.9 % within ${saved.p999De}`,
      limit: `CIEDE2000 of ${mostDe}, light skin ${skinDe}, before the ink limit and rounding`,
      source: 'print.inkSaving in job.yaml',
      remedy:
        'Nothing, where the printer wants it so; otherwise switch it off (inkSaving: { enabled: false }).',
    },
  ];
}
