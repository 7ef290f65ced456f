import type { EdgeMap } from './edge-maps.js';

/** Whether two pages have their edges in the same places, roughly: what tells a page from another one of its series. */

/** How densely edges lie beside what is usual around, cell by cell, without what runs along rows and columns. */
export interface Relief {
  readonly columns: number;
  readonly rows: number;
  readonly heights: Float32Array;
}

/** Cells to each side that count as around. */
const reachCells = 4;

/**
 * The relief of a page's edges. Borders of panels are taken out, since pages of a series share them: from each cell the mean of its
 * row and of its column around are taken off, and that of the square around is given back.
 */
export function reliefOf({ columns, rows, across, down }: EdgeMap): Relief {
  const roots = across.map((count, at) => Math.sqrt(count + down[at]));
  const row = meansAlong(roots, columns, rows, 1, columns);
  const column = meansAlong(roots, rows, columns, columns, 1);
  const square = meansAlong(row, rows, columns, columns, 1);
  return { columns, rows, heights: roots.map((root, at) => root - row[at] - column[at] + square[at]) };
}

/** Means of the cells around along one axis. */
function meansAlong(
  of: Float32Array,
  length: number,
  lines: number,
  step: number,
  lineStep: number,
): Float32Array {
  const means = new Float32Array(of.length);
  for (let line = 0; line < lines; line++) {
    const start = line * lineStep;
    let sum = 0;
    let from = 0;
    let to = 0;
    for (let i = 0; i < length; i++) {
      for (; to < Math.min(length, i + reachCells + 1); to++) sum += of[start + to * step];
      for (; from < i - reachCells; from++) sum -= of[start + from * step];
      means[start + i * step] = sum / (to - from);
    }
  }
  return means;
}

/** How alike two reliefs are, -1 to 1, and where the second lies on the first for it. */
export interface Likeness {
  readonly value: number;
  /** Cells, to the right and down. */
  readonly columns: number;
  readonly rows: number;
}

/**
 * The most that two reliefs of one size are alike, with the second moved by up to so many cells.
 * Pages drawn for each other have 0.25 and more, others up to 0.1: measured on drawn pages (test/pipeline/register).
 * @param step cells from one place that is tried to the next, default 1; around the best of them all are tried
 */
export function likenessOf(one: Relief, other: Relief, reach: number, step = 1): Likeness {
  const coarse = bestWithin(one, other, { columns: 0, rows: 0 }, reach, step);
  return step === 1 ? coarse : bestWithin(one, other, coarse, step - 1, 1);
}

/** The best place around another. */
function bestWithin(
  one: Relief,
  other: Relief,
  around: Pick<Likeness, 'columns' | 'rows'>,
  reach: number,
  step: number,
): Likeness {
  let best: Likeness = { value: -1, columns: 0, rows: 0 };
  for (let rows = around.rows - reach; rows <= around.rows + reach; rows += step) {
    for (let columns = around.columns - reach; columns <= around.columns + reach; columns += step) {
      const value = correlation(one, other, columns, rows);
      if (value > best.value) best = { value, columns, rows };
    }
  }
  return best;
}

function correlation(one: Relief, other: Relief, right: number, down: number): number {
  const { columns, rows } = one;
  let [both, ones, others] = [0, 0, 0];
  for (let y = Math.max(0, -down); y < Math.min(rows, rows - down); y++) {
    const start = y * columns;
    const moved = (y + down) * columns + right;
    for (let x = Math.max(0, -right); x < Math.min(columns, columns - right); x++) {
      const a = one.heights[start + x];
      const b = other.heights[moved + x];
      both += a * b;
      ones += a * a;
      others += b * b;
    }
  }
  return ones === 0 || others === 0 ? 0 : both / Math.sqrt(ones * others);
}
