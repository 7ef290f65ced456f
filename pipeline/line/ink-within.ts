import type { KernelMemory } from '../kernels/kernel-memory.js';
import type { Plate } from '../model/raster.js';
import { bitmapOfLight, lowestBit, wordsOf } from './bitmap.js';
import type { InkLevel } from './edge-counts.js';
import { type InkTiles, isInkedAt } from './ink-tiles.js';
import { shrink } from './morphology.js';

/**
 * Whether black is constant within. Where JPEG or a scan makes the tones of an ink many, its edges alone do not tell it from dark
 * paint with crisp edges; but well within a black ink is one tone, and then there is a gap until the colours. Figures are our
 * own choice.
 */

/** How far within, in pixels: clear of the traces that JPEG leaves along an edge. */
const withinPx = 4;

/** A peak with no more tones than this above its middle is narrow: nothing need be asked within. */
const narrowLevels = 8;

/** Above the ink's tones the gap is looked for so far. */
const gapLevels = 10;

/** One tone, but for noise, is so many levels. */
const oneToneLevels = 8;

/** Of what is black within, the gap included, at least this share has one tone. */
const leastOfOneTone = 0.85;

/** A further colour comes after a gap of so many levels, with no more of its own pixels in it. */
const gapBeforeLevels = 3;
const mostInGap = 0.1;

/** Fewer pixels than this tell nothing. */
const leastPixels = 2000;

/** @returns false where the black of the inked tiles is of many tones within */
export function isConstantWithin(tone: Plate, ink: InkLevel, tiles: InkTiles, memory: KernelMemory): boolean {
  if (ink.to - ink.level <= narrowLevels) return true;
  const counts = countWithin(tone, ink.to + gapLevels, tiles, memory);
  const half = Math.round(oneToneLevels * 0.75);
  if (sumOf(counts, ink.level - half, ink.level + half) < leastPixels) return true;
  const first = densest(counts, 0);
  const own = sumOf(counts, first, first + oneToneLevels - 1);
  const further = furtherColour(counts, first + oneToneLevels);
  return own >= leastOfOneTone * (sumOf(counts, 0, counts.length) - further);
}

/** Where the window of one tone begins that holds the most. */
function densest(counts: Uint32Array, least: number): number {
  let [best, first] = [-1, least];
  for (let from = least; from < counts.length; from++) {
    const held = sumOf(counts, from, from + oneToneLevels - 1);
    if (held > best) [best, first] = [held, from];
  }
  return first;
}

/** Pixels of one further dark colour: flat, so that there is a gap before it. */
function furtherColour(counts: Uint32Array, least: number): number {
  const first = densest(counts, least + gapBeforeLevels);
  const held = sumOf(counts, first, first + oneToneLevels - 1);
  return sumOf(counts, first - gapBeforeLevels, first - 1) < mostInGap * held ? held : 0;
}

/** How many pixels well within the black have each tone. */
function countWithin(tone: Plate, to: number, tiles: InkTiles, memory: KernelMemory): Uint32Array {
  const within = shrink(bitmapOfLight(tone.data, tone, 255 - to, memory), withinPx, memory);
  const counts = new Uint32Array(to + 1);
  const words = wordsOf(within);
  const wordsInRow = within.rowBytes >> 2;
  for (let at = 0; at < words.length; at++) {
    if (words[at] === 0) continue;
    const y = Math.floor(at / wordsInRow);
    const left = (at - y * wordsInRow) * 32;
    // A word never reaches over two tiles.
    if (!isInkedAt(tiles, left, y)) continue;
    for (let rest = words[at]; rest !== 0; rest &= rest - 1) {
      counts[tone.data[y * tone.width + left + lowestBit(rest)]]++;
    }
  }
  return counts;
}

function sumOf(counts: Uint32Array, from: number, to: number): number {
  let sum = 0;
  for (let i = Math.max(0, from); i <= Math.min(counts.length - 1, to); i++) sum += counts[i];
  return sum;
}
