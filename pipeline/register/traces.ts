import type { PageTrace } from '../model/page-result.js';
import type { Relief } from './likeness.js';

/** A page's edges in a few hundred bytes, so that pages can be held beside each other when nobody has their pictures any more. */

/** At most so many bits. */
const mostBits = 8192;

/** Where a relief stands out, a bit for each square of cells. */
export function traceOf({ columns, rows, heights }: Relief): PageTrace {
  const side = Math.ceil(Math.sqrt((columns * rows) / mostBits));
  const [across, down] = [Math.ceil(columns / side), Math.ceil(rows / side)];
  const sums = new Float32Array(across * down);
  for (let y = 0; y < rows; y++) {
    const row = Math.floor(y / side) * across;
    for (let x = 0; x < columns; x++) sums[row + Math.floor(x / side)] += heights[y * columns + x];
  }
  const bits = Buffer.alloc(Math.ceil(sums.length / 8));
  for (const [at, sum] of sums.entries()) if (sum > 0) bits[at >> 3] |= 1 << (at & 7);
  return { columns: across, rows: down, bits: bits.toString('base64') };
}

/**
 * How alike two traces are: the correlation of their bits, -1 to 1; 0 for pages of different shapes. The second may lie a square
 * to any side.
 */
export function traceLikeness(one: PageTrace, other: PageTrace): number {
  if (one.columns !== other.columns || one.rows !== other.rows) return 0;
  const [ones, others] = [one, other].map(({ bits }) => Buffer.from(bits, 'base64'));
  let most = 0;
  for (let down = -1; down <= 1; down++) {
    for (let right = -1; right <= 1; right++)
      most = Math.max(most, agreement(one, ones, others, right, down));
  }
  return most;
}

function agreement(
  { columns, rows }: PageTrace,
  ones: Buffer,
  others: Buffer,
  right: number,
  down: number,
): number {
  let [n, inOne, inOther, inBoth] = [0, 0, 0, 0];
  for (let y = Math.max(0, -down); y < Math.min(rows, rows - down); y++) {
    for (let x = Math.max(0, -right); x < Math.min(columns, columns - right); x++) {
      const a = bitAt(ones, y * columns + x);
      const b = bitAt(others, (y + down) * columns + x + right);
      n++;
      inOne += a;
      inOther += b;
      inBoth += a & b;
    }
  }
  const spread = Math.sqrt(inOne * (n - inOne) * inOther * (n - inOther));
  return spread === 0 ? 0 : (n * inBoth - inOne * inOther) / spread;
}

function bitAt(bits: Buffer, at: number): number {
  return (bits[at >> 3] >> (at & 7)) & 1;
}
