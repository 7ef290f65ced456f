import type { SizePx } from '../../config/units.js';
import { desk } from '../kernels/desk.js';
import type { Bitmap, Plate } from '../raster.js';
import { inRows, rowsAtOnce, samplesOf } from './bitmap.js';

/**
 * The share of each pixel of a coarser grid that a finer plate covers: exact area averages, 0 to 255. Both grids span
 * the same area; their ratio need not be whole.
 */
export function coverageOf(plate: Bitmap, size: SizePx): Plate {
  if (plate.width === size.width && plate.height === size.height) return { ...size, data: samplesOf(plate) };
  if (plate.width === 2 * size.width && plate.height === 2 * size.height) return halved(plate, size);
  const data = new Uint8Array(size.width * size.height);
  const columns = spans(plate.width, size.width);
  const rows = spans(plate.height, size.height);
  const sums = new Float32Array(plate.width);
  for (let y = 0; y < size.height; y++) {
    sumRows(plate, sums, rows, y);
    const start = y * size.width;
    for (let x = 0; x < size.width; x++) data[start + x] = Math.round(spanMean(sums, columns, x));
  }
  return { ...size, data };
}

/** The usual case, line art at twice the colour's resolution: the mean of two by two pixels. */
function halved({ rowBytes, bits }: Bitmap, size: SizePx): Plate {
  const { width, height } = size;
  const on = desk();
  const data = on.hold(width * height);
  const [from, to] = on.lay(rowsAtOnce(width) * 2 * rowBytes, rowsAtOnce(width) * width);
  inRows(size, (y, rows) => {
    const fine = on.reach(bits.subarray(2 * y * rowBytes, 2 * (y + rows) * rowBytes), from);
    const coarse = data.subarray(y * width, (y + rows) * width);
    const at = on.target(coarse, to);
    on.kernels.coverageOfHalves(fine, rowBytes, at, width, rows);
    on.take(at, coarse);
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

function sumRows(plate: Bitmap, sums: Float32Array, rows: Spans, y: number): void {
  const { width } = plate;
  const first = rows.first[y];
  const last = rows.last[y];
  const data = samplesOf(plate, 255, first, last - first + 1);
  let weights = 0;
  sums.fill(0);
  for (let row = first, j = 0; row <= last; row++) {
    const weight = row === first ? rows.firstShare[y] : row === last ? rows.lastShare[y] : 1;
    weights += weight;
    for (let x = 0; x < width; x++, j++) sums[x] += data[j] * weight;
  }
  for (let x = 0; x < width; x++) sums[x] /= weights;
}

function spanMean(sums: Float32Array, columns: Spans, x: number): number {
  const first = columns.first[x];
  const last = columns.last[x];
  let sum = sums[first] * columns.firstShare[x];
  let weights = columns.firstShare[x];
  for (let column = first + 1; column < last; column++) {
    sum += sums[column];
    weights++;
  }
  if (last > first) {
    sum += sums[last] * columns.lastShare[x];
    weights += columns.lastShare[x];
  }
  return sum / weights;
}
