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
  const others = lookAt(pairs.other);
  const found: (Pair & UnpaintedEdge)[] = [];
  for (let n = 0; n < pairs.other.length; n++) {
    const at = pairs.at[n];
    const step = unpaintedStep(looks, at, others, n, edgeDe);
    if (step <= edgeDe) continue;
    const [one, other] = [pixels[at], pairs.other[n]];
    found.push({ at, one, other, along: other - one === 1 ? page.composite.width : 1, step });
  }
  const beside = found.flatMap((pair) => besides(pair, page));
  const next = lookAt(Int32Array.from(beside.flatMap(({ one, other }) => [one, other])));
  const goesOn = beside.filter((_, n) => unpaintedStep(next, 2 * n, next, 2 * n + 1, edgeDe) > edgeDe);
  const going = new Set(goesOn.map(({ from }) => from));
  return found.filter((pair) => going.has(pair));
}

/** Each pixel with its neighbour to the right and the one below: which of those asked it is, and the neighbour. As plain numbers: there are many. */
function pairsOf(
  pixels: Int32Array,
  page: EdgedPage,
): { readonly at: Int32Array; readonly other: Int32Array } {
  const { width, height } = page.composite;
  const at = new Int32Array(2 * pixels.length);
  const other = new Int32Array(2 * pixels.length);
  let count = 0;
  const add = (n: number, one: number, beside: number) => {
    if (isLineOnPurpose(page.coverage, one, beside)) return;
    at[count] = n;
    other[count++] = beside;
  };
  for (let n = 0; n < pixels.length; n++) {
    const one = pixels[n];
    if ((one + 1) % width !== 0) add(n, one, one + 1);
    if (one + width < width * height) add(n, one, one + width);
  }
  return { at: at.subarray(0, count), other: other.subarray(0, count) };
}

/** The next pairs along an edge; none beyond the page. */
function besides<T extends Pair>(from: T, page: EdgedPage) {
  const { one, other, along } = from;
  const { width, height } = page.composite;
  const next = [along, -along].map((by) => ({ from, at: from.at, one: one + by, other: other + by, along }));
  return next.filter((pair) => {
    const isOnPage = pair.one >= 0 && pair.other < width * height;
    const isInRow = along > 1 || Math.floor(pair.one / width) === Math.floor(one / width);
    return isOnPage && isInRow && !isLineOnPurpose(page.coverage, pair.one, pair.other);
  });
}

/** Black over all of both pixels has whatever lies beneath it on purpose, and its soft edge is the line's own. */
function isLineOnPurpose(coverage: Plate | undefined, one: number, other: number): boolean {
  if (coverage === undefined) return false;
  const first = coverage.data[one];
  const second = coverage.data[other];
  return (first === 255 && second === 255) || first % 255 !== 0 || second % 255 !== 0;
}

/** CIEDE2000 is never more than this many times the distance in CIELAB: measured on four million pairs of colours, 1.5. Own margin. */
const mostRatio = 2;

/** By how much two pixels differ more in print than as painted, where the page is smooth; 0 elsewhere, and where it is surely below a limit. */
function unpaintedStep(
  looks: PageLooks,
  one: number,
  others: PageLooks,
  other: number,
  limitDe: number,
): number {
  const asked = distance(looks.wanted, one, others.wanted, other);
  if (asked > smoothStep) return 0;
  const printed = distance(looks.printed, one, others.printed, other);
  if (printed <= asked || printed * mostRatio <= limitDe) return 0;
  const step = ciede2000(labAt(looks.printed, one), labAt(others.printed, other));
  return step - ciede2000(labAt(looks.wanted, one), labAt(others.wanted, other));
}

/** @returns L*, a* and b* of the n-th pixel */
export function labAt(lab: Float32Array, n: number): [number, number, number] {
  return [lab[3 * n], lab[3 * n + 1], lab[3 * n + 2]];
}

/** In CIELAB (CIE 1976). */
function distance(first: Float32Array, one: number, second: Float32Array, other: number): number {
  const i = 3 * one;
  const j = 3 * other;
  const l = first[i] - second[j];
  const a = first[i + 1] - second[j + 1];
  const b = first[i + 2] - second[j + 2];
  return Math.sqrt(l * l + a * a + b * b);
}
