import type { LineSettings } from '../../config/print-spec.js';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import { type Bitmap, channelsOf, type Plate, type Raster } from '../model/raster.js';
import { bitmapOf } from './bitmap.js';
import { showsBlacks } from './border-shown.js';
import { grow, shrink } from './morphology.js';

/**
 * Whether a colour part shows the line, told from its thin strokes. Large blacks are asked only where there are none: colourists
 * like to fill them with something dark beneath, and whoever takes that for painted-in line loses all the other line of the page.
 */

/** Half the width of the widest stroke that counts, in colour pixels: half a millimetre at 300 ppi. Our own choice. */
const thinHalfPx = 6;

/** How far the colour beside a stroke is looked for, in pixels: across the stroke and its soft edge. */
const lookPx = 2 * thinHalfPx + 4;

/** A stroke shows when it is darker than everything beside it by this much of 255. Above noise and JPEG's traces. */
const darkerBy = 24;

/** Of the strokes that tell something, at least this share has to show. */
const shownShare = 0.5;

/** Fewer pixels than this tell nothing. */
const leastTelling = 24;

/** Every third pixel is asked, along diagonals, so that no stroke is passed over. */
const everyPx = 3;

/** Bytes of colour that are looked at as one window. */
const windowBytes = 4 * 2 ** 20;

/**
 * @param colour rgb or grey without alpha, at the size of the coverage
 * @param coverage share of each pixel that line covers, 0 to 255
 * @param coreCoverage pixels covered at least this far count as line
 */
export function showsLine(
  colour: Raster,
  coverage: Plate,
  coreCoverage: number,
  settings: Pick<LineSettings, 'blackMaxLevelPercent' | 'blackMaxChromaPercent'>,
  memory: KernelMemory,
): boolean {
  const core = bitmapOf(coverage.data, coverage, coreCoverage, memory);
  const thick = grow(shrink(core, thinHalfPx, memory), thinHalfPx + 1, memory);
  const blackTo = (settings.blackMaxLevelPercent / 100) * 255;
  const { shown, hidden } = countStrokes(colour, coverage, core, thick, blackTo, memory);
  if (shown + hidden < leastTelling) return showsBlacks(colour, coverage, settings);
  return shown >= shownShare * (shown + hidden);
}

/**
 * Asks every third pixel of the thin strokes. A stroke shows when it is darker than the colour in each direction in which
 * there is colour in reach; black beside it tells nothing.
 */
export function countStrokes(
  colour: Raster,
  coverage: Plate,
  core: Bitmap,
  thick: Bitmap,
  blackTo: number,
  memory: KernelMemory,
): { shown: number; hidden: number } {
  const { kernels } = memory;
  const { width, height, rowBytes } = core;
  const channels = channelsOf(colour);
  const sampleBytes = colour.data.BYTES_PER_ELEMENT;
  const rowSize = width * channels * sampleBytes;
  const samples = new Uint8Array(colour.data.buffer, colour.data.byteOffset, colour.data.byteLength);
  const beside = lookPx + 1;
  const most = Math.max(1, Math.floor(windowBytes / rowSize) - 2 * beside);
  const window = most + 2 * beside;
  const sizes = [window * rowSize, window * width, most * rowBytes, most * rowBytes, 8];
  const [colours, covers, bits, but, counts] = memory.scratch(...sizes);
  const found = { shown: 0, hidden: 0 };
  for (let y = 0; y < height; y += most) {
    const rows = Math.min(most, height - y);
    const [top, end] = [Math.max(0, y - beside), Math.min(height, y + rows + beside)];
    const at = memory.addressOf(samples.subarray(top * rowSize, end * rowSize), colours);
    const line = memory.addressOf(coverage.data.subarray(top * width, end * width), covers);
    kernels.lookAt(at, line, width, end - top, channels, sampleBytes);
    const set = memory.addressOf(core.bits.subarray(y * rowBytes, (y + rows) * rowBytes), bits);
    const not = memory.addressOf(thick.bits.subarray(y * rowBytes, (y + rows) * rowBytes), but);
    const first = y - top;
    kernels.countStrokes(set, not, rowBytes, first, rows, y, everyPx, lookPx, blackTo, darkerBy, counts);
    const [shown, hidden] = new Uint32Array(memory.view(counts, 8).slice().buffer);
    found.shown += shown;
    found.hidden += hidden;
  }
  return found;
}
