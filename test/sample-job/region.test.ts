import sharp from 'sharp';
import { expect, test } from 'vitest';
import { box, ellipse, knots, type Outline, polygon, shape } from '../../sample-job/ink/geometry.js';
import { fillRegion, intersection, regionOf } from '../../sample-job/ink/region.js';

const grid = { width: 300, height: 200, scale: 2 };

function filled(outline: Outline): Uint8Array {
  const mask = new Uint8Array(grid.width * grid.height);
  fillRegion(mask, grid.width, regionOf(outline, grid), 255);
  return mask;
}

/** The same outline filled by librsvg without smoothing of edges, as sharp calls it: an independent reference. */
async function reference(outline: Outline): Promise<Uint8Array> {
  const points = outline.points.map(([x, y]) => `${x * grid.scale},${y * grid.scale}`).join(' ');
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="${grid.width}" height="${grid.height}"><polygon points="${points}" fill="#fff" fill-rule="nonzero"/></svg>`;
  return sharp(Buffer.from(svg)).extractChannel(3).threshold(128).raw().toBuffer();
}

test('a box fills exactly its pixels', () => {
  const mask = filled(box(10, 20, 30, 40));
  expect(mask.reduce((sum, value) => sum + value / 255, 0)).toBe(60 * 80);
  expect(mask[40 * 300 + 20]).toBe(255);
  expect(mask[40 * 300 + 19]).toBe(0);
});

test.each([
  ['an ellipse', ellipse(70, 50, 60, 33, 0.4)],
  ['a star whose arms cross', polygon(knots('75,5 105,95 25,38 125,38 45,95'))],
  ['a curve with corners', shape(knots('10,80* 40,10 80,60* 120,20 140,90*'))],
])('%s is filled as librsvg fills it, but for pixels on its edge', async (_name, outline) => {
  const mine = filled(outline);
  const theirs = await reference(outline);
  let different = 0;
  for (let i = 0; i < mine.length; i++) if (mine[i] !== theirs[i]) different++;
  expect(mine.some((value) => value === 255)).toBe(true);
  // An edge of some 700 pixels; the two may round a pixel's cover of one half differently.
  expect(different).toBeLessThan(60);
});

test('what two shapes share is what both fill', () => {
  const [a, b] = [ellipse(60, 50, 45), ellipse(90, 50, 45)];
  const both = new Uint8Array(grid.width * grid.height);
  fillRegion(both, grid.width, intersection(regionOf(a, grid), regionOf(b, grid)), 255);
  const [inA, inB] = [filled(a), filled(b)];
  const expected = inA.map((value, i) => Math.min(value, inB[i]));
  expect(Buffer.from(both).equals(Buffer.from(expected))).toBe(true);
});

test('a shape beside the page fills nothing', () => {
  expect(filled(box(400, 10, 50, 50)).every((value) => value === 0)).toBe(true);
  expect(filled(box(10, -90, 50, 50)).every((value) => value === 0)).toBe(true);
});
