import type { Separator } from '../inks/separator.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { OkLab } from '../model/palette.js';
import { type ProcessPlanes, processPlanes, type Separation } from '../model/separation.js';
import { seeingOf } from './colour-vision.js';
import { lightOf, oklabDistance, oklabOf, oklabOfLight, type Rgb } from './oklab.js';
import { Borders, type FallsTogether, lookedWith, type TogetherPair, type Way } from './together-borders.js';

/**
 * Where two flats meet that differ clearly, and fall together for eyes without red or green cones. The page is looked at as it prints,
 * through the soft proof: that is what is read, and screen colours out of gamut may come nearer to each other on the way.
 */

/** What two colours are held against. */
export interface TogetherLimits {
  /** Colours this far apart in OKLab differ clearly. */
  readonly clearOklab: number;
  /** As near as this they fall together. */
  readonly togetherOklab: number;
}

/** The page is asked at this many places an inch: what an eye parts at reading distance. Own choice. */
const askedPpi = 60;

/** A flat is what two places beside each other agree in, by levels of 255. Own choice. */
const calmLevels = 10;

/** Between two flats lies what blends from one to the other: no ink beyond theirs by more than this, in counts. Black blends less evenly. Own choice. */
const blendCounts = 40;
const blackBlendCounts = 77;

/** The page as a screen shows its print, a place in every few pixels. */
interface Looked {
  readonly columns: number;
  readonly rows: number;
  /** Pixels from one place to the next. */
  readonly step: number;
  /** Red, green, blue by turns. */
  readonly data: Uint8Array;
}

/**
 * Looks for borders between flats that fall together. What has a line between, black or painted, is parted by it.
 * @param page as it prints, line included
 * @returns undefined where there are none
 */
export function measureTogether(
  page: Separation,
  ppi: number,
  limits: TogetherLimits,
  separator: Pick<Separator, 'softProof'>,
  arena: PageArena,
): FallsTogether | undefined {
  const looked = lookAt(page, ppi, separator, arena);
  const { columns, rows, step, data } = looked;
  const borders = new Borders(page, ppi, step);
  const planes = processPlanes(page);
  const pair = pairTest(data, limits);
  const pixelOf = (column: number, row: number) =>
    (row * step + (step >> 1)) * page.width + column * step + (step >> 1);
  /** Whether a border runs through a place, from one beside it to the other. */
  const look = (column: number, row: number, way: Way): boolean => {
    const [place, stride] = [row * columns + column, way === 'across' ? 1 : columns];
    const [one, other] = [(place - stride) * 3, (place + stride) * 3];
    if (!isCalm(data, one, one - stride * 3) || !isCalm(data, other, other + stride * 3)) return false;
    const found = pair(one, other);
    if (found === undefined) return false;
    const from = way === 'across' ? pixelOf(column - 1, row) : pixelOf(column, row - 1);
    if (!isBlend(planes, from, way === 'across' ? 1 : page.width, 2 * step)) return false;
    borders.add(column, row, way, found);
    return true;
  };
  // The place behind one that a border was found at would tell of the same border once more.
  const lastDown = new Int32Array(columns).fill(-2);
  for (let row = 0; row < rows; row++) {
    const isInside = row >= 2 && row < rows - 2;
    let lastAcross = -2;
    for (let column = 2, at = (row * columns + 2) * 3; column < columns - 2; column++, at += 3) {
      if (differs(data, at - 3, at + 3) && column > lastAcross + 1 && look(column, row, 'across')) {
        lastAcross = column;
      }
      if (!isInside || !differs(data, at - columns * 3, at + columns * 3)) continue;
      if (row > lastDown[column] + 1 && look(column, row, 'down')) lastDown[column] = row;
    }
  }
  return borders.found();
}

/** Whether a channel differs by more than noise does: most places are passed over by that. */
function differs(data: Uint8Array, one: number, other: number): boolean {
  const red = data[one] - data[other];
  const green = data[one + 1] - data[other + 1];
  const blue = data[one + 2] - data[other + 2];
  return (
    red >= leastLevels ||
    red <= -leastLevels ||
    green >= leastLevels ||
    green <= -leastLevels ||
    blue >= leastLevels ||
    blue <= -leastLevels
  );
}

