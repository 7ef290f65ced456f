import type { SupportSettings } from '../../config/print-spec.js';
import { mmToPx } from '../../config/units.js';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import type { PageArena } from '../kernels/page-arena.js';
import { type Bitmap, channelsOf, maxOf, type Raster } from '../model/raster.js';
import { bitmapOf, countSet, findChanges, lowestBit, unpack, wordsOf } from './bitmap.js';
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
  arena: PageArena,
): void {
  const unseen = hiddenBy(covered, arena);
  guessBetween(picture, covered, unseen, coverage, arena);
  arena.borrow(() => {
    const hidden = arena.allocate(picture.width * picture.height);
    unpack(unseen, 1, hidden, arena);
    const rings = new Rings(countSet(unseen, arena), arena);
    addEdge(unseen, rings);
    for (let step = 0; step < depthPx && rings.next(); step++) fillRing(picture, hidden, rings);
    paintPaper(picture, bitmapOf(hidden, picture, 1, arena));
  });
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
 * @param unseen loses the pixels that got their colour so
 */
function guessBetween(
  picture: Raster,
  covered: Bitmap,
  unseen: Bitmap,
  coverage: Uint8Array,
  memory: KernelMemory,
): void {
  const { width, rowBytes } = covered;
  const [far, line] = [wordsOf(shrink(unseen, nearPx, memory)), wordsOf(covered)];
  const hidden = wordsOf(unseen);
  for (let at = 0; at < far.length; at++) {
    for (let word = line[at] & far[at]; word !== 0; word &= word - 1) {
      const bit = lowestBit(word);
      const i = Math.floor((at * 4) / rowBytes) * width + ((at * 4) % rowBytes) * 8 + bit;
      if (coverage[i] >= coreCoverage) continue;
      unmix(picture, i, coverage[i]);
      hidden[at] &= ~(1 << bit);
    }
  }
}

/** Takes the black out of a pixel that it covers by a known share: what is left is the share of the colour. */
function unmix({ model, alpha, data }: Raster, i: number, coverage: number): void {
  const channels = channelsOf({ model, alpha });
  const full = maxOf({ data });
  for (let at = i * channels; at < (i + 1) * channels; at++) {
    data[at] = Math.min(full, Math.round((data[at] * 255) / (255 - coverage)));
  }
}

/** Pixels to fill, by index, ring by ring: each of them waits for its ring once. */
class Rings {
  readonly pixels: Int32Array;
  /** Where the ring begins and ends that is being filled; what waits for the next one stands behind it. */
  start = 0;
  end = 0;
  private count = 0;

  /** @param most as many pixels as there are to fill */
  constructor(most: number, arena: PageArena) {
    const { buffer, byteOffset } = arena.allocate(most * Int32Array.BYTES_PER_ELEMENT);
    this.pixels = new Int32Array(buffer, byteOffset, most);
  }

  add(i: number): void {
    this.pixels[this.count++] = i;
  }

  /** Goes on to the next ring. @returns whether anything waits for it */
  next(): boolean {
    [this.start, this.end] = [this.end, this.count];
    return this.start < this.end;
  }
}

/** Adds the hidden pixels that touch visible colour; beyond the page there is none. */
function addEdge(unseen: Bitmap, rings: Rings): void {
  const { width, height } = unseen;
  const words = wordsOf(unseen);
  const wordsInRow = unseen.rowBytes >> 2;
  for (let y = 0, at = 0; y < height; y++) {
    for (let left = 0; left < wordsInRow * 32; left += 32, at++) {
      const word = words[at];
      if (word === 0) continue;
      const [isFirst, isLast] = [left === 0, width <= left + 32];
      const before = (word << 1) | (isFirst ? 1 : words[at - 1] >>> 31);
      const behind = (word >>> 1) | (isLast ? 1 << (width - 1 - left) : words[at + 1] << 31);
      const above = y > 0 ? words[at - wordsInRow] : -1;
      const below = y < height - 1 ? words[at + wordsInRow] : -1;
      for (let rest = word & ~(before & behind & above & below); rest !== 0; rest &= rest - 1) {
        rings.add(y * width + left + lowestBit(rest));
      }
    }
  }
}

/** Marks a pixel as already waiting in the next ring. */
const waiting = 2;

/** Gives each pixel of a ring the mean of its visible neighbours, makes the ring visible, and adds the next one. */
function fillRing(picture: Raster, hidden: Uint8Array, rings: Rings): void {
  const { width, height } = picture;
  const { pixels, start, end } = rings;
  meansOfVisible(picture, hidden, pixels.subarray(start, end));
  for (let n = start; n < end; n++) hidden[pixels[n]] = 0;
  const wait = (i: number) => {
    if (hidden[i] !== 1) return;
    hidden[i] = waiting;
    rings.add(i);
  };
  for (let n = start; n < end; n++) {
    const i = pixels[n];
    const x = i % width;
    if (x > 0) wait(i - 1);
    if (x < width - 1) wait(i + 1);
    if (i >= width) wait(i - width);
    if (i < width * (height - 1)) wait(i + width);
  }
}

/** Gives each of some hidden pixels the mean of those around it that are not hidden. */
function meansOfVisible(picture: Raster, hidden: Uint8Array, pixels: Int32Array): void {
  const { width, height, data } = picture;
  const channels = channelsOf(picture);
  // Grey is its own second and third channel.
  const [second, third] = channels === 1 ? [0, 0] : [1, 2];
  const lastRow = width * (height - 1);
  for (const i of pixels) {
    const x = i % width;
    const [left, right] = [x > 0 ? 1 : 0, x < width - 1 ? 1 : 0];
    const bottom = i < lastRow ? i + width : i;
    let [red, green, blue, count] = [0, 0, 0, 0];
    for (let row = i >= width ? i - width : i; row <= bottom; row += width) {
      for (let near = row - left; near <= row + right; near++) {
        if (hidden[near] !== 0) continue;
        const at = near * channels;
        red += data[at];
        green += data[at + second];
        blue += data[at + third];
        count++;
      }
    }
    if (count === 0) continue;
    const at = i * channels;
    data[at] = Math.round(red / count);
    data[at + second] = Math.round(green / count);
    data[at + third] = Math.round(blue / count);
  }
}

/** Makes paper of what is left. */
function paintPaper(picture: Raster, left: Bitmap): void {
  const { width, data } = picture;
  const channels = channelsOf(picture);
  const paper = maxOf(picture);
  const words = wordsOf(left);
  const wordsInRow = left.rowBytes >> 2;
  const changes = new Uint32Array(width + 1);
  for (let y = 0; y < left.height; y++) {
    const count = findChanges(words, y * wordsInRow, wordsInRow, changes);
    // A row that ends set has no last change where it fills its words to the end.
    if (count % 2 === 1) changes[count] = width;
    for (let n = 0; n < count; n += 2) {
      data.fill(paper, (y * width + changes[n]) * channels, (y * width + changes[n + 1]) * channels);
    }
  }
}
