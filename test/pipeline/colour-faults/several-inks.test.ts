import { describe, expect, test } from 'vitest';
import { measureSeveralInks } from '../../../pipeline/colour-faults/several-inks.js';
import { type Separation, separationOf } from '../../../pipeline/model/separation.js';
import { seeded } from '../../helpers/rasters.js';

const ppi = 300;
const [width, height] = [300, 300];
const thinMm = 0.353;

type Inks = readonly [number, number, number, number];

function page(inksAt: (x: number, y: number) => Inks): Separation {
  const names = ['cyan', 'magenta', 'yellow', 'black'];
  return separationOf({ width, height }, (name) => {
    const plane = new Uint8Array(width * height);
    for (let i = 0; i < plane.length; i++) {
      plane[i] = inksAt(i % width, Math.floor(i / width))[names.indexOf(name)] * 2.55;
    }
    return plane;
  });
}

/** Upright strokes of so many pixels, a centimetre apart, from top to bottom: three of them, 25.4 mm long each. */
const strokes = (line: Inks, ground: Inks, widthPx: number) =>
  page((x) => (x % 100 >= 50 && x % 100 < 50 + widthPx ? line : ground));

const lengthOf = (inks: Separation) => measureSeveralInks(inks, ppi, thinMm).lengthMm;
const paper: Inks = [0, 0, 0, 0];
const brown: Inks = [40, 60, 80, 10];

describe('fine line in several inks', () => {
  test('is told with its length and its places', () => {
    const { lengthMm, boxes } = measureSeveralInks(strokes(brown, paper, 3), ppi, thinMm);
    expect(lengthMm).toBeGreaterThan(70);
    expect(lengthMm).toBeLessThan(80);
    expect(boxes[0].measured).toMatch(/mm$/);
  });

  test('line as thick as the limit is fine, thicker is not: 0.353 mm are 4.2 pixels', () => {
    expect(lengthOf(strokes(brown, paper, 5))).toBeGreaterThan(70);
    expect(lengthOf(strokes(brown, paper, 6))).toBe(0);
  });

  test('white that is left among several inks is told as well', () => {
    expect(lengthOf(strokes(paper, [70, 60, 0, 0], 3))).toBeGreaterThan(70);
  });

  test.each<[string, Inks, Inks]>([
    ['one ink', [0, 100, 0, 0], paper],
    ['inks that its ground has as well', [40, 60, 80, 0], [40, 0, 80, 0]],
    ['a second ink too light to see', [20, 90, 0, 0], paper],
    ['black, of which plates out of register tell', [60, 50, 50, 100], paper],
    ['black alone', [0, 0, 0, 100], paper],
  ])('%s is none', (_, line, ground) => {
    expect(lengthOf(strokes(line, ground, 3))).toBe(0);
  });

  test('line across and aslant is measured as long as it is, to a tenth', () => {
    expect(lengthOf(page((_, y) => (y % 100 >= 50 && y % 100 < 53 ? brown : paper)))).toBeCloseTo(76, -1);
    const aslant = lengthOf(page((x, y) => (Math.abs(x - y) <= 2 ? brown : paper)));
    expect(aslant).toBeGreaterThan(25.4 * Math.SQRT2 * 0.85);
    expect(aslant).toBeLessThan(25.4 * Math.SQRT2 * 1.1);
  });

  test('the texture of paint and the border of two flats are none', () => {
    const random = seeded(6);
    const grain = page(() => [20 + 60 * random(), 20 + 60 * random(), 20 + 60 * random(), 0]);
    expect(lengthOf(grain)).toBeLessThan(20);
    expect(lengthOf(page((x) => (x < 150 ? brown : paper)))).toBe(0);
  });
});
