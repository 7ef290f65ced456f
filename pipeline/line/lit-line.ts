import type { LineSettings } from '../../config/print-spec.js';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import type { Bitmap, Plate, Raster } from '../model/raster.js';
import { bitmapOf, both, countSet, eachSet, eachSetInRow, without, wordsOf } from './bitmap.js';
import { coreCoverage } from './fill-beneath.js';
import { grow } from './morphology.js';
import { levelAt } from './tone.js';

/**
 * Line that meets light. Where a glow fades out across black, the page leaves black gradually: from its first visible light on
 * such line prints as the page looks, in the colour plates, so that no contour shows where it begins. What is lit evenly, by a
 * grade over the whole page, is the black of that page and stays line. So does what only borders on something bright.
 * All levels are 8-bit steps, own choice.
 */

/** Light above the page's own black that an eye begins to see. */
const visibleLevels = 3.5;

/**
 * A piece counts as lit only where it reaches so much on average around a pixel: light between layers is exact; what is read from a
 * picture has noise and the traces of JPEG in it. The soft edge of lit line reaches so far beyond what was judged, in pixels: on
 * lifted line only what lies well within is.
 */
export const lightFrom = {
  layers: { brightLevels: 10, reachPx: 1 },
  picture: { brightLevels: 20, reachPx: 1 },
  lifted: { brightLevels: 20, reachPx: 3 },
} as const;

/** Light is averaged over a square so far around a pixel, in pixels, weighed by the line in it: grain makes no speckle. */
const averagePx = 2;

/** Line that covers less of a pixel (of 255) tells nothing of its own. */
const leastCoverage = 64;

/** A ramp is at least so wide between black and bright, in pixels; what is narrower is the soft edge of a hard border. */
const leastRampPx = 2.5;

/** Line that is lit, as masks of the size of the colour. */
export interface LitLine {
  /** Where line is lit, its soft edge included. */
  readonly lit: Bitmap;
  /** Around what of it has a hard border; undefined where nothing has. */
  readonly hard: Bitmap | undefined;
}

/**
 * @param light how bright the line is, times how much of it covers the pixel; of the size of the coverage
 * @param coverage share of each pixel that line covers, 0 to 255
 * @param from where the light was read
 * @returns undefined where none is lit
 */
export function findLitLine(
  light: Plate,
  coverage: Plate,
  settings: Pick<LineSettings, 'blackMaxLevelPercent'>,
  from: keyof typeof lightFrom,
  memory: KernelMemory,
): LitLine | undefined {
  const { brightLevels: brightFrom, reachPx } = lightFrom[from];
  const line = bitmapOf(coverage.data, coverage, leastCoverage, memory);
  const rows = litRows(both(line, bitmapOf(light.data, light, Math.ceil(visibleLevels), memory), memory));
  if (rows === undefined) return undefined;
  const full = bitmapOf(coverage.data, coverage, 255, memory);
  const base = ownBlack(light.data, full, (settings.blackMaxLevelPercent / 100) * 255);
  const marks = new Uint8Array(light.data.length);
  const shown = markLit(light.data, coverage.data, line, { base, brightFrom }, rows, marks);
  if (!keepRamps(marks, coverage.width, shown)) return undefined;
  const lit = grow(bitmapOf(marks, coverage, kept, memory), reachPx, memory);
  const hard = bitmapOf(marks, coverage, keptHard, memory);
  return { lit, hard: countSet(hard, memory) === 0 ? undefined : grow(hard, reachPx + 1, memory) };
}

/**
 * How bright the line is in a colour part that shows it painted in.
 * @param painted rgb or grey without alpha, as it came
 */
export function lightOnPainted(painted: Raster, coverage: Plate): Plate {
  const { width, height } = coverage;
  const light = new Uint8Array(width * height);
  for (let i = 0; i < light.length; i++) {
    const cover = coverage.data[i];
    if (cover < coreCoverage) continue;
    // What the line leaves uncovered may show any colour.
    light[i] = Math.max(0, levelAt(painted, i) - (255 - cover));
  }
  return { width, height, data: light };
}

/** Where line was lit, or held back for being lit, and no line is left. */
export function litWithoutLine(light: Plate, coverage: Plate, memory: KernelMemory): Bitmap {
  const lit = bitmapOf(light.data, light, Math.ceil(visibleLevels), memory);
  return without(lit, bitmapOf(coverage.data, light, 1, memory), memory);
}

interface Rows {
  readonly top: number;
  readonly bottom: number;
}

/** The rows with line that is lit at all, and those around them that tell of it. */
function litRows(lit: Bitmap): Rows | undefined {
  const words = wordsOf(lit);
  const isLit = (word: number) => word !== 0;
  const first = words.findIndex(isLit);
  if (first < 0) return undefined;
  const wordsInRow = lit.rowBytes >> 2;
  const [top, last] = [Math.floor(first / wordsInRow), Math.floor(words.findLastIndex(isLit) / wordsInRow)];
  return { top: Math.max(0, top - averagePx), bottom: Math.min(lit.height, last + 1 + averagePx) };
}

/** Levels that differ by no more than this are one black, as a grade with some noise leaves it. */
const evenLevels = 4;

