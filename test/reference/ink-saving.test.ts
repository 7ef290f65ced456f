import { beforeAll, describe, expect, test } from 'vitest';
import { ciede2000, type Lab } from '../../config/press/ciede2000.js';
import { openPress, type Press } from '../../config/press.js';
import { lightSkin } from '../../pipeline/inks/ink-saving.js';
import { openSeparator } from '../../pipeline/inks/separator.js';
import { PageArena } from '../../pipeline/kernels/page-arena.js';
import { processPlanes } from '../../pipeline/model/separation.js';
import { openReference, type Reference } from '../helpers/little-cms.js';
import { drawn, seeded } from '../helpers/rasters.js';

// Ink saving held against Little CMS 2.16 (lcms-wasm): what the inks with and without it look like by the profile's own table.

const saving = { enabled: true, mostDe: 1, skinDe: 0.5, skinBlackPercent: 0 };
const greys = 256;

let press: Press;
let reference: Reference;
/** Inks of each colour from 0 to 1, without saving and with it, and their Lab. */
let before: { readonly inks: Float32Array; readonly lab: Lab[] };
let after: { readonly inks: Float32Array; readonly lab: Lab[] };
const arena = new PageArena();

/** All greys, then colours all over sRGB. */
const picture = (() => {
  const random = seeded(16);
  return drawn(100, 100, 'rgb', (x, y) => {
    const n = y * 100 + x;
    return n < greys ? [n, n, n] : [0, 0, 0].map(() => Math.floor(random() * 256));
  });
})();

function inksOf(isSaving: boolean) {
  const options = { intent: 'relative', blackPointCompensation: true, inkLimitPercent: 400 } as const;
  const separator = openSeparator(press, { ...options, inkSaving: { ...saving, enabled: isSaving } });
  const planes = processPlanes(separator.separate(picture, undefined, arena).separation);
  const inks = Float32Array.from({ length: planes[0].length * 4 }, (_, i) => planes[i % 4][i >> 2] / 255);
  const encoded = reference.convert(press.profile, 'cmyk', 'lab', 'lab', 'relative', false, inks);
  const lab = Array.from(
    planes[0],
    (_, n): Lab => [encoded[n * 3] * 100, encoded[n * 3 + 1] * 255 - 128, encoded[n * 3 + 2] * 255 - 128],
  );
  return { inks, lab };
}

beforeAll(async () => {
  press = await openPress({ kind: 'shipped', name: 'cgats-tr006' });
  reference = await openReference();
  before = inksOf(false);
  after = inksOf(true);
});

const percent = (n: number, ink: number, { inks }: typeof before) => inks[n * 4 + ink] * 100;
const total = (n: number, from: typeof before) =>
  [0, 1, 2, 3].reduce((sum, i) => sum + percent(n, i, from), 0);
const all = () => Array.from(before.lab.keys());

describe('ink saving', () => {
  test('leaves colours as they are, by Little CMS', () => {
    const moved = all().map((n) => ciede2000(before.lab[n], after.lab[n]));
    const sorted = moved.toSorted((a, b) => a - b);
    // Both ways are rounded to 8 bit, and interpolated between nodes: half a CIEDE2000 beside what is allowed at the nodes.
    expect(sorted.at(-1)).toBeLessThan(saving.mostDe + 0.5);
    expect(sorted[Math.floor(sorted.length * 0.99)]).toBeLessThan(0.6);
    expect(moved.reduce((sum, de) => sum + de, 0) / moved.length).toBeLessThan(0.15);
  });

  test('prints dark greys with black instead of three inks, and takes more ink for none', () => {
    const dark = Array.from({ length: 100 }, (_, n) => n + 20);
    const sums = [before, after].map((from) => dark.reduce((sum, n) => sum + total(n, from), 0));
    expect(sums[1] / sums[0]).toBeLessThan(0.75);
    // Four inks are rounded to 255 steps each.
    for (const n of all()) expect(total(n, after)).toBeLessThan(total(n, before) + 1.6);
  });

  test('light skin keeps its inks', () => {
    const skin = all().filter((n) => {
      const [l, a, b] = before.lab[n];
      const [chroma, hue] = [Math.hypot(a, b), (Math.atan2(b, a) * 180) / Math.PI];
      const isWithin = (value: number, [from, to]: readonly [number, number]) => value >= from && value <= to;
      return l >= lightSkin.leastL && isWithin(hue, lightSkin.hue) && isWithin(chroma, lightSkin.chroma);
    });
    expect(skin.length).toBeGreaterThan(100);
    for (const n of skin) {
      for (let ink = 0; ink < 4; ink++) {
        expect(Math.abs(percent(n, ink, after) - percent(n, ink, before))).toBeLessThan(0.5);
      }
    }
  });

  test('colours of one or two inks keep them, and paper stays paper', () => {
    const pure = all().filter((n) => Math.min(...[0, 1, 2].map((i) => percent(n, i, before))) === 0);
    expect(pure.length).toBeGreaterThan(100);
    for (const n of pure) {
      for (let ink = 0; ink < 4; ink++) {
        expect(Math.abs(percent(n, ink, after) - percent(n, ink, before))).toBeLessThan(2);
      }
    }
    expect(total(greys - 1, after)).toBe(0);
  });

  test('no tone gets an edge: from grey to grey no ink steps by much more than before', () => {
    const most = (from: typeof before, ink: number) => {
      const steps = Array.from({ length: greys - 1 }, (_, n) =>
        Math.abs(percent(n, ink, from) - percent(n + 1, ink, from)),
      );
      return Math.max(...steps);
    };
    for (let ink = 0; ink < 4; ink++) {
      // The exchange itself may step by 5 % of ink over four levels, and its mix by as much again; the rest is rounding. Left to
      // itself it steps by 14 % from one level to the next.
      expect(most(after, ink)).toBeLessThan(most(before, ink) + (2 * 5) / 4 + 0.8);
    }
  });
});
