import type { SupportSettings } from '../../config/print-spec.js';
import { mmToPx } from '../../config/units.js';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import type { PageArena } from '../kernels/page-arena.js';
import {
  bitmapOf,
  bitmapOfLight,
  countSet,
  eachSet,
  emptyBitmap,
  lowestBit,
  wordsOf,
} from '../line/bitmap.js';
import { levelsOf } from '../line/tone.js';
import { type Bitmap, channelsOf, gathered, isSet, maxOf, type Plate, type Raster } from '../model/raster.js';
import { type ProcessPlanes, processPlanes, type Separation } from '../model/separation.js';
import { distancesTo, mostPx } from './distance.js';
import type { Separator } from './separator.js';

/**
 * Where the line plate ends in the middle of black, because light begins there or paint goes on, nobody painted a border. On the
 * way there what lies beneath the black passes over to the black that the profile itself mixes, and beyond it black ink passes
 * from full to the profile's: so no ink steps, whatever lies beneath the line and however steep the light is. Support ink is
 * not choked there either: it passes over too.
 */

/** The inks pass over within so many pixels: 100 % in 32 steps is some 3 % a step. Own choice. */
const passPx = 32;

/** Black ink passes from full to the profile's within so many pixels: that is 10 % at most. */
const blackPassPx = 12;

/** The line ends within black where the page changes by no more than this from one pixel to the next, of 255. Own choice. */
const gentleLevels = 25;

/** The page goes on as painted where its colour differs by no more than this from it, of 255: JPEG's traces and resampling. Own choice. */
const asPaintedLevels = 8;

/** Where the line ends, resampling has mixed the colour beneath it into the page beside it so far, in pixels. */
const blendedPx = 4;

/** As bright as this (of 255), a page is so far from black that nothing ends in its middle, and no black ink is added. */
const darkLevels = 64;

/** Covered at least this far (of 255), a pixel is line. */
const lineCoverage = 128;

/** What black meets light with. */
export interface MeetingOptions {
  /** The page as painted, line included; rgb or grey without alpha, of the size of the coverage. */
  readonly painted: Raster;
  /** What was separated: the page as painted but for its line; of the same kind. */
  readonly colour: Raster;
  /** Around hard borders of light, where line ends as painted; undefined where there are none. */
  readonly hard: Bitmap | undefined;
  /** Its embedded profile; undefined where it is untagged. */
  readonly profile: Uint8Array | undefined;
  /** Of the press condition, with the page's intent and ink limit. */
  readonly separator: Separator;
  /** How far support ink stays away from the edge of its black. */
  readonly support: Pick<SupportSettings, 'chokeMm'>;
  /** Of the separation. */
  readonly ppi: number;
}

/**
 * @param separation the colour beneath the line, support ink in it; changed in place
 * @param coverage share of each pixel that line covers, 0 to 255
 */
export function meetLight(
  separation: Separation,
  coverage: Plate,
  options: MeetingOptions,
  arena: PageArena,
): void {
  arena.borrow(() => passAtEnds(separation, coverage, options, arena));
}

function passAtEnds(
  separation: Separation,
  coverage: Plate,
  options: MeetingOptions,
  arena: PageArena,
): void {
  const levels = levelsOf(options.painted, arena);
  const ends = gentleEnds(coverage, levels, options, arena);
  if (ends === undefined) return;
  const chokePx = Math.min(mostPx - passPx, Math.ceil(mmToPx(options.support.chokeMm, options.ppi)) + 1);
  const distances = distancesTo(ends, chokePx + passPx, arena);
  const planes = processPlanes(separation);
  passOver(planes, coverage, distances, chokePx, options, arena);
  passBlack(planes, coverage, levels, distances, options, arena);
}

/** Line pixels at which the line ends although the page goes on nearly as dark; undefined where there are none. */
function gentleEnds(
  coverage: Plate,
  levels: Uint8Array,
  { colour, painted, hard }: MeetingOptions,
  memory: KernelMemory,
): Bitmap | undefined {
  const { width, data } = coverage;
  const line = bitmapOf(data, coverage, lineCoverage, memory);
  const ends = emptyBitmap(coverage);
  let any = false;
  eachBorder(line, (i, near) => {
    if (Math.abs(levels[i] - levels[near]) > gentleLevels) return;
    const [end, beside] = data[i] >= lineCoverage ? [i, near] : [near, i];
    // Between strokes two soft edges meet, as dark as each other: that is the middle of no black.
    if (levels[end] > darkLevels || !showsAsPainted(colour, painted, beside)) return;
    if (hard !== undefined && isSet(hard, i % width, Math.floor(i / width))) return;
    const [x, y] = [end % width, Math.floor(end / width)];
    ends.bits[y * ends.rowBytes + (x >> 3)] |= 1 << (x & 7);
    any = true;
  });
  return any ? ends : undefined;
}