/**
 * How bright the page's black is: the median over all that line covers, if at least half of it is as bright; else, or where that
 * is no black any more, 0.
 */
function ownBlack(light: Uint8Array, full: Bitmap, mostLevel: number): number {
  const counts = new Uint32Array(256);
  let all = 0;
  eachSet(full, (i) => {
    counts[light[i]]++;
    all++;
  });
  let level = 0;
  for (let below = counts[0]; below * 2 < all; below += counts[level]) level++;
  const even = counts.subarray(Math.max(0, level - evenLevels), level + evenLevels + 1);
  const isEven = even.reduce((sum, count) => sum + count, 0) * 2 >= all;
  return isEven && level <= mostLevel ? level : 0;
}

const visible = 1;
const bright = 2;
/** Lit by itself, not only on average with its neighbours. */
const own = 4;
/** Line that is not lit. */
const dark = 8;
const gathered = 16;
/** As bright by itself. */
const ownBright = 32;
const kept = 64;
/** Kept beside a hard border. */
const keptHard = 128;

/**
 * Marks line by how bright it is on average around each pixel.
 * @returns what is visibly lit, by index, row by row
 */
function markLit(
  light: Uint8Array,
  coverage: Uint8Array,
  line: Bitmap,
  { base, brightFrom }: { readonly base: number; readonly brightFrom: number },
  { top, bottom }: Rows,
  marks: Uint8Array,
): number[] {
  const sums = new ColumnSums(line, light, coverage);
  const shown: number[] = [];
  for (let y = top - averagePx; y < bottom + averagePx; y++) {
    if (y >= 0 && y < line.height) sums.add(y, 1);
    const middle = y - averagePx;
    if (middle < top) continue;
    eachSetInRow(line, middle, (i, x) => {
      const level = sums.meanAround(x) - base;
      marks[i] = dark;
      if (level < visibleLevels) return;
      const self = (light[i] * 255) / coverage[i] - base;
      const alone = (self >= visibleLevels ? own : 0) | (self >= brightFrom ? ownBright : 0);
      marks[i] = visible | (level >= brightFrom ? bright : 0) | alone;
      shown.push(i);
    });
    const past = middle - averagePx;
    if (past >= 0 && past >= top - averagePx) sums.add(past, -1);
  }
  return shown;
}

/** Sums of light and of line over some rows, column by column. */
class ColumnSums {
  private readonly lights: Int32Array;
  private readonly lines: Int32Array;

  constructor(
    private readonly line: Bitmap,
    private readonly light: Uint8Array,
    private readonly coverage: Uint8Array,
  ) {
    this.lights = new Int32Array(line.width);
    this.lines = new Int32Array(line.width);
  }

  /** Adds a row of line, or takes it off again. */
  add(y: number, sign: 1 | -1): void {
    const { lights, lines, light, coverage } = this;
    eachSetInRow(this.line, y, (i, x) => {
      lights[x] += sign * light[i];
      lines[x] += sign * coverage[i];
    });
  }

  meanAround(x: number): number {
    let light = 0;
    let line = 0;
    const right = Math.min(this.line.width - 1, x + averagePx);
    for (let near = Math.max(0, x - averagePx); near <= right; near++) {
      light += this.lights[near];
      line += this.lines[near];
    }
    return line === 0 ? 0 : (light * 255) / line;
  }
}

/**
 * Marks as kept, piece by piece, what is lit: ramps all over, and what is narrower only where it is bright by itself, since the
 * rest is the soft edge of a hard border. Says whether anything is.
 */
function keepRamps(marks: Uint8Array, width: number, shown: readonly number[]): boolean {
  const piece: number[] = [];
  let any = false;
  for (const i of shown) {
    if ((marks[i] & visible) === 0) continue;
    const { isBright, isRamp, bright: alone } = gather(marks, width, i, piece);
    const lit = !isBright ? [] : isRamp ? piece : alone;
    for (const pixel of lit) marks[pixel] = isRamp ? kept : keptHard;
    any ||= lit.length > 0;
  }
  return any;
}

/**
 * Gathers the piece that a pixel belongs to, side by side, and takes it off the marks.
 * @returns whether it is bright somewhere, whether it is wide beside its border to line that is not lit, and its bright pixels
 */
function gather(marks: Uint8Array, width: number, first: number, piece: number[]) {
  piece.length = 0;
  const alone: number[] = [];
  let isBright = false;
  let [area, border] = [0, 0];
  const add = (i: number) => {
    isBright ||= (marks[i] & bright) !== 0;
    if ((marks[i] & own) !== 0) area++;
    if ((marks[i] & ownBright) !== 0) alone.push(i);
    marks[i] = gathered;
    piece.push(i);
  };
  add(first);
  for (let next = 0; next < piece.length; next++) {
    const i = piece[next];
    const x = i % width;
    let isBorder = false;
    for (const near of [x > 0 ? i - 1 : i, x < width - 1 ? i + 1 : i, i - width, i + width]) {
      if ((marks[near] & visible) !== 0) add(near);
      isBorder ||= (marks[near] & dark) !== 0;
    }
    if (isBorder) border++;
  }
  return { isBright, isRamp: area >= leastRampPx * border, bright: alone };
}
