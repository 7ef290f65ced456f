import { expect, test } from 'vitest';
import type { Bitmap } from '../../../pipeline/model/raster.js';
import { measureRegister } from '../../../pipeline/register/measure-register.js';
import { moveBack } from '../../../pipeline/register/move-line.js';
import { drawPage } from '../../helpers/drawn-pages.js';
import { bitsOf, plateOf, seeded } from '../../helpers/rasters.js';

function differing(one: Bitmap, other: Bitmap): number {
  let count = 0;
  for (const [at, byte] of one.bits.entries()) {
    for (let rest = byte ^ other.bits[at]; rest !== 0; rest &= rest - 1) count++;
  }
  return count;
}

test('line that is only shifted moves by whole pixels and stays what it is', () => {
  const random = seeded(1);
  const ink = Uint8Array.from({ length: 90 * 70 }, () => (random() < 0.4 ? 255 : 0));
  const at = (x: number, y: number) => (x >= 0 && y >= 0 && x < 90 && y < 70 ? ink[y * 90 + x] : 0);
  const line = bitsOf(plateOf(90, 70, at));
  // The line lies 3 of its pixels to the right and 2 up: 1.5 and 1 of the colour's.
  const moved = moveBack(line, { dx: 1.5, dy: -1, turn: 0, zoom: 0 }, 2);
  expect(differing(moved, bitsOf(plateOf(90, 70, (x, y) => at(x + 3, y - 2))))).toBe(0);
});

test('turned and resized line that was laid back as measured lies in its place', () => {
  const { colour, line } = drawPage('brush', {
    seed: 3,
    laid: { dx: 3, dy: -5, degrees: 0.6, scalePercent: -0.3 },
  });
  const before = measureRegister(colour, line, 300);
  const moved = moveBack(line, before.sureMovement, 2);
  const after = measureRegister(colour, moved, 300);
  expect(before.displacementPx).toBeGreaterThan(10);
  expect(after.displacementPx).toBeLessThan(0.75);
  const own = drawPage('brush', { seed: 3 }).line;
  expect(differing(moved, own)).toBeLessThan(differing(line, own) / 8);
});