/** Calls `visit` for each two pixels, side by side or above each other, of which one is set: the left or upper one first, by index. */
function eachBorder(bitmap: Bitmap, visit: (i: number, near: number) => void): void {
  const { width, height } = bitmap;
  const words = wordsOf(bitmap);
  const wordsInRow = bitmap.rowBytes >> 2;
  for (let y = 0, at = 0; y < height; y++) {
    for (let left = 0; left < wordsInRow * 32; left += 32, at++) {
      const [word, next] = [words[at], left + 32 < width ? words[at + 1] : 0];
      const first = y * width + left;
      // Nothing is set beyond the width, and the last pixel has none beside it.
      const beside = width - 1 - left >= 32 ? -1 : width > left ? (1 << (width - 1 - left)) - 1 : 0;
      for (let rest = (word ^ ((word >>> 1) | (next << 31))) & beside; rest !== 0; rest &= rest - 1) {
        const i = first + lowestBit(rest);
        visit(i, i + 1);
      }
      const below = y + 1 < height ? words[at + wordsInRow] : word;
      for (let rest = word ^ below; rest !== 0; rest &= rest - 1) {
        const i = first + lowestBit(rest);
        visit(i, i + width);
      }
    }
  }
}

/** Whether a pixel's colour is that of the page as painted: where line ends with its own soft edge, the ink is taken out of it. */
function showsAsPainted(colour: Raster, painted: Raster, i: number): boolean {
  const most = (asPaintedLevels * maxOf(painted)) / 255;
  const channels = channelsOf(painted);
  for (let at = i * channels; at < (i + 1) * channels; at++) {
    if (Math.abs(colour.data[at] - painted.data[at]) > most) return false;
  }
  return true;
}

/** Mixes the inks of the page as painted into what lies beneath the line, the nearer to its end the more, and all of them beside it. */
function passOver(
  planes: ProcessPlanes,
  coverage: Plate,
  distances: Uint8Array,
  chokePx: number,
  { painted, profile, separator }: MeetingOptions,
  arena: PageArena,
): void {
  const pixels = nearPixels(coverage, distances, chokePx, arena);
  const wanted = processPlanes(separator.separate(gathered(painted, pixels), profile, arena).separation);
  for (const [ink, plane] of planes.entries()) {
    for (let n = 0; n < pixels.length; n++) {
      const i = pixels[n];
      const stays = coverage.data[i] === 0 ? 0 : Math.max(0, distances[i] - chokePx) / passPx;
      plane[i] = Math.round(plane[i] * stays + wanted[ink][n] * (1 - stays));
    }
  }
}

/** Pixels so near to the end of the line that inks pass over there, by index. */
function nearPixels(
  coverage: Plate,
  distances: Uint8Array,
  chokePx: number,
  memory: KernelMemory,
): Int32Array {
  const near = bitmapOfLight(distances, coverage, 256 - (chokePx + passPx), memory);
  const pixels = new Int32Array(countSet(near, memory));
  let count = 0;
  eachSet(near, (i) => {
    if (coverage.data[i] !== 0 || distances[i] < blendedPx) pixels[count++] = i;
  });
  return pixels.subarray(0, count);
}

/** Adds black ink beyond the end of the line, where the profile's own black has less than 100 %. */
function passBlack(
  planes: ProcessPlanes,
  coverage: Plate,
  levels: Uint8Array,
  distances: Uint8Array,
  { painted, profile, separator }: MeetingOptions,
  arena: PageArena,
): void {
  const [cyan, magenta, yellow, black] = planes;
  const missing = 255 - deepestBlack(painted, profile, separator, arena);
  const most = Math.floor((separator.inkLimitPercent * 255) / 100);
  if (missing <= 0) return;
  eachSet(bitmapOfLight(distances, coverage, 256 - blackPassPx, arena), (i) => {
    if (coverage.data[i] !== 0 || levels[i] >= darkLevels) return;
    const share = (1 - distances[i] / blackPassPx) * (1 - levels[i] / darkLevels);
    const more = Math.min(255 - black[i], Math.round(missing * share));
    const others = cyan[i] + magenta[i] + yellow[i];
    const left = Math.min(1, (most - black[i] - more) / Math.max(1, others));
    for (const plane of [cyan, magenta, yellow]) plane[i] = Math.floor(plane[i] * left);
    black[i] += more;
  });
}

/** How much black ink the separation has for pure black, 0 to 255. */
function deepestBlack(
  painted: Raster,
  profile: Uint8Array | undefined,
  separator: Separator,
  arena: PageArena,
): number {
  const data = painted.data.slice(0, channelsOf(painted)).fill(0);
  const none = { ...painted, width: 1, height: 1, data };
  const [, , , black] = processPlanes(separator.separate(none, profile, arena).separation);
  return black[0];
}
