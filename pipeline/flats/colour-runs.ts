import type { SizePx } from '../../config/units.js';
import { type KernelMemory, smallBandPixels } from '../kernels/kernel-memory.js';
import { ColourTable } from './colour-table.js';
import { type FlatsPixels, transparentKey, whiteKey } from './flats-pixels.js';

/**
 * A picture of flats as runs of one colour: some hundred thousand where there are millions of pixels. Row by row, each row whole,
 * neighbours always of different colours.
 */
export interface ColourRuns extends SizePx {
  readonly count: number;
  /** The first run of each row, and behind the last row the number of runs. */
  readonly rows: Uint32Array;
  /** The column where each run starts; it ends where the next one of its row starts, or with the row. */
  readonly starts: Uint32Array;
  /** Number of the colour of each run, in `colours`. */
  readonly colours: Uint32Array;
  /** What each colour number stands for: its bytes, the first one lowest. */
  readonly keys: Uint32Array;
  /** Number of the colour that means that nothing was laid here; -1 where the picture has none of it. */
  readonly ground: number;
}

/** More runs than one in so many pixels are grain or brushwork: flats with soft edges all over have one in 25. Own choice. */
const leastPixelsARun = 6;

/** A picture small enough to be looked at whatever it holds, in runs. */
const alwaysRuns = 1 << 16;

/** Rows that are looked at before all others, so that a painting costs nothing. */
const triedRows = 64;

/** Finds the runs of a picture. @returns undefined where it has so many that it is no picture of flats */
export function colourRuns(pixels: FlatsPixels, memory: KernelMemory): ColourRuns | undefined {
  const { width, height } = pixels;
  const most = Math.max(alwaysRuns, Math.floor((width * height) / leastPixelsARun));
  const rowRuns = rowReader(pixels, memory);
  if (width * height > most && isGrainy(rowRuns, pixels)) return undefined;
  const found = new GrowingRuns(height);
  const table = new ColourTable();
  for (let y = 0; y < height; y++) {
    found.rows[y] = found.count;
    let last = -1;
    rowRuns(y, (x, key) => {
      const colour = table.numberOf(key);
      if (colour !== last) found.add(x, colour);
      last = colour;
    });
    if (found.count > most || table.isFull) return undefined;
  }
  found.rows[height] = found.count;
  const { count, rows, starts, colours } = found;
  return { width, height, count, rows, starts, colours, keys: table.keys, ground: groundOf(table) };
}

/** Transparent, or where nothing is, white. */
function groundOf(table: ColourTable): number {
  const transparent = table.find(transparentKey);
  return transparent >= 0 ? transparent : table.find(whiteKey);
}

/** Where a run ends, that of the row `y`. */
export function endOf({ rows, starts, width }: ColourRuns, run: number, y: number): number {
  return run + 1 < rows[y + 1] ? starts[run + 1] : width;
}

type RowReader = (y: number, visit: (x: number, key: number) => void) => void;

/** Gives the runs of any row, some of them perhaps of one colour side by side. */
function rowReader(pixels: FlatsPixels, memory: KernelMemory): RowReader {
  const { width, bytes, data, hasAlpha } = pixels;
  const most = Math.min(width, smallBandPixels);
  const [from, to, startsAt] = memory.scratch(most * bytes, (most + 1) * bytes, (most + 1) * 2);
  const firsts = memory.view(to, (most + 1) * bytes);
  const startBytes = memory.view(startsAt, (most + 1) * 2);
  const starts = new Uint16Array(startBytes.buffer, startBytes.byteOffset, most + 1);
  return (y, visit) => {
    for (let left = 0; left < width; left += most) {
      const count = Math.min(most, width - left);
      const first = (y * width + left) * bytes;
      const at = memory.addressOf(data.subarray(first, first + count * bytes), from);
      const runs = memory.kernels.squeeze(at, count, bytes, to, startsAt);
      for (let run = 0, i = 0; run < runs; run++, i += bytes) {
        const key = firsts[i] | (firsts[i + 1] << 8) | (firsts[i + 2] << 16);
        const fourth = bytes === 4 ? firsts[i + 3] : 255;
        visit(left + starts[run], hasAlpha && fourth === 0 ? transparentKey : (key | (fourth << 24)) >>> 0);
      }
    }
  };
}

function isGrainy(rowRuns: RowReader, { width, height }: SizePx): boolean {
  let [runs, pixels] = [0, 0];
  for (let y = 0; y < height; y += Math.ceil(height / triedRows)) {
    rowRuns(y, () => runs++);
    pixels += width;
  }
  return runs * leastPixelsARun > pixels;
}

/** Runs as they are found. */
class GrowingRuns {
  count = 0;
  readonly rows: Uint32Array;
  starts: Uint32Array = new Uint32Array(alwaysRuns);
  colours: Uint32Array = new Uint32Array(alwaysRuns);

  constructor(height: number) {
    this.rows = new Uint32Array(height + 1);
  }

  add(start: number, colour: number): void {
    const run = this.count++;
    if (run === this.starts.length) {
      this.starts = twice(this.starts);
      this.colours = twice(this.colours);
    }
    this.starts[run] = start;
    this.colours[run] = colour;
  }
}

function twice(numbers: Uint32Array): Uint32Array {
  const larger = new Uint32Array(numbers.length * 2);
  larger.set(numbers);
  return larger;
}
