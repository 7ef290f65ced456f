import { describe, expect, it } from 'vitest';
import { blackTolerance } from '../../../pipeline/layers/black.js';
import { edgePx, splitLettering } from '../../../pipeline/layers/lettering.js';
import { lineSettings } from '../../helpers/stack-builder.js';

const tolerance = blackTolerance(lineSettings);

/** Parts a strip whose rows are all alike; gives its one row as paint and ink, 0 to 1. */
function partRow(row: readonly (readonly [number, number, number, number])[]) {
  const width = row.length;
  const rows = 1 + 2 * edgePx;
  const pixels = new Uint16Array(width * rows * 4);
  for (let y = 0; y < rows; y++) {
    row.forEach((pixel, x) => {
      pixels.set(
        pixel.map((v) => Math.round(v * 65535)),
        (y * width + x) * 4,
      );
    });
  }
  const [paint, ink] = [new Uint16Array(pixels.length), new Uint16Array(pixels.length)];
  splitLettering({ width, rows, pixels }, tolerance, paint, ink);
  const rowOf = (from: Uint16Array, x: number) => {
    const at = (edgePx * width + x) * 4;
    return [...from.subarray(at, at + 4)].map((v) => Math.round((v / 65535) * 1000) / 1000);
  };
  return { paint: row.map((_, x) => rowOf(paint, x)), ink: row.map((_, x) => rowOf(ink, x)) };
}

const yellow = [1, 0.9, 0.4, 1] as const;
const black = [0, 0, 0, 1] as const;
const clear = [0, 0, 0, 0] as const;

describe('lettering', () => {
  it('carries the balloon on beneath the text and parts its soft edge', () => {
    const edge = [0.5, 0.45, 0.2, 1] as const;
    const { paint, ink } = partRow([
      yellow,
      yellow,
      yellow,
      yellow,
      edge,
      black,
      black,
      edge,
      yellow,
      yellow,
      yellow,
    ]);
    for (const pixel of paint) {
      for (let c = 0; c < 4; c++) expect(pixel[c]).toBeCloseTo(yellow[c], 2);
    }
    expect(ink.map((pixel) => pixel[3])).toEqual([0, 0, 0, 0, 0.5, 1, 1, 0.5, 0, 0, 0]);
  });

  it('puts no paint beneath text that stands on the art', () => {
    const { paint, ink } = partRow([
      clear,
      clear,
      clear,
      [0, 0, 0, 0.4],
      black,
      [0, 0, 0, 0.6],
      clear,
      clear,
      clear,
    ]);
    expect(paint.every((pixel) => pixel[3] === 0)).toBe(true);
    expect(ink.map((pixel) => pixel[3])).toEqual([0, 0, 0, 0.4, 1, 0.6, 0, 0, 0]);
  });

  it('leaves another colour beside the text as the paint that it is', () => {
    const red = [0.8, 0.1, 0.1, 1] as const;
    const { paint, ink } = partRow([yellow, yellow, yellow, red, black, black, yellow, yellow, yellow]);
    expect(paint[3]).toEqual([0.8, 0.1, 0.1, 1]);
    expect(ink[3][3]).toBe(0);
  });
});
