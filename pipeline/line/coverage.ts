import type { SizePx } from '../../config/units.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Bitmap, Plate } from '../model/raster.js';
import { inRows, rowsAtOnce, unpack } from './bitmap.js';

/**
 * The share of each pixel of a coarser grid that a finer plate covers: exact area averages, 0 to 255. Both grids span
 * the same area; their ratio need not be whole.
 * @returns the plate, in the arena where the ratio is 1 or 2
 */
export function coverageOf(plate: Bitmap, size: SizePx, arena: PageArena): Plate {
  if (plate.width === size.width && plate.height === size.height) return asItIs(plate, arena);
  if (plate.width === 2 * size.width && plate.height === 2 * size.height) return halved(plate, size, arena);
  const data = new Uint8Array(size.width * size.height);
  const columns = spans(plate.width, size.width);
  const rows = spans(plate.height, size.height);
  // A byte beyond the last: two are looked at together.
  const some = new Uint8Array(plate.rowBytes + 1);
  const every = new Uint8Array(plate.rowBytes + 1);
  for (let y = 0; y < size.height; y++) {
    const across = rowsUnder(plate, rows, y);
    if (!joinRows(across, some, every)) continue;
    coverRow(data.subarray(y * size.width, (y + 1) * size.width), columns, across, some, every);
  }
  return { ...size, data };
}

/** Line art at the colour's resolution: a pixel is covered or it is not. */
function asItIs(plate: Bitmap, arena: PageArena): Plate {
  const { width, height } = plate;
  const data = arena.allocate(width * height);
  unpack(plate, 255, data, arena);
  return { width, height, data };
}

/** The usual case, line art at twice the colour's resolution: the mean of two by two pixels. */
function halved({ rowBytes, bits }: Bitmap, size: SizePx, arena: PageArena): Plate {
  const { width, height } = size;
  const data = arena.allocate(width * height);
  const [from, to] = arena.scratch(rowsAtOnce(width) * 2 * rowBytes, rowsAtOnce(width) * width);
  inRows(size, (y, rows) => {
    const fine = arena.addressOf(bits.subarray(2 * y * rowBytes, 2 * (y + rows) * rowBytes), from);
    const coarse = data.subarray(y * width, (y + rows) * width);
    const at = arena.writableAddress(coarse, to);
    arena.kernels.coverageOfHalves(fine, rowBytes, at, width, rows);
    arena.store(at, coarse);
  });
  return { width, height, data };
}

/** For each coarse pixel: its first fine pixel, its last, and what share of these two lies inside. */
interface Spans {
  readonly first: Int32Array;
  readonly last: Int32Array;
  readonly firstShare: Float32Array;
  readonly lastShare: Float32Array;
}

function spans(fine: number, coarse: number): Spans {
  const first = new Int32Array(coarse);
  const last = new Int32Array(coarse);
  const firstShare = new Float32Array(coarse);
  const lastShare = new Float32Array(coarse);
  for (let i = 0; i < coarse; i++) {
    const from = (i * fine) / coarse;
    const to = ((i + 1) * fine) / coarse;
    first[i] = Math.min(fine - 1, Math.floor(from));
    last[i] = Math.max(first[i], Math.min(fine - 1, Math.ceil(to) - 1));
    firstShare[i] = last[i] === first[i] ? 1 : first[i] + 1 - from;
    lastShare[i] = to - last[i];
  }
  return { first, last, firstShare, lastShare };
}

/** The fine rows under one coarse row, and how much each counts. */
interface FineRows {
  readonly bits: readonly Uint8Array[];
  readonly weights: readonly number[];
}

function rowsUnder({ bits, rowBytes }: Bitmap, rows: Spans, y: number): FineRows {
  const first = rows.first[y];
  const last = rows.last[y];
  const under: Uint8Array[] = [];
  const weights: number[] = [];
  for (let row = first; row <= last; row++) {
    under.push(bits.subarray(row * rowBytes, (row + 1) * rowBytes));
    weights.push(row === first ? rows.firstShare[y] : row === last ? rows.lastShare[y] : 1);
  }
  return { bits: under, weights };
}

/** Which fine columns have ink in some of the rows, and in every one; says whether there is any. */
function joinRows({ bits }: FineRows, some: Uint8Array, every: Uint8Array): boolean {
  let any = 0;
  for (let at = 0; at < bits[0].length; at++) {
    let or = 0;
    let and = 255;
    for (const row of bits) {
      or |= row[at];
      and &= row[at];
    }
    some[at] = or;
    every[at] = and;
    any |= or;
  }
  return any !== 0;
}

/** As many columns as two bytes surely hold, wherever in the first the first of them stands. */
const columnsTogether = 9;

/** One coarse row. Only where ink and paper meet, which is a small part of a page, is there anything to be averaged. */
function coverRow(
  out: Uint8Array,
  columns: Spans,
  across: FineRows,
  some: Uint8Array,
  every: Uint8Array,
): void {
  for (let x = 0; x < out.length; x++) {
    const first = columns.first[x];
    const count = columns.last[x] - first + 1;
    if (count <= columnsTogether) {
      const at = first >> 3;
      const mask = ((1 << count) - 1) << (first & 7);
      if (((some[at] | (some[at + 1] << 8)) & mask) === 0) continue;
      if (((every[at] | (every[at + 1] << 8)) & mask) === mask) {
        out[x] = 255;
        continue;
      }
    }
    out[x] = Math.round(spanMean(across, columns, x));
  }
}

/** The mean of the fine pixels under a coarse one, each by the share of it that lies inside. */
function spanMean(across: FineRows, columns: Spans, x: number): number {
  const first = columns.first[x];
  const last = columns.last[x];
  let sum = 0;
  let weights = 0;
  for (let column = first; column <= last; column++) {
    const weight = column === first ? columns.firstShare[x] : column === last ? columns.lastShare[x] : 1;
    sum += columnMean(across, column) * weight;
    weights += weight;
  }
  return sum / weights;
}

function columnMean({ bits, weights }: FineRows, column: number): number {
  let sum = 0;
  let all = 0;
  for (let row = 0; row < bits.length; row++) {
    const isInk = ((bits[row][column >> 3] >> (column & 7)) & 1) === 1;
    if (isInk) sum = Math.fround(sum + 255 * weights[row]);
    all += weights[row];
  }
  return Math.fround(sum / all);
}
