import { textPath } from '../sheets/type.js';
import { separation } from './ink-layers.js';
import { pdfNumber } from './notation.js';
import { type Box, mmToPoints, type PageBoxes } from './page-boxes.js';
import type { PdfMarks } from './page-file.js';

/**
 * Marks for cutting and for laying plate on plate: vectors outside the bleed, where nothing of them is left on the cut page.
 * Shapes and places are conventions of the trade: common practice, no published source.
 */

/** How far marks stay from the bleed, in millimetres: a mark on the cut itself would show on a page that is cut a little beside it. */
const gapMm = 1;
/** Length of a trim mark, and side of a register mark. */
const markMm = 5;
/** A quarter of a point: thin enough to cut on, wide enough for every plate. */
const hairMm = 0.09;
/** Side of a patch of the colour bar. */
const patchMm = 4;
/** Height of the em square of the slug's type. */
const typeMm = 2.2;

/** Room on all sides of the bleed that marks take, in millimetres. */
export const marksRoomMm = 2 * gapMm + markMm;

/** The process inks, as a page's patches name them: each on its plate alone. */
const patchInks = [
  ['Cyan', [1, 0, 0, 0]],
  ['Magenta', [0, 1, 0, 0]],
  ['Yellow', [0, 0, 1, 0]],
  ['Black', [0, 0, 0, 1]],
] as const;

/** Amounts of ink of each patch, beside full ink for the middle tones by which a press is set. */
const patchTints = [1, 0.5] as const;

/** The name that paints on every plate: ISO 32000-1 section 8.6.6.4. */
const registration = separation('All', [1, 1, 1, 1]);

/**
 * The marks of a page.
 * @param boxes with `marksRoomMm` around the bleed
 * @param slug a line of text below the page
 */
export function marksOf(boxes: PageBoxes, slug: string): PdfMarks {
  const hair = `${pdfNumber(mmToPoints(hairMm))} w`;
  const content = [
    `q /Registration CS 1 SCN /Registration cs 1 scn ${hair}`,
    ...trimMarks(boxes),
    ...registerMarks(boxes.bleed),
    slugText(boxes, slug),
    'Q',
    'q',
    ...patches(boxes),
    'Q\n',
  ];
  const inks = patchInks.map(([ink, shownAs]) => [`Patch${ink}`, separation(ink, shownAs)] as const);
  return {
    content: content.join('\n'),
    colourSpaces: { Registration: registration, ...Object.fromEntries(inks) },
  };
}

function stroke(x1: number, y1: number, x2: number, y2: number): string {
  return `${[x1, y1].map(pdfNumber).join(' ')} m ${[x2, y2].map(pdfNumber).join(' ')} l S`;
}

/** Two at each corner of the trim, in line with its edges, beginning beyond the bleed. */
function trimMarks({ trim, bleed }: PageBoxes): string[] {
  const gap = mmToPoints(gapMm);
  const length = mmToPoints(markMm);
  const [left, bottom, right, top] = trim;
  const beyond = { left: bleed[0] - gap, bottom: bleed[1] - gap, right: bleed[2] + gap, top: bleed[3] + gap };
  return [
    ...[bottom, top].flatMap((y) => [
      stroke(beyond.left - length, y, beyond.left, y),
      stroke(beyond.right, y, beyond.right + length, y),
    ]),
    ...[left, right].flatMap((x) => [
      stroke(x, beyond.bottom - length, x, beyond.bottom),
      stroke(x, beyond.top, x, beyond.top + length),
    ]),
  ];
}

/** A cross in a circle in the middle of each side. */
function registerMarks([left, bottom, right, top]: Box): string[] {
  const away = mmToPoints(gapMm + markMm / 2);
  const [x, y] = [(left + right) / 2, (bottom + top) / 2];
  const places = [
    [x, bottom - away],
    [x, top + away],
    [left - away, y],
    [right + away, y],
  ] as const;
  return places.flatMap(([atX, atY]) => registerMark(atX, atY));
}

