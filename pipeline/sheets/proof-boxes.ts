import { type PrintSpec, trimBoxPx } from '../../config/print-spec.js';
import { mmToPx } from '../../config/units.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Severity } from '../model/findings.js';
import type { NumberedPlace } from '../model/places.js';
import { box, type Canvas, canvasOf, drawWithin, fill, line, type PxBox, place, text } from './drawing.js';
import { severityMarks } from './marks.js';
import { textWidth } from './type.js';

/** Findings as numbered boxes over a page: in the colour of their severity, white outside it, so that they show on any art. */

/** What boxes are drawn on. */
export interface BoxedPage {
  /** Where the page picture lies on the canvas: trim plus bleed. */
  readonly page: PxBox;
  readonly spec: Pick<PrintSpec, 'trim'>;
  /** Pixels per inch of the page picture. */
  readonly ppi: number;
  /** Height of the slug's text, the measure of labels. */
  readonly em: number;
  /** Width of guide lines. */
  readonly hair: number;
}

/** A box is never smaller than this, in heights of the text: what is about a speck must be seen. Own choice. */
const leastSide = 1.1;

/** What a box stays away from what it is about, in guide lines. */
const awayHairs = 3;

/** Draws the boxes, each with the number of its finding at its corner; the gravest come last, over the others. */
export async function drawBoxes(
  canvas: Canvas,
  places: readonly NumberedPlace[],
  on: BoxedPage,
  arena: PageArena,
): Promise<void> {
  const labels = await labelsOf(places, on.em, arena);
  const taken: TakenLabel[] = [];
  for (const one of places.toReversed()) {
    const frame = frameOf(one, on);
    const { severity, number } = one;
    outline(canvas, grown(frame, on.hair), on.hair, [255, 255, 255]);
    outline(canvas, frame, 2 * on.hair, rgbOf(severity));
    const label = labels.get(number);
    if (label === undefined) continue;
    const at = roomFor(label, frame, { number, taken, canvas });
    if (at === undefined) continue;
    taken.push(at);
    place(canvas, label, at.left, at.top);
  }
}

/** Where a label stands already. */
interface TakenLabel extends PxBox {
  readonly number: number;
}

/** A corner of a box where its label covers no other; none where one of the same number says it already. */
function roomFor(
  { width, height }: Canvas,
  frame: PxBox,
  { number, taken, canvas }: { number: number; taken: readonly TakenLabel[]; canvas: Canvas },
): TakenLabel | undefined {
  const [above, below] = [frame.top - height, frame.top + frame.height];
  const right = frame.left + frame.width - width;
  const corners = [
    { left: frame.left, top: above < 0 ? frame.top : above },
    { left: frame.left, top: below },
    { left: right, top: above < 0 ? frame.top : above },
    { left: right, top: below },
  ];
  const places = corners.map(({ left, top }) => {
    const inside = Math.min(Math.max(0, left), canvas.width - width);
    return { left: inside, top: Math.min(top, canvas.height - height), width, height, number };
  });
  const isFree = (one: PxBox) => !taken.some((other) => overlap(one, other));
  const free = places.find(isFree);
  if (free !== undefined) return free;
  const isSaid = taken.some((other) => other.number === number && overlap(places[0], other));
  return isSaid ? undefined : places[0];
}

function overlap(one: PxBox, other: PxBox): boolean {
  const beside = one.left >= other.left + other.width || other.left >= one.left + one.width;
  return !beside && one.top < other.top + other.height && other.top < one.top + one.height;
}

/** Where a place lies on the canvas, in whole pixels. */
function frameOf({ place: { xMm, yMm, widthMm, heightMm } }: NumberedPlace, on: BoxedPage): PxBox {
  const { page, spec, ppi, em, hair } = on;
  const trim = trimBoxPx(page, spec, ppi);
  const span = (fromMm: number, lengthMm: number, start: number) => {
    const middle = start + mmToPx(fromMm + lengthMm / 2, ppi);
    const length = Math.max(leastSide * em, mmToPx(lengthMm, ppi) + 2 * awayHairs * hair);
    return { from: Math.round(middle - length / 2), length: Math.round(length) };
  };
  const across = span(xMm, widthMm, page.left + trim.left);
  const down = span(yMm, heightMm, page.top + trim.top);
  return { left: across.from, top: down.from, width: across.length, height: down.length };
}

function grown({ left, top, width, height }: PxBox, by: number): PxBox {
  return { left: left - by, top: top - by, width: width + 2 * by, height: height + 2 * by };
}

/** A frame, its strokes inside the box. */
function outline(
  canvas: Canvas,
  { left, top, width, height }: PxBox,
  stroke: number,
  rgb: readonly number[],
): void {
  const bar = (x: number, y: number, across: number, down: number) =>
    fillBar(canvas, { left: x, top: y, width: across, height: down }, rgb);
  bar(left, top, width, stroke);
  bar(left, top + height - stroke, width, stroke);
  bar(left, top, stroke, height);
  bar(left + width - stroke, top, stroke, height);
}

/** Fills what of a box lies on the canvas. */
function fillBar(canvas: Canvas, { left, top, width, height }: PxBox, rgb: readonly number[]): void {
  const first = Math.max(0, left);
  const last = Math.min(canvas.width, left + width);
  for (let y = Math.max(0, top); y < Math.min(canvas.height, top + height); y++) {
    for (let at = (y * canvas.width + first) * 3; at < (y * canvas.width + last) * 3; at += 3) {
      canvas.data.set(rgb, at);
    }
  }
}

/** The numbers, white on the colour of their severity, each drawn once. */
async function labelsOf(
  places: readonly NumberedPlace[],
  em: number,
  arena: PageArena,
): Promise<ReadonlyMap<number, Canvas>> {
  const labels = new Map<number, Canvas>();
  for (const { number, severity } of places) {
    if (labels.has(number)) continue;
    const look = { sizePx: em, bold: true, fill: '#ffffff' };
    const width = Math.ceil(textWidth(String(number), look) + 0.7 * em);
    const label = canvasOf(width, Math.ceil(1.3 * em), 255, arena);
    const window = { left: 0, top: 0, width, height: label.height };
    const shapes = [
      fill(box(0, 0, width, label.height), severityMarks[severity].colour),
      text(String(number), 0.35 * em, em, look),
    ];
    await drawWithin(label, [{ shapes, window }], arena);
    labels.set(number, label);
  }
  return labels;
}

/** A box as the legend shows it. */
export function boxSample(severity: Severity, x: number, y: number, em: number, hair: number): string {
  const { colour } = severityMarks[severity];
  const look = { sizePx: 0.8 * em, bold: true, fill: '#ffffff' };
  return (
    fill(box(x, y - 0.8 * em, 0.9 * em, em), colour) +
    text('1', x + 0.25 * em, y, look) +
    line(box(x + 0.9 * em, y - 0.8 * em, 1.5 * em, em), { stroke: colour, width: 2 * hair })
  );
}

function rgbOf(severity: Severity): readonly number[] {
  const { colour } = severityMarks[severity];
  return [1, 3, 5].map((at) => Number.parseInt(colour.slice(at, at + 2), 16));
}
