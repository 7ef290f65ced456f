import { describe, expect, test } from 'vitest';
import { PageArena } from '../../pipeline/kernels/page-arena.js';
import { countSet } from '../../pipeline/line/bitmap.js';
import { piecesOf } from '../../pipeline/line-faults/pieces.js';
import { discRows, thinnerThan } from '../../pipeline/line-faults/thin.js';
import { seeded } from '../helpers/plates.js';
import { bitsOf, plateOf } from '../helpers/rasters.js';

/**
 * Pieces and local thickness beside SciPy 1.17.1 (scipy.ndimage, a general-purpose library for pictures): `label` with a structure of 3 x 3
 * or a cross, and `binary_opening` with discs, of the picture with 16 px of its own kind around it.
 */

const arena = new PageArena();
const [width, height] = [96, 60];

function drawn() {
  const random = seeded(17);
  const discs = Array.from({ length: 40 }, () => [random() * width, random() * height, 1 + random() * 6]);
  const isIn = (x: number, y: number, [cx, cy]: number[], square: number) =>
    (x - cx) ** 2 + (y - cy) ** 2 <= square;
  return plateOf(width, height, (x, y) => {
    if (discs.slice(25).some((one) => isIn(x, y, one, one[2]))) return 0;
    const isInk = discs.slice(0, 25).some((one) => isIn(x, y, one, one[2] ** 2));
    return isInk || (3 * x + 5 * y) % 23 < 3 ? 255 : 0;
  });
}

const picture = drawn();
const ink = bitsOf(picture);
const paper = bitsOf(plateOf(width, height, (x, y) => 255 - picture.data[y * width + x]));

describe('shapes as SciPy finds them', () => {
  test('pieces, by corners and without, and how large they are', () => {
    const areas = (pieces: ReturnType<typeof piecesOf>) =>
      pieces.map(({ areaPx }) => areaPx).sort((a, b) => b - a);
    expect(countSet(ink, arena)).toBe(1651);
    const byCorners = areas(piecesOf(ink, { byCorners: true }));
    expect([byCorners.length, ...byCorners.slice(0, 6)]).toEqual([354, 257, 167, 167, 147, 137, 85]);
    const bySides = areas(piecesOf(ink, { byCorners: false }));
    expect([bySides.length, ...bySides.slice(0, 6)]).toEqual([557, 205, 158, 156, 142, 134, 74]);
    const white = areas(piecesOf(paper, { byCorners: false }));
    expect([white.length, ...white]).toEqual([6, 4099, 6, 1, 1, 1, 1]);
  });

  test.each([
    [2, 587, 125],
    [3, 616, 329],
    [4, 646, 533],
    [5, 667, 3545],
    [6, 739, 3732],
    [7, 764, 3701],
    [8, 947, 3772],
    [9, 1163, 3872],
  ])('what a disc of %i px does not open', (diameter, inInk, inPaper) => {
    expect(countSet(thinnerThan(ink, 'ink', diameter, arena), arena)).toBe(inInk);
    expect(countSet(thinnerThan(ink, 'paper', diameter, arena), arena)).toBe(inPaper);
  });

  test('the discs have the pixels whose middles lie within them', () => {
    expect([4, 6, 9].map((diameter) => [...discRows(diameter)])).toEqual([
      [2, 4, 4, 2],
      [4, 6, 6, 6, 6, 4],
      [5, 7, 9, 9, 9, 9, 9, 7, 5],
    ]);
  });
});
