import type { SupportSettings } from '../../config/print-spec.js';
import { mmToPx } from '../../config/units.js';
import { cityBlocks, sweepDistances } from '../kernels/distances.js';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import type { PageArena } from '../kernels/page-arena.js';
import { type Bitmap, channelsOf, maxOf, type Raster } from '../model/raster.js';
import { bitmapOf, findChanges, lowestBit, unpack, wordsOf } from './bitmap.js';
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
    const distances = arena.allocate(picture.width * picture.height);
    const mostPx = Math.min(mostDistance, Math.max(1, (windowRows(picture) >> 1) - aroundRows));
    let left = unseen;
    // What lies further within than is filled at once comes afterwards, as if the rest had been visible.
    for (let filledPx = 0; filledPx < depthPx; filledPx += mostPx) {
      const furtherPx = Math.min(mostPx, depthPx - filledPx);
      unpack(left, furtherPx + 1, distances, arena);
      sweepDistances(distances, picture.width, furtherPx + 1, cityBlocks, arena);
      fillWindows(picture, distances, furtherPx, arena);
      left = bitmapOf(distances, picture, furtherPx + 1, arena);
    }
    paintPaper(picture, left);
  });
}

/** Distances are kept in bytes. */
const mostDistance = 250;

/** A window's pixels, of 16 bit, and a list of them fit into the scratch. */
const windowPixels = 1 << 20;

/** The rows above and below what is filled are looked at. */
const aroundRows = 2;

function windowRows({ width }: Raster): number {
  return Math.floor(windowPixels / width);
}

/**
 * Fills ring by ring while the rows are in the processor's cache, in windows down the page: in each, every next ring ends a row
 * further up than the one before, so that it finds that one above and below as well as beside it.
 */
function fillWindows(picture: Raster, distances: Uint8Array, depthPx: number, memory: KernelMemory): void {
  const { width, height, data } = picture;
  const samplesInRow = width * channelsOf(picture);
  const sampleBytes = data.BYTES_PER_ELEMENT;
  const step = Math.max(1, windowRows(picture) - depthPx - aroundRows);
  const most = (step + depthPx + aroundRows) * width;
  const [pixels, near, starts, list] = memory.scratch(
    (most * samplesInRow * sampleBytes) / width,
    most,
    (depthPx + 2) * Int32Array.BYTES_PER_ELEMENT,
    most * Int32Array.BYTES_PER_ELEMENT,
  );
  for (let y = 0; y < height + depthPx; y += step) {
    const [top, bottom] = [Math.max(0, y - depthPx - 1), Math.min(height, y + step)];
    const rows = data.subarray(top * samplesInRow, bottom * samplesInRow);
    const at = memory.addressOf(rows, pixels);
    const nearAt = memory.addressOf(distances.subarray(top * width, bottom * width), near);
    const [count, channels] = [bottom - top, channelsOf(picture)];
    const [from, to] = [y - top, y + step - top];
    const { kernels } = memory;
    kernels.fillRings(at, nearAt, width, count, channels, sampleBytes, from, to, depthPx, starts, list);
    memory.store(at, rows);
  }
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
