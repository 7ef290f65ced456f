import type { SupportSettings } from '../../config/print-spec.js';
import { mmToPx } from '../../config/units.js';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import { type Bitmap, channelsOf, maxOf, type Raster } from '../model/raster.js';
import { lowestBit, samplesOf, wordsOf } from './bitmap.js';
import { grow, shrink } from './morphology.js';

/** Colour carried in under black that a picture shows painted in, so that a plate out of register shows no paper. */

/** Pixels around the line that still show its soft edge: antialiasing and one resampling reach two. */
export const edgePx = 2;

/** How far colour is carried in at least, in millimetres: five times the register tolerance (fit.ts). */
const leastDepthMm = 0.5;

/**
 * How far colour is carried in under the line, in pixels: to the middle of every black that is too narrow for support ink, so
 * that none shows where colour ends within it.
 * @param ppi of the picture at print size
 */
export function fillDepthPx({ minWidthMm }: Pick<SupportSettings, 'minWidthMm'>, ppi: number): number {
  return edgePx + Math.ceil(mmToPx(Math.max(leastDepthMm, minWidthMm / 2), ppi));
}

/**
 * Fills what the line covers with the colour around it, ring by ring from the edge inwards. Black further inside than the
 * depth is left as paper: no register error reaches it, and support ink goes there.
 * @param picture changed in place
 * @param covered where the picture shows line instead of colour; its soft edge is added here
 * @param coverage share of each pixel that the line covers, 0 to 255
 * @param depthPx see fillDepthPx
 */
export function fillBeneath(
  picture: Raster,
  covered: Bitmap,
  coverage: Uint8Array,
  depthPx: number,
  memory: KernelMemory,
): void {
  const unseen = hiddenBy(covered, memory);
  const guessed = guessBetween(picture, covered, unseen, coverage, memory);
  const hidden = samplesOf(unseen, 1, memory);
  for (const i of guessed) hidden[i] = 0;
  let [ring, next] = [new Ring(), new Ring()];
  addEdge(hidden, picture.width, picture.height, ring);
  for (let step = 0; step < depthPx && ring.pixels.length > 0; step++) {
    fillRing(picture, hidden, ring.pixels, next);
    ring.empty();
    [ring, next] = [next, ring];
  }
  paintPaper(picture, hidden);
}

/**
 * What cannot be seen of the colour: the line and its soft edge. In a gap too narrow for any pixel to be clear of that edge,
 * such as between the strokes of a hatching, the pixels furthest from the line still show the colour best.
 */
function hiddenBy(covered: Bitmap, memory: KernelMemory): Bitmap {
  let inner = covered;
  const seen = new Uint32Array(wordsOf(covered).length);
  for (let distance = 1; distance <= edgePx; distance++) {
    const outer = grow(covered, distance, memory);
    // Pixels at just this distance, all of whose neighbours are no further away.
    const [within, taken] = [wordsOf(shrink(outer, 1, memory)), wordsOf(inner)];
    for (let i = 0; i < seen.length; i++) seen[i] |= within[i] & ~taken[i];
    inner = outer;
  }
  const hidden = wordsOf(inner);
  for (let i = 0; i < seen.length; i++) hidden[i] &= ~seen[i];
  return inner;
}

/**
 * Pixels covered at least this far (of 255) by line show what the line itself looks like, others enough of the colour to tell
 * it: three quarters.
 */
export const coreCoverage = 191;

/** A colour that is seen no further than this away is carried in instead of guessed, in pixels: the edge and one more. */
const nearPx = edgePx + 1;

/**
 * Where strokes lie so close that no pixel between them is free, as in a fine hatching at the resolution of the colour, each
 * pixel is a mix of black and colour in known shares: the colour follows.
 * @returns indices of pixels that got their colour so
 */
function guessBetween(
  picture: Raster,
  covered: Bitmap,
  unseen: Bitmap,
  coverage: Uint8Array,
  memory: KernelMemory,
): number[] {
  const { width, rowBytes } = covered;
  const [far, line] = [wordsOf(shrink(unseen, nearPx, memory)), wordsOf(covered)];
  const guessed: number[] = [];
  for (let at = 0; at < far.length; at++) {
    for (let word = line[at] & far[at]; word !== 0; word &= word - 1) {
      const x = ((at * 4) % rowBytes) * 8 + lowestBit(word);
      const i = Math.floor((at * 4) / rowBytes) * width + x;
      if (coverage[i] >= coreCoverage) continue;
      unmix(picture, i, coverage[i]);
      guessed.push(i);
    }
  }
  return guessed;
}

