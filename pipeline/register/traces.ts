import type { PageSketch, PageTrace } from '../model/page-result.js';
import type { Relief } from './likeness.js';

/** A page's edges in a few hundred bytes, so that pages can be held beside each other when nobody has their pictures any more. */

/** At most so many bits. */
const mostBits = 8192;

/** Where a relief stands out, a bit for each square of cells. */
export function traceOf(
  { columns, rows, heights }: Relief,
  sketch: PageSketch | undefined,
  look?: string,
): PageTrace {
  const side = Math.ceil(Math.sqrt((columns * rows) / mostBits));
  const [across, down] = [Math.ceil(columns / side), Math.ceil(rows / side)];
  const sums = new Float32Array(across * down);
  for (let y = 0; y < rows; y++) {
    const row = Math.floor(y / side) * across;
    for (let x = 0; x < columns; x++) sums[row + Math.floor(x / side)] += heights[y * columns + x];
  }
  const bits = Buffer.alloc(Math.ceil(sums.length / 8));
  for (const [at, sum] of sums.entries()) if (sum > 0) bits[at >> 3] |= 1 << (at & 7);
  return {
    columns: across,
    rows: down,
    bits: bits.toString('base64'),
    sketch,
    ...(look === undefined ? {} : { look }),
  };
}

/** How alike two traces are, 0 to 1, and by how many squares the second lies to the right and down of the first for it. */
export interface TraceMatch {
  readonly value: number;
  readonly right: number;
  readonly down: number;
}

/**
 * How alike two traces are: the correlation of their bits, 0 for pages of different shapes.
 * @param reach squares to each side that the second may lie off
 */
export function traceMatch(one: PageTrace, other: PageTrace, reach = 1): TraceMatch {
  let best: TraceMatch = { value: 0, right: 0, down: 0 };
  if (one.columns !== other.columns || one.rows !== other.rows) return best;
  const [ones, others] = [one, other].map(({ bits }) => Buffer.from(bits, 'base64'));
  for (let down = -reach; down <= reach; down++) {
    for (let right = -reach; right <= reach; right++) {
      const value = agreement(one, ones, others, right, down);
      if (value > best.value) best = { value, right, down };
    }
  }
  return best;
}

/** Squares of a trace that stand out. */
export function squaresIn({ bits }: PageTrace): number {
  let sum = 0;
  for (const byte of Buffer.from(bits, 'base64')) sum += bitsIn[byte];
  return sum;
}

/** Bits that are set in each byte. */
const bitsIn = Uint8Array.from(
  { length: 256 },
  (_, byte) => [...byte.toString(2)].filter((bit) => bit === '1').length,
);

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
