import type { SizePx } from '../../config/units.js';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import { bitmapOf, countSet, eachSet, unlikePixels } from '../line/bitmap.js';
import { grow, shrink } from '../line/morphology.js';
import { levelAt } from '../line/tone.js';
import { type Bitmap, isSet, type Plate, type Raster } from '../model/raster.js';

/**
 * The pixels at which a page's print is compared with what was painted. Most of a page prints as it was separated: a few of
 * those pixels are enough. Wherever line lies, or the colour is not the page as painted, more are asked.
 */
export interface FidelitySample {
  readonly pixels: Int32Array;
  /** How many pixels of the page each stands for. */
  readonly weights: Float32Array;
  /** 1 for black line and its soft edge. */
  readonly isLine: Uint8Array;
}

/**
 * The most pixels that are asked of each kind: 0.1 % of 40,000 still are 40, enough to know the share that differs. Line differs on
 * purpose, and the rest only if the program errs: fewer do.
 */
const mostPixels = { line: 15_000, changed: 40_000, rest: 10_000 } as const;

/** As many as all kinds together, and one for each that a stretch may begin anew. */
const mostAsked = mostPixels.line + mostPixels.changed + mostPixels.rest + 3;

/** How far the soft edge of line reaches when a page is made smaller: Lanczos with three lobes has its overshoot there. */
const edgePx = 2;

/**
 * As much may a pixel of black line differ from the page's own black, of 255, and be black on purpose: on a clean page, and where
 * JPEG or a scan makes it rough. Rough is a page of which more than one black pixel in twenty differs so much from its neighbour; what
 * goes over smoothly was painted so. Own choice.
 */
const blackLevels = { clean: 8, rough: 16 } as const;
const roughLevels = 2;
const cleanShare = 0.95;

/** Every so-manieth pixel tells the page's own black. */
const askEvery = 97;

/**
 * @param coverage share of each pixel that line covers; undefined without line
 * @param colour what was separated, and the page as painted where that is another picture; both of the page's size
 */
export function samplePage(
  size: SizePx,
  coverage: Plate | undefined,
  colour: Raster | undefined,
  painted: Raster | undefined,
  memory: KernelMemory,
): FidelitySample {
  const total = size.width * size.height;
  const near =
    coverage === undefined ? undefined : grow(bitmapOf(coverage.data, size, 1, memory), edgePx, memory);
  const onLine = lineTest(near, coverage, painted, memory);
  const changed =
    painted === undefined || colour === undefined
      ? undefined
      : changedBeside(colour, painted, onLine, memory);
  const sample = new Sample();
  if (near !== undefined) sample.take(total, countSet(near, memory), mostPixels.line, onLine, true);
  if (changed !== undefined) {
    sample.takeSet(total, changed.marks, changed.count, mostPixels.changed);
  }
  const isRest = (i: number) => changed?.isChanged(i) !== true && !onLine(i);
  sample.take(total, total, mostPixels.rest, isRest, false);
  return sample.done();
}

/**
 * Tells black line and its soft edges. What is covered all over but was not painted as black as the rest of the page's line is
 * none: there paint became line.
 */
function lineTest(
  near: Bitmap | undefined,
  coverage: Plate | undefined,
  painted: Raster | undefined,
  memory: KernelMemory,
) {
  if (near === undefined || coverage === undefined) return () => false;
  const { width } = near;
  const isNear = (i: number) => isSet(near, i % width, Math.floor(i / width));
  if (painted === undefined) return isNear;
  const own = ownBlack(coverage, painted);
  const within = shrink(bitmapOf(coverage.data, near, 255, memory), edgePx, memory);
  const isWithin = (i: number) => isSet(within, i % width, Math.floor(i / width));
  return (i: number) =>
    isNear(i) && (!isWithin(i) || Math.abs(levelAt(painted, i) - own.level) <= own.within);
}

