import { limitSource } from '../../config/check-limits/index.js';
import { figureBeside, formatLength, formatMeasured } from '../../config/figures.js';
import { type PrintSpec, trimBoxPx } from '../../config/print-spec.js';
import { type LengthUnit, mmToPx, pxToMm } from '../../config/units.js';
import { measureCopiedBleed } from '../edge-faults/bleed-copies.js';
import { measureFrames } from '../edge-faults/frames.js';
import { measureGutter } from '../edge-faults/gutter.js';
import type { Noticed } from '../model/findings.js';
import { type MeasuredBox, placesOf } from '../model/places.js';
import type { Separation } from '../model/separation.js';

/** What of the print spec the edges are held against. */
export type EdgeSpec = Pick<PrintSpec, 'checks' | 'trim' | 'safeMm' | 'colourPpi'>;

/**
 * Looks at the edges of a finished page: frames that the cut would come close to, bleed that was made from the art, and what a spread
 * loses in the binding. Bleed that is missing is told by itself (bleed.ts), and so is lettering (lettering.ts).
 */
export function noticeEdges(
  composite: Separation,
  spec: EdgeSpec,
  isSpread: boolean,
  units: LengthUnit,
): Noticed[] {
  return [
    ...noticeFrames(composite, spec, units),
    ...noticeCopiedBleed(composite, spec, units),
    ...(isSpread ? noticeGutter(composite, spec, units) : []),
  ];
}

function placesOn(boxes: readonly MeasuredBox[], size: Separation, spec: EdgeSpec) {
  const places = placesOf(boxes, { size, spec, ppi: spec.colourPpi });
  return places === undefined ? {} : { places };
}

function noticeFrames(composite: Separation, spec: EdgeSpec, units: LengthUnit): Noticed[] {
  const { checks, colourPpi, safeMm } = spec;
  if (checks.edgeFramePercent === 0) return [];
  const trim = trimBoxPx(composite, spec, colourPpi);
  // A frame on the safe margin itself is where it belongs; its soft edge may reach a pixel beyond.
  const depthPx = Math.floor(mmToPx(safeMm, colourPpi)) - 2;
  const frames = measureFrames(composite, trim, depthPx, checks.edgeFramePercent, colourPpi);
  if (frames.length === 0) return [];
  const measured = frames.map(({ side, depthPx: depth, percent }) => {
    return `${side} ${formatMeasured(pxToMm(depth, colourPpi), units)} along ${percent.toFixed(0)} %`;
  });
  return [
    {
      code: 'frame-near-trim',
      severity: 'note',
      message:
        'Frames of panels end between the trim and the safe margin: cut a hair off, their margin is uneven',
      measured: measured.join(', '),
      limit: `${formatLength(safeMm, units)} inside the trim, or art through the bleed`,
      source: `print spec: safe; ${limitSource(checks, 'edgeFramePercent')}`,
      remedy: 'Move the frames to the safe margin, or run the art through the bleed.',
      ...placesOn(
        frames.map(({ box }) => box),
        composite,
        spec,
      ),
    },
  ];
}

function noticeCopiedBleed(composite: Separation, spec: EdgeSpec, units: LengthUnit): Noticed[] {
  const { checks, colourPpi } = spec;
  if (checks.copiedBleedMm === 0) return [];
  const trim = trimBoxPx(composite, spec, colourPpi);
  const least = mmToPx(checks.copiedBleedMm, colourPpi);
  const copied = measureCopiedBleed(composite, trim, colourPpi).filter(({ lengthPx }) => lengthPx > least);
  return (['mirrored', 'smeared'] as const).flatMap((kind): Noticed[] => {
    const own = copied.filter((one) => one.kind === kind);
    if (own.length === 0) return [];
    const measured = own.map(
      ({ side, lengthPx }) => `${side} ${formatMeasured(pxToMm(lengthPx, colourPpi), units)}`,
    );
    return [
      {
        code: `bleed-${kind}`,
        severity: 'note',
        message:
          kind === 'mirrored'
            ? 'The bleed is the art inside the trim turned over: cut a hair off, it shows twice'
            : 'The bleed is the last row of the art repeated: cut a hair off, it shows as streaks',
        measured: measured.join(', '),
        limit: `at most ${formatLength(checks.copiedBleedMm, units)} of a side`,
        source: limitSource(checks, 'copiedBleedMm'),
        remedy: 'Paint the art on into the bleed; nothing to do where nobody would notice.',
        ...placesOn(
          own.flatMap(({ boxes }) => boxes),
          composite,
          spec,
        ),
      },
    ];
  });
}

function noticeGutter(composite: Separation, spec: EdgeSpec, units: LengthUnit): Noticed[] {
  const { checks, colourPpi } = spec;
  const { gutterLossMm, gutterDrawnTimes } = checks;
  if (gutterLossMm === 0 || gutterDrawnTimes === 0) return [];
  const { crossedPercent, mostTimes, boxes } = measureGutter(
    composite,
    colourPpi,
    gutterLossMm,
    gutterDrawnTimes,
  );
  if (boxes.length === 0) return [];
  const times = figureBeside(mostTimes, gutterDrawnTimes, 1);
  return [
    {
      code: 'art-in-gutter',
      severity: 'note',
      message: 'Much is drawn right at the fold, where the binding takes it',
      measured: `up to ${times} times as much as on the spread; art crosses ${crossedPercent.toFixed(0)} % of the fold`,
      limit: `${gutterDrawnTimes} times as much within ${formatLength(gutterLossMm, units)} of the fold`,
      source: `gutterLossMm: ${limitSource(checks, 'gutterLossMm')}; gutterDrawnTimes: ${limitSource(checks, 'gutterDrawnTimes')}`,
      remedy: 'Look whether a face or something else that matters lies there; move it off the fold.',
      ...placesOn(boxes, composite, spec),
    },
  ];
}
