import { describe, expect, it } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import {
  bitmapOf,
  bitmapOfLight,
  both,
  countSet,
  eachSet,
  eachSetInRow,
  either,
  findChanges,
  samplesOf,
  without,
  wordsOf,
} from '../../../pipeline/line/bitmap.js';
import { coverageOf } from '../../../pipeline/line/coverage.js';
import { isSet } from '../../../pipeline/model/raster.js';
import { bitsOf, plateOf, plateOfBits, seeded } from '../../helpers/rasters.js';

const arena = new PageArena();

/** Tone of every value with stretches of paper and of solid ink. */
function tone(width: number, height: number) {
  const random = seeded(width);
  return plateOf(width, height, (x, y) => {
    const share = random();
    return (x >> 4) % 3 === 0 ? 0 : (y >> 3) % 3 === 0 ? 255 : Math.floor(share * 256);
  });
}

/** Widths around words and vectors, and one that takes several bands. */
const sizes = [
  [1, 1],
  [15, 3],
  [16, 2],
  [63, 5],
  [64, 5],
  [65, 5],
  [200, 7],
  [1500, 400],
] as const;

describe.each(sizes)('a bitmap of %i x %i', (width, height) => {
  const plate = tone(width, height);

  it.each([1, 51, 128, 255])('is set where there is enough ink: %i', (least) => {
    const expected = bitsOf(plateOf(width, height, (x, y) => (plate.data[y * width + x] >= least ? 255 : 0)));
    expect(bitmapOf(plate.data, plate, least, arena)).toEqual(expected);
    const light = plate.data.map((ink) => 255 - ink);
    expect(bitmapOfLight(light, plate, least, arena)).toEqual(expected);
  });

  it('becomes samples again, of whichever level', () => {
    const bits = bitsOf(plate);
    expect(samplesOf(bits, 255, arena)).toEqual(plateOfBits(bits).data);
    expect(samplesOf(bits, 1, arena)).toEqual(plateOfBits(bits).data.map((ink) => ink & 1));
    const lastRow = { ...bits, height: 1, bits: bits.bits.subarray(-bits.rowBytes) };
    expect(samplesOf(lastRow, 255, arena)).toEqual(plateOfBits(bits).data.slice(-width));
  });

  it('is asked and counted', () => {
    const bits = bitsOf(plate);
    expect(countSet(bits, arena)).toBe(plate.data.filter((ink) => ink >= 128).length);
    expect(isSet(bits, width - 1, height - 1)).toBe(plate.data[plate.data.length - 1] >= 128);
  });

  it('tells where its rows turn', () => {
    const bits = bitsOf(plate);
    const row = [...plate.data.subarray(0, width)].map((ink) => ink >= 128);
    const expected = row.flatMap((set, x) => (set === (row[x - 1] ?? false) ? [] : [x]));
    const changes = new Uint32Array(width + 1);
    const count = findChanges(wordsOf(bits), 0, bits.rowBytes >> 2, changes);
    expect([...changes.subarray(0, count)].filter((x) => x < width)).toEqual(expected);
  });
});

it('takes as many samples as its size says, or none', () => {
  expect(() => bitmapOf(new Uint8Array(5), { width: 2, height: 3 }, 1, arena)).toThrow(/expected 6 samples/);
});

it.each([1, 16, 31, 32, 33, 700])('covers %i coarser pixels by the mean of two by two', (width) => {
  const fine = tone(2 * width, 2 * 300);
  const bits = bitsOf(fine);
  const ink = plateOfBits(bits).data;
  const expected = plateOf(width, 300, (x, y) => {
    const at = 2 * y * 2 * width + 2 * x;
    return Math.round((ink[at] + ink[at + 1] + ink[at + 2 * width] + ink[at + 2 * width + 1]) / 4);
  });
  expect(coverageOf(bits, { width, height: 300 }, arena)).toEqual(expected);
});

describe('two bitmaps', () => {
  // Odd in words of 64 bits, and more than is worked on at a time.
  it.each([
    [65, 3],
    [70, 40_001],
  ])('of %i x %i pixels are joined pixel by pixel', (width, height) => {
    const [first, second] = [tone(width, height), tone(width, height + 1)].map((plate) => plate.data);
    const other = { width, height, data: second.subarray(width) };
    const [a, b] = [bitsOf({ width, height, data: first }), bitsOf(other)];
    const wanted = (of: (one: boolean, two: boolean) => boolean) =>
      bitsOf(plateOf(width, height, (x, y) => (of(isSet(a, x, y), isSet(b, x, y)) ? 255 : 0)));
    expect(Buffer.compare(both(a, b, arena).bits, wanted((one, two) => one && two).bits)).toBe(0);
    expect(Buffer.compare(either(a, b, arena).bits, wanted((one, two) => one || two).bits)).toBe(0);
    expect(Buffer.compare(without(a, b, arena).bits, wanted((one, two) => one && !two).bits)).toBe(0);
  });

  it('are asked row by row for what is set', () => {
    const bits = bitsOf(tone(70, 9));
    const all: number[] = [];
    eachSet(bits, (i, x, y) => all.push(i, x, y));
    const byRow: number[] = [];
    for (let y = 0; y < 9; y++) eachSetInRow(bits, y, (i, x) => byRow.push(i, x, y));
    const set = Array.from({ length: 70 * 9 }, (_, i) => [i, i % 70, Math.floor(i / 70)]);
    expect(all).toEqual(set.filter(([, x, y]) => isSet(bits, x, y)).flat());
    expect(byRow).toEqual(all);
  });
});
