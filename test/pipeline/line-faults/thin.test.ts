import { describe, expect, test } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { discRows, thinnerThan } from '../../../pipeline/line-faults/thin.js';
import { isSet } from '../../../pipeline/model/raster.js';
import { bitsOf, plateOf, plateOfBits, seeded } from '../../helpers/rasters.js';

const arena = new PageArena();

/** The definition, pixel by pixel: no disc of that diameter lies in the shape and covers the pixel. */
function bruteForce(isShape: (x: number, y: number) => boolean, width: number, height: number, d: number) {
  const rows = [...discRows(d)];
  const pixels = rows.flatMap((length, dy) =>
    Array.from({ length }, (_, i) => [(d - length) / 2 + i, dy] as const),
  );
  const covered = new Uint8Array(width * height);
  for (let y = 1 - d; y < height; y++) {
    for (let x = 1 - d; x < width; x++) {
      const lies = pixels.every(([dx, dy]) => {
        const [u, v] = [x + dx, y + dy];
        return u < 0 || v < 0 || u >= width || v >= height || isShape(u, v);
      });
      if (!lies) continue;
      for (const [dx, dy] of pixels) {
        const [u, v] = [x + dx, y + dy];
        if (u >= 0 && v >= 0 && u < width && v < height) covered[v * width + u] = 1;
      }
    }
  }
  return plateOf(width, height, (x, y) => (isShape(x, y) && covered[y * width + x] === 0 ? 255 : 0)).data;
}

/** The least whole diameter of which a pixel is thinner, less one: its local thickness. */
function thicknessAt(isInk: (x: number, y: number) => boolean, side: number, x: number, y: number): number {
  const bits = bitsOf(plateOf(side, side, (u, v) => (isInk(u, v) ? 255 : 0)));
  let thickness = 1;
  while (!isSet(thinnerThan(bits, 'ink', thickness + 1, arena), x, y)) thickness++;
  return thickness;
}

describe('local thickness', () => {
  test('is what discs in the shape say, pixel by pixel, for ink and for paper', () => {
    const random = seeded(5);
    for (const [width, height, d] of [
      [70, 23, 2],
      [65, 19, 3],
      [129, 31, 4],
      [64, 21, 5],
      [90, 40, 12],
    ]) {
      const grain = plateOf(width, height, () => 0).data.map(() => (random() < 0.12 ? 255 : 0));
      const isInk = (x: number, y: number) =>
        grain[y * width + x] === 0 || Math.hypot(x - width / 3, y - height / 2) < 7;
      const bits = bitsOf(plateOf(width, height, (x, y) => (isInk(x, y) ? 255 : 0)));
      expect(plateOfBits(thinnerThan(bits, 'ink', d, arena)).data).toEqual(
        bruteForce(isInk, width, height, d),
      );
      const isPaper = (x: number, y: number) => !isInk(x, y);
      expect(plateOfBits(thinnerThan(bits, 'paper', d, arena)).data).toEqual(
        bruteForce(isPaper, width, height, d),
      );
    }
  });

  test('bands of rows join without a seam', () => {
    // Two bands of rows: a page as wide as 2^18 pixels in 64 rows.
    const [width, height] = [4096, 70];
    const tile = plateOf(64, height, (x, y) =>
      (x + 3 * y) % 11 < 3 || (x + 64 - y + 64) % 16 < 2 ? 255 : 0,
    );
    const small = bitsOf(tile);
    const bits = new Uint8Array((width / 8) * height);
    for (let i = 0; i < bits.length; i++) bits[i] = small.bits[Math.floor(i / 512) * 8 + (i % 8)];
    const whole = thinnerThan({ width, height, rowBytes: 512, bits }, 'ink', 4, arena);
    // The same in the middle of three tiles, which is one band.
    const three = { width: 192, height, rowBytes: 24, bits: new Uint8Array(24 * height) };
    for (let i = 0; i < three.bits.length; i++) three.bits[i] = small.bits[Math.floor(i / 24) * 8 + (i % 8)];
    const alone = thinnerThan(three, 'ink', 4, arena);
    const middleOf = (one: typeof whole, row: number) => [
      ...one.bits.subarray(row * one.rowBytes + 8, row * one.rowBytes + 16),
    ];
    for (let row = 0; row < height; row++) expect(middleOf(whole, row)).toEqual(middleOf(alone, row));
    expect(alone.bits.some((byte) => byte !== 0)).toBe(true);
  });

  test.each([1, 2, 3, 4, 5, 6, 9])('a bar of %i px is as thick, even or odd', (wide) => {
    expect(thicknessAt((x) => x >= 20 && x < 20 + wide, 48, 20, 24)).toBe(wide);
    expect(thicknessAt((_, y) => y >= 20 && y < 20 + wide, 48, 24, 20)).toBe(wide);
  });

  test.each([
    [5, 45, 4.66],
    [5, 30, 4.66],
    [3, 15, 3],
  ])('a line %i px wide at %i degrees is as thick to a pixel', (wide, degrees, byDistance) => {
    const [sin, cos] = [Math.sin((degrees * Math.PI) / 180), Math.cos((degrees * Math.PI) / 180)];
    const isInk = (x: number, y: number) => Math.abs((x - 32) * sin - (y - 32) * cos) <= wide / 2;
    const thickness = thicknessAt(isInk, 65, 32, 32);
    expect(Math.abs(thickness - byDistance)).toBeLessThan(1);
    expect(Math.abs(thickness - wide)).toBeLessThanOrEqual(1);
  });

  test('line that runs off the page is no thinner at its edge', () => {
    const bits = bitsOf(plateOf(64, 64, (x) => (x < 2 ? 255 : 0)));
    expect(thinnerThan(bits, 'ink', 4, arena).bits.every((byte) => byte === 0)).toBe(true);
  });
});
