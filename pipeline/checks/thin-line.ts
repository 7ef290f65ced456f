import { type CheckLimitName, limitSource } from '../../config/check-limits/index.js';
import type { PrintSpec } from '../../config/print-spec.js';
import { mmToPx, pxToMm, type SizePx } from '../../config/units.js';
import type { LineFaults } from '../line-faults/measure-line.js';
import type { Piece } from '../line-faults/pieces.js';
import type { ThinStrokes } from '../line-faults/thin-strokes.js';
import type { Noticed } from '../model/findings.js';
import { type MeasuredBox, type PlacedPicture, placesOf } from '../model/places.js';

/** A line plate that is looked at. */
export interface CheckedLine {
  /** Its pixels. */
  readonly size: SizePx;
  readonly spec: Pick<PrintSpec, 'checks' | 'linePpi' | 'trim'>;
}

/** So much of it, in millimetres, and such a share of all slender line, is told; more asks for a look. Own choice, tried on drawn pages. */
const told = { leastMm: 20, leastShare: 0.01 };
const warned = { leastMm: 100, leastShare: 0.2 };

/** Strokes this near to each other are told as one place, in millimetres. Own choice. */
const placeMm = 10;

/** Says which line is so thin that a press may not hold it, black on paper and white in black. */
export function noticeThinLine(faults: LineFaults, on: CheckedLine): Noticed[] {
  const black = noticeStrokes(faults.thinBlack, 'thinLineMm', on, {
    code: 'line-thin',
    message: 'Black line is thinner than a press holds over its whole length: it may break up',
    remedy:
      'Draw these strokes heavier, or let the printer say what the press holds (checks: thinLineMm in job.yaml).',
  });
  const white = noticeStrokes(faults.thinWhite, 'thinWhiteLineMm', on, {
    code: 'line-thin-white',
    message: 'White line in black is thinner than a press holds over its whole length: it may fill in',
    remedy:
      'Draw these gaps wider, or let the printer say what the press holds (checks: thinWhiteLineMm in job.yaml).',
  });
  return [...black, ...white];
}

function noticeStrokes(
  { strokes, thinPx, slenderPx }: ThinStrokes,
  name: CheckLimitName,
  on: CheckedLine,
  words: Pick<Noticed, 'code' | 'message' | 'remedy'>,
): Noticed[] {
  const { spec } = on;
  const thinMm = pxToMm(thinPx, spec.linePpi);
  const reaches = (level: typeof told) => thinMm >= level.leastMm && thinPx >= level.leastShare * slenderPx;
  if (!reaches(told)) return [];
  const places = placesOf(grouped(strokes, spec.linePpi), pictureOf(on));
  const widths = strokes.map(({ markedAreaPx, markedLengthPx }) => markedAreaPx / markedLengthPx);
  const thinnestMm = pxToMm(Math.min(...widths), spec.linePpi);
  return [
    {
      ...words,
      severity: reaches(warned) ? 'warn' : 'note',
      measured: `${Math.round(thinMm)} mm of it, down to some ${thinnestMm.toFixed(2)} mm wide`,
      limit: `at least ${spec.checks[name]} mm wide; up to ${told.leastMm} mm of thinner line passes`,
      source: limitSource(spec.checks, name),
      ...(places === undefined ? {} : { places }),
    },
  ];
}

/** The picture that boxes of a line plate lie on. */
export function pictureOf({ size, spec }: CheckedLine): PlacedPicture {
  return { size, spec, ppi: spec.linePpi };
}

/** Strokes by where they are, the most of them first. */
function grouped(strokes: readonly Piece[], ppi: number): MeasuredBox[] {
  const sidePx = mmToPx(placeMm, ppi);
  const groups = new Map<string, Piece[]>();
  for (const stroke of strokes) {
    const cell = [stroke.left + stroke.right, stroke.top + stroke.bottom].map((twice) =>
      Math.floor(twice / 2 / sidePx),
    );
    groups.set(cell.join(), [...(groups.get(cell.join()) ?? []), stroke]);
  }
  const lengthOf = (group: readonly Piece[]) => group.reduce((sum, one) => sum + one.markedLengthPx, 0);
  return [...groups.values()]
    .sort((a, b) => lengthOf(b) - lengthOf(a))
    .map((group) => {
      const left = Math.min(...group.map((one) => one.left));
      const top = Math.min(...group.map((one) => one.top));
      return {
        left,
        top,
        width: Math.max(...group.map(({ right }) => right)) - left,
        height: Math.max(...group.map(({ bottom }) => bottom)) - top,
        measured: `${pxToMm(lengthOf(group), ppi).toFixed(1)} mm`,
      };
    });
}