/** How far the handles of a curve stand out for a quarter of a circle: 4/3 (sqrt 2 - 1). */
const quarterHandle = (4 / 3) * (Math.SQRT2 - 1);

function registerMark(x: number, y: number): string[] {
  const arm = mmToPoints(markMm / 2);
  const r = arm / 2;
  const h = r * quarterHandle;
  const curve = (...points: readonly number[]) => `${points.map(pdfNumber).join(' ')} c`;
  const circle = [
    `${pdfNumber(x + r)} ${pdfNumber(y)} m`,
    curve(x + r, y + h, x + h, y + r, x, y + r),
    curve(x - h, y + r, x - r, y + h, x - r, y),
    curve(x - r, y - h, x - h, y - r, x, y - r),
    curve(x + h, y - r, x + r, y - h, x + r, y),
    's',
  ];
  return [stroke(x - arm, y, x + arm, y), stroke(x, y - arm, x, y + arm), circle.join(' ')];
}

/** Patches above the page between trim mark and register mark: each ink full and half, by itself. */
function patches({ trim, bleed }: PageBoxes): string[] {
  const [left, , right] = trim;
  const side = Math.min(
    mmToPoints(patchMm),
    roomBesideMiddle(left, right) / (patchInks.length * patchTints.length),
  );
  const bottom = bleed[3] + mmToPoints(gapMm);
  const start = left + mmToPoints(gapMm);
  return patchInks.flatMap(([ink], at) =>
    patchTints.map((tint, step) => {
      const x = start + (at * patchTints.length + step) * side;
      return `/Patch${ink} cs ${pdfNumber(tint)} scn ${[x, bottom, side, side].map(pdfNumber).join(' ')} re f`;
    }),
  );
}

/** From the trim mark at the left to the register mark in the middle, with a gap on both sides. */
function roomBesideMiddle(left: number, right: number): number {
  return (right - left) / 2 - mmToPoints(markMm / 2 + 2 * gapMm);
}

/** Below the page, from the trim mark at the left to the register mark: type as outlines, since a page may hold no font. */
function slugText({ trim, bleed }: PageBoxes, slug: string): string {
  const [left, , right] = trim;
  const sizePx = mmToPoints(typeMm);
  const maxWidthPx = roomBesideMiddle(left, right);
  const path = textPath(slug, { x: 0, y: 0, sizePx, maxWidthPx });
  const x = left + mmToPoints(gapMm);
  const y = bleed[1] - mmToPoints(gapMm + typeMm);
  // Outlines run downwards as on a screen; a page's y runs up.
  return `q 1 0 0 -1 ${pdfNumber(x)} ${pdfNumber(y)} cm ${outlines(path)} f Q`;
}

/** Path data of M, L, Q, C and Z as operators; curves with one handle get two (a third of the way each). */
function outlines(path: string): string {
  const operators: string[] = [];
  let [x, y] = [0, 0];
  for (const [, letter, text] of path.matchAll(/([MLQCZ])([^MLQCZ]*)/g)) {
    const n = text
      .split(/[\s,]+|(?<=\d)(?=-)/)
      .filter((each) => each !== '')
      .map(Number);
    if (letter === 'Z') operators.push('h');
    else operators.push(`${operands(letter, n, x, y).map(pdfNumber).join(' ')} ${operatorOf[letter]}`);
    if (n.length >= 2) [x, y] = n.slice(-2);
  }
  return operators.join(' ');
}

const operatorOf: Readonly<Record<string, string>> = { M: 'm', L: 'l', Q: 'c', C: 'c' };

function operands(letter: string, n: readonly number[], x: number, y: number): readonly number[] {
  if (letter !== 'Q') return n;
  const [hx, hy, toX, toY] = n;
  const third = (from: number, handle: number) => from + (2 / 3) * (handle - from);
  return [third(x, hx), third(y, hy), third(toX, hx), third(toY, hy), toX, toY];
}
