import { expect, it } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { seeded } from '../../helpers/rasters.js';

/** Undoing filters against their definition, byte by byte: PNG, third edition, 9.2. */

const arena = new PageArena();

/** What is added to a byte by each filter: a is the byte before, b the one above, c the one above that before. */
const foretold: readonly ((a: number, b: number, c: number) => number)[] = [
  () => 0,
  (a) => a,
  (_, b) => b,
  (a, b) => Math.floor((a + b) / 2),
  (a, b, c) => {
    const p = a + b - c;
    const [pa, pb, pc] = [Math.abs(p - a), Math.abs(p - b), Math.abs(p - c)];
    return pa <= pb && pa <= pc ? a : pb <= pc ? b : c;
  },
];

function unfiltered(packed: Uint8Array, rowBytes: number, pixelBytes: number, first: Uint8Array): Uint8Array {
  const rows = packed.length / (rowBytes + 1);
  const out = new Uint8Array(rows * rowBytes);
  for (let y = 0; y < rows; y++) {
    const above = y === 0 ? first : out.subarray((y - 1) * rowBytes, y * rowBytes);
    const row = out.subarray(y * rowBytes, (y + 1) * rowBytes);
    const from = y * (rowBytes + 1);
    for (let x = 0; x < rowBytes; x++) {
      const [a, c] = x < pixelBytes ? [0, 0] : [row[x - pixelBytes], above[x - pixelBytes]];
      row[x] = packed[from + 1 + x] + foretold[packed[from]](a, above[x], c);
    }
  }
  return out;
}

it.each([1, 2, 3, 4])('rows of pixels of %i bytes are what their filters say', (pixelBytes) => {
  const random = seeded(pixelBytes);
  const rowBytes = 37 * pixelBytes;
  const rows = 25;
  const packed = Uint8Array.from({ length: rows * (rowBytes + 1) }, () => Math.floor(random() * 256));
  for (let y = 0; y < rows; y++) packed[y * (rowBytes + 1)] = y % 5;
  const first = Uint8Array.from({ length: rowBytes }, () => Math.floor(random() * 256));
  const [from, above, to] = arena.scratch(packed.length, rowBytes, rows * rowBytes);
  arena.addressOf(packed, from);
  arena.addressOf(first, above);
  expect(arena.kernels.unfilterRows(from, rowBytes, rows, pixelBytes, above, to)).toBe(1);
  const found = arena.view(to, rows * rowBytes).slice();
  expect([...found]).toEqual([...unfiltered(packed, rowBytes, pixelBytes, first)]);
});

it('a filter that nobody knows is told', () => {
  const [from, above, to] = arena.scratch(10, 4, 8);
  arena.addressOf(Uint8Array.of(1, 1, 1, 1, 1, 5, 1, 1, 1, 1), from);
  expect(arena.kernels.unfilterRows(from, 4, 2, 4, above, to)).toBe(0);
});
