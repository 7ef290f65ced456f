import type { Severity } from '../model/findings.js';
import type { PageMark } from '../model/sheet-request.js';
import { box, circle, fill, line } from './drawing.js';

/** Small shapes that say a state beside its word, so that nobody has to tell colours apart. Our own design. */

export type { PageMark };

/** Draws a mark around a middle; `size` is the height of the mark in pixels. */
type Shape = (x: number, y: number, size: number, colour: string) => string;

export interface MarkLook {
  /** The word that always stands beside the shape. */
  readonly word: string;
  readonly colour: string;
  readonly shape: Shape;
}

const tick: Shape = (x, y, size, colour) =>
  line(`M${x - 0.42 * size} ${y + 0.04 * size}l${0.28 * size} ${0.3 * size}l${0.54 * size} ${-0.64 * size}`, {
    stroke: colour,
    width: 0.17 * size,
  });

const triangle: Shape = (x, y, size, colour) =>
  fill(`M${x} ${y - 0.5 * size}L${x + 0.56 * size} ${y + 0.46 * size}H${x - 0.56 * size}Z`, colour) +
  fill(box(x - 0.07 * size, y - 0.16 * size, 0.14 * size, 0.28 * size), '#ffffff') +
  fill(box(x - 0.07 * size, y + 0.2 * size, 0.14 * size, 0.13 * size), '#ffffff');

/** A regular octagon with a white bar across. */
const octagon: Shape = (x, y, size, colour) => {
  const long = 0.52 * size;
  const short = long * Math.tan(Math.PI / 8);
  const outline =
    `M${x - short} ${y - long}L${x + short} ${y - long}L${x + long} ${y - short}L${x + long} ${y + short}` +
    `L${x + short} ${y + long}L${x - short} ${y + long}L${x - long} ${y + short}L${x - long} ${y - short}Z`;
  return (
    fill(outline, colour) + fill(box(x - 0.3 * size, y - 0.09 * size, 0.6 * size, 0.18 * size), '#ffffff')
  );
};

const ring: Shape = (x, y, size, colour) =>
  line(circle(x, y, 0.4 * size), { stroke: colour, width: 0.14 * size, dash: [0.3 * size, 0.2 * size] });

/** Two sheets of paper that overlap: two files for one place. */
const twoSheets: Shape = (x, y, size, colour) =>
  line(box(x - 0.46 * size, y - 0.46 * size, 0.6 * size, 0.6 * size), {
    stroke: colour,
    width: 0.13 * size,
  }) + fill(box(x - 0.1 * size, y - 0.1 * size, 0.56 * size, 0.56 * size), colour);

const twoBars: Shape = (x, y, size, colour) =>
  fill(box(x - 0.36 * size, y - 0.44 * size, 0.26 * size, 0.88 * size), colour) +
  fill(box(x + 0.1 * size, y - 0.44 * size, 0.26 * size, 0.88 * size), colour);

/** A sheet of paper that is there, and nothing on it yet. */
const oneSheet: Shape = (x, y, size, colour) =>
  line(box(x - 0.34 * size, y - 0.44 * size, 0.68 * size, 0.88 * size), {
    stroke: colour,
    width: 0.13 * size,
  });

/** Half of a sheet: the other part has not come. */
const halfSheet: Shape = (x, y, size, colour) =>
  line(box(x - 0.34 * size, y - 0.44 * size, 0.68 * size, 0.88 * size), {
    stroke: colour,
    width: 0.13 * size,
    dash: [0.2 * size, 0.14 * size],
  }) + fill(box(x - 0.34 * size, y, 0.68 * size, 0.44 * size), colour);

const dot: Shape = (x, y, size, colour) =>
  line(circle(x, y, 0.42 * size), { stroke: colour, width: 0.12 * size }) +
  fill(circle(x, y, 0.14 * size), colour);

/** States of pages on the contact sheet, in the order in which they are counted there. */
export const pageMarks: Readonly<Record<PageMark, MarkLook>> = {
  done: { word: 'done', colour: '#4f6656', shape: tick },
  attention: { word: 'attention', colour: '#96610a', shape: triangle },
  stopped: { word: 'stopped', colour: '#a32a20', shape: octagon },
  ready: { word: 'ready', colour: '#3f6a73', shape: oneSheet },
  waiting: { word: 'waiting', colour: '#6b5a3e', shape: halfSheet },
  missing: { word: 'missing', colour: '#4a4a4a', shape: ring },
  contested: { word: 'contested', colour: '#69458f', shape: twoSheets },
  held: { word: 'held', colour: '#2c5f85', shape: twoBars },
};

/** The worst finding of a page on its proof; `none` where there is no finding. */
export const severityMarks: Readonly<Record<Severity | 'none', MarkLook>> = {
  stop: { word: 'Stop', colour: pageMarks.stopped.colour, shape: octagon },
  warn: { word: 'Warning', colour: pageMarks.attention.colour, shape: triangle },
  note: { word: 'Note', colour: '#4a4a4a', shape: dot },
  none: { word: 'No findings', colour: pageMarks.done.colour, shape: tick },
};
