import type { KernelMemory } from '../kernels/kernel-memory.js';
import type { Bitmap, Plate } from '../model/raster.js';
import { lowestBit, wordsOf } from './bitmap.js';
import { shrink } from './morphology.js';

/** What the edges of black tell of ink and paint: ink ends within a few pixels, paint goes on rising. */

/** How far an edge is looked at, in pixels. All lengths and levels here are our own choice, tried on drawn and painted pages. */
const lookPx = 8;

/** By here an edge of ink has come most of the way: antialiasing, one resampling and the traces of JPEG together. */
const crispPx = 4;

/** This much of the whole way. */
const crispShare = 0.65;

/** What is not brighter than black by this much of 255 is no edge yet. */
const leastRise = 16;

/** A way that goes back and forth by more than this share of the rise is grain. */
const mostWobble = 0.4;

/** Gaps that are no wider tell nothing: two soft edges meet in them. */
const tightPx = 2;

/** Ink goes on along its edge, as dark but for so much of 255. */
const alikeBy = 16;

/** How far into the black its own tone is looked for: past the soft edge. */
const corePx = 2;

/** Pixels that are alike so far into the black are a flat colour, by this much of 255. */
const flatPx = 3;
const flatBy = 6;

/** What one edge is: it tells nothing, it is paint, it is crisp, or crisp and the end of something flat. */
export const edge = { silent: 0, paint: 1, crisp: 2, crispFlat: 3 } as const;

/**
 * Receives each edge: where the black ends, what it is, the tone of the black behind it, and of flat black how much two pixels
 * side by side differ.
 */
type OnEdge = (x: number, y: number, kind: number, core: number, noise: number) => void;

/**
 * Looks across the edges of a black, in the four directions from every other pixel of its border.
 * @param black where the tone is at most `limit`
 * @param everyRow 1 looks at every row, 2 at every second
 */
export function lookAtEdges(
  tone: Plate,
  black: Bitmap,
  limit: number,
  onEdge: OnEdge,
  memory: KernelMemory,
  everyRow: 1 | 2 = 1,
): void {
  const { width, height, data } = tone;
  const [words, inner] = [wordsOf(black), wordsOf(shrink(black, 1, memory))];
  const wordsInRow = black.rowBytes >> 2;
  const look = (x: number, y: number, step: number, along: number) => {
    if (data[y * width + x + step] <= limit) return;
    const found = edgeAt(data, y * width + x, step, along, limit);
    const kind = found & 3;
    if (kind === edge.silent) return;
    const at = y * width + x - step;
    onEdge(x, y, kind, found >> 2, kind === edge.crispFlat ? Math.abs(data[at] - data[at - step]) : 0);
  };
  // Edges too close to the border of the page are not looked at.
  for (let y = lookPx; y < height - lookPx; y += everyRow) {
    const every = ((y / everyRow) & 1) === 0 ? 0x55555555 : 0xaaaaaaaa;
    for (let at = 0, word = y * wordsInRow; at < wordsInRow; at++, word++) {
      for (let rest = words[word] & ~inner[word] & every; rest !== 0; rest &= rest - 1) {
        const x = at * 32 + lowestBit(rest);
        if (x < lookPx || x >= width - lookPx) continue;
        look(x, y, 1, width);
        look(x, y, -1, width);
        look(x, y, width, 1);
        look(x, y, -width, 1);
      }
    }
  }
}

/** @returns the kind of the edge, and the tone of the black behind it times four */
function edgeAt(tone: Uint8Array, at: number, step: number, along: number, limit: number): number {
  let reach = 0;
  let top = 0;
  let topAt = 0;
  for (let k = 1, i = at + step; k <= lookPx && tone[i] > limit; k++, i += step) {
    reach = k;
    if (tone[i] > top) [top, topAt] = [tone[i], k];
  }
  if (reach <= tightPx) return edge.silent;
  const core = coreAt(tone, at, step);
  const rise = top - core;
  if (rise < leastRise) return edge.paint | (core << 2);
  let near = 0;
  for (let k = 1; k <= crispPx; k++) near = Math.max(near, tone[at + k * step]);
  const isCrisp =
    near >= core + crispShare * rise && wobble(tone, at, step, reach, topAt) <= mostWobble * rise;
  if (!isCrisp) return edge.paint | (core << 2);
  const [before, behind] = [continues(tone, at - along, step, core), continues(tone, at + along, step, core)];
  if (!before && !behind) return edge.paint | (core << 2);
  if (!before || !behind) return edge.silent;
  return (isFlat(tone, at, step) ? edge.crispFlat : edge.crisp) | (core << 2);
}

function coreAt(tone: Uint8Array, at: number, step: number): number {
  let core = tone[at];
  for (let k = 1; k <= corePx; k++) core = Math.min(core, tone[at - k * step]);
  return core;
}

/** Whether the black of an edge is there beside it too. */
function continues(tone: Uint8Array, at: number, step: number, core: number): boolean {
  return Math.min(tone[at - step], tone[at], tone[at + step]) <= core + alikeBy;
}

/** How far the way goes back before its top, and up again behind it. */
function wobble(tone: Uint8Array, at: number, step: number, reach: number, topAt: number): number {
  let sum = 0;
  for (let k = 1, i = at + step; k <= reach; k++, i += step) {
    const up = tone[i] - tone[i - step];
    if (k <= topAt ? up < 0 : up > 0) sum += Math.abs(up);
  }
  return sum;
}

function isFlat(tone: Uint8Array, at: number, step: number): boolean {
  const first = tone[at - step];
  for (let k = 2; k <= flatPx; k++) {
    if (Math.abs(tone[at - k * step] - first) > flatBy) return false;
  }
  return true;
}