/** How bright the page's line was painted: the median over some of what it covers, and how far its black may be from that. */
function ownBlack({ data }: Plate, painted: Raster): { readonly level: number; readonly within: number } {
  const levels: number[] = [];
  const steps: number[] = [];
  for (let i = 0; i + 1 < data.length; i += askEvery) {
    if (data[i] !== 255 || data[i + 1] !== 255) continue;
    const level = levelAt(painted, i);
    levels.push(level);
    steps.push(Math.abs(level - levelAt(painted, i + 1)));
  }
  const at = (numbers: readonly number[], share: number) =>
    [...numbers].sort((a, b) => a - b)[Math.floor(share * numbers.length)] ?? 0;
  const isRough = at(steps, cleanShare) > roughLevels;
  return { level: at(levels, 0.5), within: isRough ? blackLevels.rough : blackLevels.clean };
}

/** Pixels beside the line whose colour is not the page as painted. */
function changedBeside(
  colour: Raster,
  painted: Raster,
  onLine: (i: number) => boolean,
  memory: KernelMemory,
) {
  const { width } = colour;
  const unlike = unlikePixels(colour, painted, memory);
  let count = 0;
  eachSet(unlike, (i, x, y) => {
    if (onLine(i)) unlike.bits[y * unlike.rowBytes + (x >> 3)] &= ~(1 << (x & 7));
    else count++;
  });
  const isChanged = (i: number) => isSet(unlike, i % width, Math.floor(i / width));
  return { isChanged, marks: unlike, count };
}

/** A sample while it grows. */
class Sample {
  private readonly pixels = new Int32Array(mostAsked);
  private readonly weights = new Float32Array(mostAsked);
  private readonly isLine = new Uint8Array(mostAsked);
  private length = 0;

  /**
   * Takes every so-manieth pixel of a kind, each somewhere within its stretch, so that no pattern of the page falls in with it.
   * @param count pixels of the kind on the page, or more
   */
  take(total: number, count: number, most: number, isOfKind: (i: number) => boolean, isLine: boolean): void {
    if (count === 0) return;
    const stretch = Math.max(1, count / most);
    for (let k = 0; k * stretch < total; k++) {
      const i = askedIn(k, stretch);
      if (i < total && isOfKind(i)) this.add(i, stretch, isLine);
    }
  }

  /** As `take`, of pixels beside line that are marked: of few of them each is asked whether its stretch takes it. */
  takeSet(total: number, kind: Bitmap, count: number, most: number): void {
    const stretch = Math.max(1, count / most);
    if (count * stretch > total) {
      const isOfKind = (i: number) => isSet(kind, i % kind.width, Math.floor(i / kind.width));
      this.take(total, count, most, isOfKind, false);
      return;
    }
    eachSet(kind, (i) => {
      // Two stretches at most reach a pixel; one more is asked for the sake of rounding.
      const own = Math.floor(i / stretch);
      for (let k = Math.max(0, own - 1); k <= own + 1 && k * stretch < total; k++) {
        if (askedIn(k, stretch) === i) this.add(i, stretch, false);
      }
    });
  }

  private add(i: number, weight: number, isLine: boolean): void {
    this.pixels[this.length] = i;
    this.weights[this.length] = weight;
    this.isLine[this.length++] = isLine ? 1 : 0;
  }

  done(): FidelitySample {
    const upTo = <T extends Int32Array | Float32Array | Uint8Array>(all: T) =>
      all.subarray(0, this.length) as T;
    return { pixels: upTo(this.pixels), weights: upTo(this.weights), isLine: upTo(this.isLine) };
  }
}

/** The pixel that is asked of the k-th stretch. */
function askedIn(k: number, stretch: number): number {
  return Math.floor((k + (stretch === 1 ? 0 : scattered(k))) * stretch);
}

/** The same number between 0 and 1 for the same k: a linear congruential step (Numerical Recipes). */
function scattered(k: number): number {
  return ((Math.imul(k, 1664525) + 1013904223) >>> 8) / 2 ** 24;
}
