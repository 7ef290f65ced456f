import type { Outline, Pt } from './geometry.js';

/** The pixels inside a shape: for each row from `top` on, pairs of first and past-the-last column. */
export interface Region {
  readonly top: number;
  /** Where each row's pairs start in `spans`; one entry more than there are rows. */
  readonly rows: Int32Array;
  readonly spans: Int32Array;
}

export interface Grid {
  readonly width: number;
  readonly height: number;
  /** Pixels per page unit. */
  readonly scale: number;
}

/**
 * Finds the pixels whose centre lies inside an outline, by the non-zero winding rule. Edges stay hard on purpose: the
 * inks are 1 bit, and at 600 ppi the colour edge beneath them is finer than any press holds.
 */
export function regionOf(outline: Outline, grid: Grid): Region {
  const { points } = outline;
  let low = Infinity;
  let high = -Infinity;
  for (const point of points) {
    if (point[1] < low) low = point[1];
    if (point[1] > high) high = point[1];
  }
  const top = Math.max(0, Math.ceil(low * grid.scale - 0.5));
  const bottom = Math.min(grid.height, Math.ceil(high * grid.scale - 0.5));
  if (!(bottom > top)) return { top: 0, rows: new Int32Array(1), spans: new Int32Array(0) };
  const crossings = crossingsOf(points, grid.scale, top, bottom);
  return spansOf(crossings, top, bottom - top, grid.width);
}

interface Crossings {
  readonly rows: Int32Array;
  readonly x: Float64Array;
  readonly turn: Int8Array;
}

/** Where the sides of a polygon cross the middle of each row, row by row. */
function crossingsOf(points: readonly Pt[], scale: number, top: number, bottom: number): Crossings {
  const rows = new Int32Array(bottom - top + 1);
  const count = points.length;
  for (let i = 0; i < count; i++) {
    const y0 = points[i][1] * scale - 0.5;
    const y1 = points[i + 1 === count ? 0 : i + 1][1] * scale - 0.5;
    const from = Math.max(top, Math.ceil(Math.min(y0, y1)));
    const to = Math.min(bottom, Math.ceil(Math.max(y0, y1)));
    for (let y = from; y < to; y++) rows[y - top + 1]++;
  }
  for (let r = 1; r < rows.length; r++) rows[r] += rows[r - 1];
  const x = new Float64Array(rows[rows.length - 1]);
  const turn = new Int8Array(x.length);
  const next = rows.slice();
  for (let i = 0; i < count; i++) {
    const a = points[i];
    const b = points[i + 1 === count ? 0 : i + 1];
    const y0 = a[1] * scale - 0.5;
    const y1 = b[1] * scale - 0.5;
    if (y0 === y1) continue;
    const from = Math.max(top, Math.ceil(Math.min(y0, y1)));
    const to = Math.min(bottom, Math.ceil(Math.max(y0, y1)));
    const slope = ((b[0] - a[0]) * scale) / (y1 - y0);
    for (let y = from; y < to; y++) {
      const at = next[y - top]++;
      x[at] = a[0] * scale + (y - y0) * slope;
      turn[at] = y1 > y0 ? 1 : -1;
    }
  }
  return { rows, x, turn };
}

function spansOf({ rows, x, turn }: Crossings, top: number, height: number, width: number): Region {
  const starts = new Int32Array(height + 1);
  const spans = new Int32Array(x.length);
  let used = 0;
  for (let row = 0; row < height; row++) {
    starts[row] = used;
    sortRow(x, turn, rows[row], rows[row + 1]);
    let winding = 0;
    let left = 0;
    for (let i = rows[row]; i < rows[row + 1]; i++) {
      if (winding === 0) left = x[i];
      winding += turn[i];
      if (winding !== 0) continue;
      const from = Math.max(0, Math.ceil(left - 0.5));
      const to = Math.min(width, Math.ceil(x[i] - 0.5));
      if (to > from) {
        spans[used++] = from;
        spans[used++] = to;
      }
    }
  }
  starts[height] = used;
  return { top, rows: starts, spans: spans.subarray(0, used) };
}

/** Insertion sort: a row of a drawn shape seldom has more than a few crossings. */
function sortRow(x: Float64Array, turn: Int8Array, from: number, to: number): void {
  for (let i = from + 1; i < to; i++) {
    const value = x[i];
    const sign = turn[i];
    let j = i - 1;
    while (j >= from && x[j] > value) {
      x[j + 1] = x[j];
      turn[j + 1] = turn[j];
      j--;
    }
    x[j + 1] = value;
    turn[j + 1] = sign;
  }
}

/** The pixels that two regions share. */
export function intersection(a: Region, b: Region): Region {
  const top = Math.max(a.top, b.top);
  const bottom = Math.min(a.top + a.rows.length - 1, b.top + b.rows.length - 1);
  if (bottom <= top) return { top: 0, rows: new Int32Array(1), spans: new Int32Array(0) };
  const rows = new Int32Array(bottom - top + 1);
  const spans: number[] = [];
  for (let y = top; y < bottom; y++) {
    rows[y - top] = spans.length;
    let i = a.rows[y - a.top];
    let j = b.rows[y - b.top];
    const endA = a.rows[y - a.top + 1];
    const endB = b.rows[y - b.top + 1];
    while (i < endA && j < endB) {
      const from = Math.max(a.spans[i], b.spans[j]);
      const to = Math.min(a.spans[i + 1], b.spans[j + 1]);
      if (to > from) spans.push(from, to);
      if (a.spans[i + 1] < b.spans[j + 1]) i += 2;
      else j += 2;
    }
  }
  rows[bottom - top] = spans.length;
  return { top, rows, spans: Int32Array.from(spans) };
}

/** Sets every pixel of a region to one value. */
export function fillRegion(
  target: Uint8Array | Uint32Array | Float32Array,
  width: number,
  region: Region,
  value: number,
): void {
  const { top, rows, spans } = region;
  for (let row = 0; row + 1 < rows.length; row++) {
    const start = (top + row) * width;
    for (let i = rows[row]; i < rows[row + 1]; i += 2)
      target.fill(value, start + spans[i], start + spans[i + 1]);
  }
}
