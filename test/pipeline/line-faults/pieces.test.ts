import { describe, expect, test } from 'vitest';
import { piecesOf } from '../../../pipeline/line-faults/pieces.js';
import { bitsOf, plateOf, seeded } from '../../helpers/rasters.js';

/** A mask as rows of 0 and 1. */
function maskOf(...rows: string[]) {
  return bitsOf(plateOf(rows[0].length, rows.length, (x, y) => (rows[y][x] === '1' ? 255 : 0)));
}

function counts(...rows: string[]): number[] {
  return [true, false].map((byCorners) => piecesOf(maskOf(...rows), { byCorners }).length);
}

/** Pieces by filling, pixel by pixel: area and box of each, in reading order of their first pixels. */
function filled(isSet: (x: number, y: number) => boolean, width: number, height: number, corners: boolean) {
  const seen = new Set<number>();
  const found: number[][] = [];
  for (let start = 0; start < width * height; start++) {
    if (seen.has(start) || !isSet(start % width, Math.floor(start / width))) continue;
    const box = [width, height, 0, 0, 0];
    const open = [start];
    seen.add(start);
    for (let at = open.pop(); at !== undefined; at = open.pop()) {
      const [x, y] = [at % width, Math.floor(at / width)];
      box[0] = Math.min(box[0], x);
      box[1] = Math.min(box[1], y);
      box[2] = Math.max(box[2], x + 1);
      box[3] = Math.max(box[3], y + 1);
      box[4]++;
      for (let v = Math.max(0, y - 1); v <= Math.min(height - 1, y + 1); v++) {
        for (let u = Math.max(0, x - 1); u <= Math.min(width - 1, x + 1); u++) {
          if ((!corners && u !== x && v !== y) || seen.has(v * width + u) || !isSet(u, v)) continue;
          seen.add(v * width + u);
          open.push(v * width + u);
        }
      }
    }
    found.push(box);
  }
  return found;
}

describe('pieces of a mask', () => {
  test('the worked examples: corners join or do not, and late joins are seen', () => {
    expect(counts('10101', '01010', '10101', '01010', '10101')).toEqual([1, 13]);
    expect(counts('1111111', '0000001', '1111101', '1000101', '1011101', '1000001', '1111111')).toEqual([
      1, 1,
    ]);
    expect(counts('1010111', '1010001', '1110111', '0000101', '1110111')).toEqual([3, 3]);
  });

  test('are those that filling finds, with the same areas and boxes', () => {
    const random = seeded(11);
    for (const share of [0.2, 0.45, 0.7]) {
      const [width, height] = [101, 47];
      const grain = Array.from({ length: width * height }, () => random() < share);
      const isSet = (x: number, y: number) => grain[y * width + x];
      const mask = bitsOf(plateOf(width, height, (x, y) => (isSet(x, y) ? 255 : 0)));
      for (const byCorners of [true, false]) {
        const found = piecesOf(mask, { byCorners });
        expect(
          found.map(({ left, top, right, bottom, areaPx }) => [left, top, right, bottom, areaPx]),
        ).toEqual(filled(isSet, width, height, byCorners));
      }
    }
  });

  test.each([0, 10, 22.5, 45, 60, 80, 90, 135])(
    'a stroke at %i degrees is as long as it was drawn, to 9 %%',
    (degrees) => {
      const [sin, cos] = [Math.sin((degrees * Math.PI) / 180), Math.cos((degrees * Math.PI) / 180)];
      for (const wide of [1, 2, 3]) {
        const isIn = (x: number, y: number) => {
          const [u, v] = [(x - 100) * cos + (y - 100) * sin, (y - 100) * cos - (x - 100) * sin];
          return Math.abs(u) <= 80 && Math.abs(v) <= wide / 2;
        };
        const mask = bitsOf(plateOf(200, 200, (x, y) => (isIn(x, y) ? 255 : 0)));
        const [piece] = piecesOf(mask, { byCorners: true, marks: mask });
        expect(piece.lengthPx).toBeGreaterThan(160 * 0.97);
        expect(piece.lengthPx).toBeLessThan(160 * 1.09 + wide);
        // All of it is marked, so both figures are the same but for how runs are added up.
        expect(piece.markedAreaPx).toBe(piece.areaPx);
        expect(Math.abs(piece.markedLengthPx - piece.lengthPx)).toBeLessThan(1e-6 * piece.lengthPx + 1e-6);
      }
    },
  );
});