function lookAt(
  page: Separation,
  ppi: number,
  separator: Pick<Separator, 'softProof'>,
  arena: PageArena,
): Looked {
  const step = Math.max(1, Math.round(ppi / askedPpi));
  const [columns, rows] = [Math.floor(page.width / step), Math.floor(page.height / step)];
  const inks = new Uint8Array(columns * rows * 4);
  for (const [ink, plane] of processPlanes(page).entries()) {
    for (let row = 0, to = ink; row < rows; row++) {
      let from = (row * step + (step >> 1)) * page.width + (step >> 1);
      for (let column = 0; column < columns; column++, to += 4, from += step) inks[to] = plane[from];
    }
  }
  const picture = { width: columns, height: rows, model: 'cmyk', alpha: false, data: inks } as const;
  const { data } = separator.softProof(picture, { paperWhite: false }, arena);
  return { columns, rows, step, data: data as Uint8Array };
}

/** Whether two places are one flat. @param one, other where their colours begin */
function isCalm(data: Uint8Array, one: number, other: number): boolean {
  return (
    Math.abs(data[one] - data[other]) <= calmLevels &&
    Math.abs(data[one + 1] - data[other + 1]) <= calmLevels &&
    Math.abs(data[one + 2] - data[other + 2]) <= calmLevels
  );
}

/** Levels by which a channel differs at least where two colours differ clearly; in fewer differ none but dark ones, by which nobody reads. Own choice. */
const leastLevels = 24;

/** Pairs of colours that are remembered, a power of two: a page of flats has some hundred, a painted one never the same twice. */
const remembered = 4096;

/** A test of two places that remembers the latest pairs of colours that it was asked about. */
function pairTest(
  data: Uint8Array,
  limits: TogetherLimits,
): (one: number, other: number) => TogetherPair | undefined {
  // Both colours of what is remembered in each place, -1 for nothing yet, and what came of it.
  const [ones, others] = [new Int32Array(remembered).fill(-1), new Int32Array(remembered)];
  const answers: (TogetherPair | undefined)[] = new Array(remembered);
  return (one, other) => {
    const [a, b] = [nameOf(data, one), nameOf(data, other)];
    const at = (Math.imul(a, 0x9e3779b1) ^ Math.imul(b, 0x85ebca6b)) >>> 20;
    if (ones[at] !== a || others[at] !== b) {
      ones[at] = a;
      others[at] = b;
      answers[at] = together(colourAt(data, one), colourAt(data, other), limits);
    }
    return answers[at];
  };
}

const nameOf = (data: Uint8Array, at: number) => (data[at] << 16) | (data[at + 1] << 8) | data[at + 2];
const colourAt = (data: Uint8Array, at: number): Rgb => [data[at], data[at + 1], data[at + 2]];

const seeing = lookedWith.map((eyes) => ({ eyes, see: seeingOf(eyes) }));

/** Two colours that differ clearly and fall together for somebody; undefined for any others. */
export function together(one: Rgb, other: Rgb, limits: TogetherLimits): TogetherPair | undefined {
  const distance = oklabDistance(oklabOf(one), oklabOf(other));
  if (distance < limits.clearOklab) return undefined;
  const seen = seeing.map(({ eyes, see }) => {
    const [first, second] = [one, other].map(([r, g, b]): OkLab => {
      return oklabOfLight(...see(lightOf(r), lightOf(g), lightOf(b)));
    });
    return { eyes, seen: oklabDistance(first, second) };
  });
  const nearest = seen.reduce((least, next) => (next.seen < least.seen ? next : least));
  return nearest.seen > limits.togetherOklab ? undefined : { colours: [one, other], distance, ...nearest };
}

/** Whether all that lies from one place to another is a blend of both: no line, no light between. */
function isBlend(planes: ProcessPlanes, from: number, stride: number, length: number): boolean {
  const to = from + length * stride;
  return planes.every((plane, ink) => {
    const slack = ink === 3 ? blackBlendCounts : blendCounts;
    const least = Math.min(plane[from], plane[to]) - slack;
    const most = Math.max(plane[from], plane[to]) + slack;
    for (let at = from; at <= to; at += stride) if (plane[at] < least || plane[at] > most) return false;
    return true;
  });
}
