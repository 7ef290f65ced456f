import { ciede2000 } from '../../config/press/ciede2000.js';
import type { Plate } from '../model/raster.js';
import type { Separation } from '../model/separation.js';

/** Edges in print that nobody painted: steps between neighbouring pixels where the page as painted is smooth. */

/** Some pixels as they were painted and as they print, in CIELAB: three numbers a pixel. */
export interface PageLooks {
  readonly wanted: Float32Array;
  readonly printed: Float32Array;
  /** Whether the n-th pixel prints in the inks that were wanted. */
  readonly isSame: (n: number) => boolean;
}

/** What edges are looked for on. */
export interface EdgedPage {
  /** Share of each pixel that line covers, 0 to 255; undefined without line. */
  readonly coverage: Plate | undefined;
  readonly composite: Pick<Separation, 'width' | 'height'>;
}

/** A step that goes on. */
export interface UnpaintedEdge {
  /** Which of the pixels that were asked it begins at. */
  readonly at: number;
  /** How much more it is in print than as painted, in CIEDE2000. */
  readonly step: number;
}

/** Steps of the page as painted from which on it is not smooth any more, in CIELAB units: own choice. */
const smoothStep = 3;

/** Two pixels side by side, and the next ones along the edge between them on either side. */
interface Pair {
  readonly at: number;
  readonly one: number;
  readonly other: number;
  readonly along: number;
}

/**
 * Looks from each pixel to the right and down. A step counts where it goes on for two pixels at least: between the dots of a tone
 * single pixels differ, and nobody sees an edge.
 * @param pixels where to look, by index
 * @param looks how they were painted and print
 * @param lookAt tells the same of further pixels
 * @param edgeDe steps above this count
 */
export function unpaintedEdges(
  pixels: Int32Array,
  looks: PageLooks,
  page: EdgedPage,
  lookAt: (pixels: Int32Array) => PageLooks,
  edgeDe: number,
): UnpaintedEdge[] {
  const pairs = pairsOf(pixels, page);
  const others = lookAt(Int32Array.from(pairs, ({ other }) => other));
  const steps = pairs.map(({ at }, n) => unpaintedStep(looks, at, others, n));
  const found = pairs.map((pair, n) => ({ ...pair, step: steps[n] })).filter(({ step }) => step > edgeDe);
  const beside = found.flatMap((pair) => besides(pair, page));
  const next = lookAt(Int32Array.from(beside.flatMap(({ one, other }) => [one, other])));
  const goesOn = beside.filter((_, n) => unpaintedStep(next, 2 * n, next, 2 * n + 1) > edgeDe);
  const going = new Set(goesOn.map(({ from }) => from));
  return found.filter((pair) => going.has(pair));
}

/** Each pixel with its neighbour to the right and the one below. */
function pairsOf(pixels: Int32Array, page: EdgedPage): Pair[] {
  const { width, height } = page.composite;
  const pairs: Pair[] = [];
  for (const [at, one] of pixels.entries()) {
    const right = { at, one, other: one + 1, along: width };
    const below = { at, one, other: one + width, along: 1 };
    if ((one + 1) % width !== 0 && !isLineOnPurpose(page.coverage, right)) pairs.push(right);
    if (below.other < width * height && !isLineOnPurpose(page.coverage, below)) pairs.push(below);
  }
  return pairs;
}

/** The next pairs along an edge; none beyond the page. */
function besides<T extends Pair>(from: T, page: EdgedPage) {
  const { one, other, along } = from;
  const { width, height } = page.composite;
  const next = [along, -along].map((by) => ({ from, at: from.at, one: one + by, other: other + by, along }));
  return next.filter((pair) => {
    const isOnPage = pair.one >= 0 && pair.other < width * height;
    const isInRow = along > 1 || Math.floor(pair.one / width) === Math.floor(one / width);
    return isOnPage && isInRow && !isLineOnPurpose(page.coverage, pair);
  });
}

/** Black over all of both pixels has whatever lies beneath it on purpose, and its soft edge is the line's own. */
function isLineOnPurpose(coverage: Plate | undefined, { one, other }: Pair): boolean {
  if (coverage === undefined) return false;
  const [first, second] = [coverage.data[one], coverage.data[other]];
  return (first === 255 && second === 255) || first % 255 !== 0 || second % 255 !== 0;
}

/** By how much two pixels differ more in print than as painted, where the page is smooth; 0 elsewhere. */
function unpaintedStep(looks: PageLooks, one: number, others: PageLooks, other: number): number {
  const asked = distance(looks.wanted, one, others.wanted, other);
  if (asked > smoothStep || distance(looks.printed, one, others.printed, other) <= asked) return 0;
  const step = ciede2000(labAt(looks.printed, one), labAt(others.printed, other));
  return step - ciede2000(labAt(looks.wanted, one), labAt(others.wanted, other));
}

/** @returns L*, a* and b* of the n-th pixel */
export function labAt(lab: Float32Array, n: number): [number, number, number] {
  return [lab[3 * n], lab[3 * n + 1], lab[3 * n + 2]];
}

/** In CIELAB (CIE 1976). */
function distance(first: Float32Array, one: number, second: Float32Array, other: number): number {
  const [i, j] = [3 * one, 3 * other];
  const [l, a, b] = [first[i] - second[j], first[i + 1] - second[j + 1], first[i + 2] - second[j + 2]];
  return Math.sqrt(l * l + a * a + b * b);
}
