import { describe, expect, test } from 'vitest';
import { openPress } from '../../../config/press.js';
import { measureBands } from '../../../pipeline/colour-faults/ramps.js';
import { openSeparator } from '../../../pipeline/inks/separator.js';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import type { Raster } from '../../../pipeline/model/raster.js';
import { drawn, seeded } from '../../helpers/rasters.js';

// A real press: what a step looks like is asked of its profile. 100 ppi, 50 x 100 mm.
const ppi = 100;
const [width, height] = [200, 400];
const separator = openSeparator(await openPress({ kind: 'shipped', name: 'cgats-tr006' }), {
  intent: 'relative',
  blackPointCompensation: true,
  inkLimitPercent: undefined,
});
const arena = new PageArena();
const limits = { bandWidthMm: 1.5, bandStepDe: 0.6 };

function bandsOf(raster: Raster) {
  arena.reset();
  return measureBands(separator.separate(raster, undefined, arena).separation, ppi, limits, separator);
}

const grey = (levelAt: (x: number, y: number) => number) =>
  drawn(width, height, 'rgb', (x, y) => [0, 0, 0].fill(Math.round(levelAt(x, y))));

/** A gradient down the page in steps of so many levels. */
const stepped = (levels: number, bandPx: number) => grey((_, y) => 60 + levels * Math.floor(y / bandPx));

describe('steps of a gradient', () => {
  test('that are wide and high are told, with their width, their height and where', () => {
    const bands = bandsOf(stepped(3, 16));
    expect(bands?.widthMm).toBeCloseTo((16 / ppi) * 25.4, 1);
    expect(bands?.stepDe).toBeGreaterThan(0.8);
    expect(bands?.stepDe).toBeLessThan(1.2);
    expect(bands?.stepPercent).toBeGreaterThan(2);
    const [box] = bands?.boxes ?? [];
    expect(box.height).toBeGreaterThan(height * 0.8);
  });

  test('of one level of 8 bit are none, however wide', () => {
    expect(bandsOf(stepped(1, 16))).toBeUndefined();
  });

  test('just narrower than the limit are none: 1.5 mm are 5.9 pixels here', () => {
    expect(bandsOf(stepped(3, 6))).toBeDefined();
    expect(bandsOf(stepped(3, 5))).toBeUndefined();
  });

  test('grain or dither over them leaves nothing to see', () => {
    const random = seeded(4);
    expect(bandsOf(grey((_, y) => 60 + 3 * Math.floor(y / 16) + (random() - 0.5) * 3))).toBeUndefined();
  });

  test('more levels, as 16 bit has them, are no steps', () => {
    const smooth = grey((_, y) => 60 + (y * 3) / 16);
    const data = Uint16Array.from(smooth.data, (_, i) => (60 + (Math.floor(i / 3 / width) * 3) / 16) * 257);
    expect(bandsOf({ ...smooth, data })).toBeUndefined();
  });

  test('flats beside each other were painted so', () => {
    expect(bandsOf(stepped(24, 48))).toBeUndefined();
    expect(bandsOf(grey((_, y) => [60, 62, 61, 63, 60][Math.floor(y / 90)]))).toBeUndefined();
  });

  test('aslant, a band is as wide as it is across itself', () => {
    const aslant = bandsOf(grey((x, y) => 60 + 3 * Math.floor((x + y) / 24)));
    expect(aslant?.widthMm).toBeCloseTo((24 / Math.SQRT2 / ppi) * 25.4, 0);
    expect(bandsOf(grey((x, y) => 40 + 3 * Math.floor((x + y) / 8)))).toBeUndefined();
  });
});
