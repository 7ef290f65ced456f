import { trimBoxPx } from '../../config/print-spec.js';
import { mmToPx } from '../../config/units.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { NotePlace, StandingNote } from '../model/page-notes.js';
import { type Canvas, circle, type Drawn, drawWithin, fill, line, type PxBox, text } from './drawing.js';
import type { BoxedPage } from './proof-boxes.js';

/**
 * Editors' notes as numbered pins over a page: a head with the note's number, and a stem whose end is the place. Full heads are open
 * notes, hollow ones are answered by a newer version.
 */

/** Set off from the colours of findings; white around it shows it on any art. Own choice. */
const pinColour = '#6a2a9c';
const casing = '#ffffff';

/** Radius of a head, in heights of the text: two digits have room. */
const radius = 0.62;

/** How far the middle of a head stands from its place, in heights of the text: near, and where it is crowded farther out. */
const reaches = [1.5, 2.6];

/** Directions of a stem, in eighths of a turn from upright. */
const turns = [0, 1, 7, 2, 6, 3, 5, 4];

/** More pins than this would hide the page; the list below it has the others too. Own choice. */
const mostPins = 60;

/** Draws a pin for every note that has a place. */
export async function drawPins(
  canvas: Canvas,
  notes: readonly StandingNote[],
  on: BoxedPage,
  arena: PageArena,
): Promise<void> {
  const taken: Head[] = [];
  const drawn: Drawn[] = [];
  for (const note of notes) {
    if (note.place === undefined || drawn.length >= mostPins) continue;
    const tip = tipOf(note.place, on);
    const head = headFor(tip, canvas, taken, on.em);
    taken.push(head);
    drawn.push({ shapes: [pinOf(note, tip, head, on)], window: windowOf(tip, head, canvas, on) });
  }
  // One after the other: windows of pins that stand close together overlap.
  for (const one of drawn) await drawWithin(canvas, [one], arena);
}

/** A point in pixels of the canvas. */
interface Point {
  readonly x: number;
  readonly y: number;
}
/** The middle of a head. */
type Head = Point;

function tipOf({ xMm, yMm }: NotePlace, { page, spec, ppi }: BoxedPage): Point {
  const trim = trimBoxPx(page, spec, ppi);
  return { x: page.left + trim.left + mmToPx(xMm, ppi), y: page.top + trim.top + mmToPx(yMm, ppi) };
}

/** Where a head covers least: where the art is calmest, clear of other heads, and as near as may be. */
function headFor(tip: Point, canvas: Canvas, taken: readonly Head[], em: number): Head {
  const heads = reaches.flatMap((reach) =>
    turns.map((eighth) => {
      const angle = (eighth * Math.PI) / 4;
      return { x: tip.x + reach * em * Math.sin(angle), y: tip.y - reach * em * Math.cos(angle) };
    }),
  );
  const far = 2.2 * radius * em;
  const isClear = (head: Head) =>
    taken.every((other) => Math.hypot(head.x - other.x, head.y - other.y) > far);
  const isWithin = ({ x, y }: Head) => x > em && y > em && x < canvas.width - em && y < canvas.height - em;
  const fit = heads.filter((head) => isWithin(head) && isClear(head));
  const costs = fit.map((head, at) => {
    return unrestUnder(canvas, head, radius * em) + unrestAlong(canvas, tip, head, em) + at * perChoice;
  });
  const calmest = costs.indexOf(Math.min(...costs));
  return fit[calmest] ?? heads[0];
}

/** How much more unrest a later choice has to save, in steps of a sample: else the pin stands upright. Own choice. */
const perChoice = 0.5;

/** The same for what a stem would cross, by points along it. */
function unrestAlong(canvas: Canvas, tip: Point, head: Head, em: number): number {
  const shares = [0.25, 0.5, 0.75];
  const points = shares.map((share) => ({
    x: tip.x + share * (head.x - tip.x),
    y: tip.y + share * (head.y - tip.y),
  }));
  return points.reduce((sum, point) => sum + unrestUnder(canvas, point, em / 4), 0) / shares.length;
}

/** The mean step from pixel to pixel, across and down, around a point; lettering has ten times that of a flat. */
function unrestUnder({ data, width, height }: Canvas, { x, y }: Point, reach: number): number {
  const [left, right] = [Math.max(1, Math.floor(x - reach)), Math.min(width - 1, Math.ceil(x + reach))];
  const [top, bottom] = [Math.max(1, Math.floor(y - reach)), Math.min(height - 1, Math.ceil(y + reach))];
  let sum = 0;
  let count = 0;
  for (let row = top; row < bottom; row++) {
    for (let column = left; column < right; column++) {
      const at = (row * width + column) * 3 + 1;
      sum += Math.abs(data[at] - data[at - 3]) + Math.abs(data[at] - data[at - 3 * width]);
      count++;
    }
  }
  return count === 0 ? 0 : sum / count;
}

function pinOf(note: StandingNote, tip: Point, head: Head, { em, hair }: BoxedPage): string {
  const stem = `M${tip.x} ${tip.y}L${head.x} ${head.y}`;
  const width = Math.max(hair, em / 8);
  return (
    line(stem, { stroke: casing, width: width + 2 * hair }) +
    fill(circle(tip.x, tip.y, 0.2 * em), casing) +
    line(stem, { stroke: pinColour, width }) +
    fill(circle(tip.x, tip.y, 0.12 * em), pinColour) +
    fill(circle(head.x, head.y, radius * em + hair), casing) +
    pinMark(note, { ...head, em })
  );
}

/** The head of a pin around a middle, as it also stands before the note's words. */
export function pinMark(
  { number, state }: Pick<StandingNote, 'number' | 'state'>,
  { x, y, em }: Point & { readonly em: number },
): string {
  const isOpen = state === 'open';
  const inner = (radius - 0.05) * em;
  const disc = isOpen
    ? fill(circle(x, y, radius * em), pinColour)
    : fill(circle(x, y, radius * em), casing) +
      line(circle(x, y, inner), { stroke: pinColour, width: 0.12 * em });
  const digits = String(number);
  const sizePx = (digits.length < 3 ? 0.72 : 0.5) * em;
  const look = { sizePx, bold: true, fill: isOpen ? casing : pinColour, anchor: 'middle' } as const;
  return disc + text(digits, x, y + 0.365 * sizePx, look);
}

/** All of a pin, within the canvas. */
function windowOf(tip: Point, head: Head, canvas: Canvas, { em, hair }: BoxedPage): PxBox {
  const around = radius * em + 2 * hair + 2;
  const left = Math.max(0, Math.floor(Math.min(tip.x, head.x) - around));
  const top = Math.max(0, Math.floor(Math.min(tip.y, head.y) - around));
  const right = Math.min(canvas.width, Math.ceil(Math.max(tip.x, head.x) + around));
  const bottom = Math.min(canvas.height, Math.ceil(Math.max(tip.y, head.y) + around));
  return { left, top, width: right - left, height: bottom - top };
}