/** Takes the black out of a pixel that it covers by a known share: what is left is the share of the colour. */
function unmix({ model, alpha, data }: Raster, i: number, coverage: number): void {
  const channels = channelsOf({ model, alpha });
  const full = maxOf({ data });
  for (let at = i * channels; at < (i + 1) * channels; at++) {
    data[at] = Math.min(full, Math.round((data[at] * 255) / (255 - coverage)));
  }
}

/** Pixels to fill next, by index. Used again from ring to ring: a page has thousands of them, and 50 rings. */
class Ring {
  private indices = new Int32Array(1 << 16);
  private count = 0;

  add(i: number): void {
    if (this.count === this.indices.length) {
      const larger = new Int32Array(this.count * 2);
      larger.set(this.indices);
      this.indices = larger;
    }
    this.indices[this.count++] = i;
  }

  empty(): void {
    this.count = 0;
  }

  get pixels(): Int32Array {
    return this.indices.subarray(0, this.count);
  }
}

/** Adds the hidden pixels that touch visible colour. */
function addEdge(hidden: Uint8Array, width: number, height: number, edge: Ring): void {
  for (let y = 0, i = 0; y < height; y++) {
    for (let x = 0; x < width; x++, i++) {
      if (hidden[i] === 0) continue;
      const touches =
        (x > 0 && hidden[i - 1] === 0) ||
        (x < width - 1 && hidden[i + 1] === 0) ||
        (y > 0 && hidden[i - width] === 0) ||
        (y < height - 1 && hidden[i + width] === 0);
      if (touches) edge.add(i);
    }
  }
}

/** Marks a pixel as already waiting in the next ring. */
const waiting = 2;

/** Gives each pixel of a ring the mean of its visible neighbours, makes the ring visible, and adds the next one. */
function fillRing(picture: Raster, hidden: Uint8Array, ring: Int32Array, next: Ring): void {
  const { width, height } = picture;
  for (const i of ring) meanOfVisible(picture, hidden, i);
  for (const i of ring) hidden[i] = 0;
  const wait = (i: number) => {
    if (hidden[i] !== 1) return;
    hidden[i] = waiting;
    next.add(i);
  };
  for (const i of ring) {
    const x = i % width;
    if (x > 0) wait(i - 1);
    if (x < width - 1) wait(i + 1);
    if (i >= width) wait(i - width);
    if (i < width * (height - 1)) wait(i + width);
  }
}

function meanOfVisible(picture: Raster, hidden: Uint8Array, i: number): void {
  const { width, height, data } = picture;
  const channels = channelsOf(picture);
  // Grey is its own second and third channel.
  const step = channels === 1 ? 0 : 1;
  const x = i % width;
  const y = (i - x) / width;
  const [left, right] = [x > 0 ? -1 : 0, x < width - 1 ? 1 : 0];
  const bottom = Math.min(height - 1, y + 1);
  let first = 0;
  let second = 0;
  let third = 0;
  let count = 0;
  for (let v = Math.max(0, y - 1); v <= bottom; v++) {
    const row = v * width + x;
    for (let near = row + left; near <= row + right; near++) {
      if (hidden[near] !== 0) continue;
      const at = near * channels;
      first += data[at];
      second += data[at + step];
      third += data[at + 2 * step];
      count++;
    }
  }
  if (count === 0) return;
  const at = i * channels;
  data[at] = Math.round(first / count);
  data[at + step] = Math.round(second / count);
  data[at + 2 * step] = Math.round(third / count);
}

function paintPaper(picture: Raster, hidden: Uint8Array): void {
  const channels = channelsOf(picture);
  const paper = maxOf(picture);
  for (let i = 0; i < hidden.length; i++) {
    if (hidden[i] !== 0) picture.data.fill(paper, i * channels, (i + 1) * channels);
  }
}
