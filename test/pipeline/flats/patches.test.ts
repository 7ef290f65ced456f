import { describe, expect, test } from 'vitest';
import { colourRuns, endOf } from '../../../pipeline/flats/colour-runs.js';
import { flatsPixels, keyAt } from '../../../pipeline/flats/flats-pixels.js';
import { findPatches } from '../../../pipeline/flats/patches.js';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import type { Raster } from '../../../pipeline/model/raster.js';
import { drawn, seeded } from '../../helpers/rasters.js';

const arena = new PageArena();

/** Blots of a few colours, so that there are patches of all sizes. */
function blots(width: number, height: number, seed: number, colours: number, alpha = false): Raster {
  const noise = seeded(seed);
  const coarse = Array.from({ length: 400 }, () => Math.floor(noise() * colours));
  const of = (x: number, y: number) =>
    noise() < 0.12
      ? Math.floor(noise() * colours)
      : coarse[(Math.floor(y / 4) * 19 + Math.floor(x / 5)) % 400];
  return drawn(width, height, 'rgb', (x, y) => {
    const level = 40 * of(x, y);
    return alpha ? [level, 7, 9, level === 40 ? 0 : 255] : [level, 7, 9];
  });
}

/** Two rows of stripes, seven pixels wide each. */
function stripes(width: number): Raster {
  return drawn(width, 2, 'rgb', (x, y) => [(Math.floor(x / 7) * 50 + y) % 251, 7, 9]);
}

function seen(raster: Raster) {
  const pixels = flatsPixels(raster);
  const runs = colourRuns(pixels, arena);
  if (runs === undefined) throw new Error('no flats');
  return { pixels, runs, patches: findPatches(runs) };
}

/** Patches by flooding, pixel by pixel: colour, pixels and box of each, in an order of their own. */
function flooded(raster: Raster): string[] {
  const pixels = flatsPixels(raster);
  const { width, height } = raster;
  const done = new Uint8Array(width * height);
  const found: string[] = [];
  for (let start = 0; start < done.length; start++) {
    if (done[start]) continue;
    const key = keyAt(pixels, start % width, Math.floor(start / width));
    const open = [start];
    done[start] = 1;
    let [area, left, top, right, bottom] = [0, width, height, 0, 0];
    for (let at = open.pop(); at !== undefined; at = open.pop()) {
      const [x, y] = [at % width, Math.floor(at / width)];
      area++;
      [left, top, right, bottom] = [
        Math.min(left, x),
        Math.min(top, y),
        Math.max(right, x + 1),
        Math.max(bottom, y + 1),
      ];
      for (let toY = Math.max(0, y - 1); toY <= Math.min(height - 1, y + 1); toY++) {
        for (let toX = Math.max(0, x - 1); toX <= Math.min(width - 1, x + 1); toX++) {
          const to = toY * width + toX;
          if (done[to] || keyAt(pixels, toX, toY) !== key) continue;
          done[to] = 1;
          open.push(to);
        }
      }
    }
    found.push(`${key}: ${area} px, ${left} ${top} ${right} ${bottom}`);
  }
  return found.sort();
}

/** Colours that fill three by three pixels, by trying every place. */
function filling(raster: Raster): number[] {
  const pixels = flatsPixels(raster);
  const keys = new Set<number>();
  for (let y = 0; y + 3 <= raster.height; y++) {
    for (let x = 0; x + 3 <= raster.width; x++) {
      const key = keyAt(pixels, x, y);
      const isFilled = Array.from({ length: 9 }, (_, i) => keyAt(pixels, x + (i % 3), y + Math.floor(i / 3)));
      if (isFilled.every((each) => each === key)) keys.add(key);
    }
  }
  return [...keys].sort();
}

describe('runs of one colour', () => {
  test('give every pixel its colour, also where the row is longer than what is looked at at once', () => {
    for (const raster of [blots(67, 41, 1, 4), blots(130, 9, 2, 3, true), stripes(70_001)]) {
      const { pixels, runs } = seen(raster);
      let wrong = 0;
      for (let y = 0; y < runs.height; y++) {
        for (let run = runs.rows[y]; run < runs.rows[y + 1]; run++) {
          for (let x = runs.starts[run]; x < endOf(runs, run, y); x++) {
            if (runs.keys[runs.colours[run]] !== keyAt(pixels, x, y)) wrong++;
          }
          if (run > runs.rows[y] && runs.colours[run] === runs.colours[run - 1]) wrong++;
        }
        if (runs.starts[runs.rows[y]] !== 0) wrong++;
      }
      expect(wrong).toBe(0);
    }
  });

  test('know their ground: transparent, whatever colour is hidden in it, else white', () => {
    const transparent = seen(blots(40, 30, 4, 3, true));
    expect(transparent.runs.keys[transparent.runs.ground]).toBe(0);
    const opaque = seen(drawn(20, 20, 'rgb', (x) => (x < 9 ? [255, 255, 255] : [1, 2, 3])));
    expect(opaque.runs.keys[opaque.runs.ground]).toBe(0xffffffff);
    expect(seen(drawn(20, 20, 'rgb', () => [1, 2, 3])).runs.ground).toBe(-1);
  });

  test('are not looked for any further in a picture with grain', () => {
    const noise = seeded(9);
    const grain = drawn(700, 300, 'rgb', () => [noise() * 255, noise() * 255, noise() * 255].map(Math.floor));
    expect(colourRuns(flatsPixels(grain), arena)).toBeUndefined();
  });

  test('are the same of a picture in grey, of 16 bit and in CMYK as of the same one in rgb', () => {
    const rgb = drawn(30, 20, 'rgb', (x, y) => (x + y < 25 ? [80, 80, 80] : [255, 255, 255]));
    const grey = drawn(30, 20, 'grey', (x, y) => (x + y < 25 ? [80] : [255]));
    const cmyk = drawn(30, 20, 'cmyk', (x, y) => (x + y < 25 ? [0, 0, 0, 175] : [0, 0, 0, 0]));
    const wide = { ...rgb, data: Uint16Array.from(rgb.data, (level) => level * 257) };
    for (const raster of [grey, cmyk, wide]) expect(flooded(raster)).toEqual(flooded(rgb));
  });
});

describe('patches', () => {
  test('are those that flooding finds, by sides and corners', () => {
    for (let seed = 1; seed <= 8; seed++) {
      const raster = blots(37 + seed, 29, seed, 2 + (seed % 3), seed % 4 === 0);
      const { runs, patches } = seen(raster);
      const found = Array.from({ length: patches.count }, (_, at) => {
        const box = [patches.lefts[at], patches.tops[at], patches.rights[at], patches.bottoms[at]];
        return `${runs.keys[patches.colours[at]]}: ${patches.areas[at]} px, ${box.join(' ')}`;
      });
      expect(found.sort()).toEqual(flooded(raster));
    }
  });

  test('are of a flat where its colour fills three by three pixels somewhere', () => {
    for (let seed = 1; seed <= 8; seed++) {
      const raster = blots(24, 20, seed, 9);
      const { runs, patches } = seen(raster);
      const found = [...runs.keys].filter((_, colour) => patches.fills[colour] === 1);
      expect(found.sort()).toEqual(filling(raster));
    }
  });
});
