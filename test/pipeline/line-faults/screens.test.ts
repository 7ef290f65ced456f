import { describe, expect, test } from 'vitest';
import { limitsWith } from '../../../config/check-limits/index.js';
import { noticeScreens } from '../../../pipeline/checks/screens.js';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { measureLine } from '../../../pipeline/line-faults/measure-line.js';
import { findScreens } from '../../../pipeline/line-faults/screens.js';
import type { Bitmap } from '../../../pipeline/model/raster.js';
import { Inking } from '../../helpers/inking.js';
import { seeded } from '../../helpers/rasters.js';
import { specWith } from '../../helpers/specs.js';

const arena = new PageArena();
const size = { width: 768, height: 768 };

/** A bitmap whose ink a function gives. */
function plate(isInk: (x: number, y: number) => boolean, { width, height } = size): Bitmap {
  const rowBytes = Math.ceil(width / 64) * 8;
  const bits = new Uint8Array(rowBytes * height);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) if (isInk(x, y)) bits[y * rowBytes + (x >> 3)] |= 1 << (x & 7);
  }
  return { width, height, rowBytes, bits };
}

/** Where a point lies in a screen whose rows run counterclockwise by an angle, in rows each way. */
function inScreen(lpi: number, degrees: number, ppi = 600) {
  const turn = (degrees * Math.PI) / 180;
  const [cos, sin, pitch] = [Math.cos(turn), Math.sin(turn), ppi / lpi];
  return (x: number, y: number) => [(x * cos - y * sin) / pitch, (x * sin + y * cos) / pitch] as const;
}

/** Dots whose share of ink is about `tint`, by the threshold that screens have. */
function dots(lpi: number, degrees: number, tint: number, ppi = 600) {
  const at = inScreen(lpi, degrees, ppi);
  return (x: number, y: number) => {
    const [u, v] = at(x, y);
    return (Math.cos(2 * Math.PI * u) + Math.cos(2 * Math.PI * v) + 2) / 4 > 1 - tint;
  };
}

function ruled(lpi: number, degrees: number, share: number) {
  const at = inScreen(lpi, degrees);
  return (x: number, y: number) => {
    const across = at(x, y)[1];
    return across - Math.floor(across) < share;
  };
}

describe('screened tone', () => {
  test.each([
    [27.5, 45, 0.3],
    [42.5, 0, 0.1],
    [55, 45, 0.5],
    [60, 15, 0.2],
    [65, 75, 0.7],
    [85, 30.4, 0.35],
    [120, 45, 0.4],
  ])('dots of %d lines at %d degrees, %d of tone, are told to a hundredth', (lpi, degrees, tint) => {
    const [screen, ...others] = findScreens(plate(dots(lpi, degrees, tint)), 600);
    expect(others).toEqual([]);
    expect(screen.kind).toBe('dots');
    expect(Math.abs(screen.lpi / lpi - 1)).toBeLessThan(0.002);
    expect(Math.abs(screen.degrees - degrees)).toBeLessThan(0.05);
    expect(screen.areas[0]).toEqual({ left: 0, top: 0, width: 768, height: 768 });
  });

  test.each([
    [50, 20, 0.3],
    [30, 90, 0.5],
    [60, 135.2, 0.4],
  ])('ruled lines of %d an inch at %d degrees too', (lpi, degrees, share) => {
    const [screen] = findScreens(plate(ruled(lpi, degrees, share)), 600);
    expect(screen).toMatchObject({ kind: 'lines' });
    expect(Math.abs(screen.lpi / lpi - 1)).toBeLessThan(0.002);
    expect(Math.abs(screen.degrees - degrees)).toBeLessThan(0.05);
  });

  test('at 1200 ppi, and as a gradient, beside drawing', () => {
    const fine = findScreens(plate(dots(60, 45, 0.3, 1200), { width: 1024, height: 1024 }), 1200);
    expect(fine).toHaveLength(1);
    expect(fine[0].lpi).toBeCloseTo(60, 1);
    const at = inScreen(55, 45);
    const screens = findScreens(
      plate((x, y) => {
        if (x >= 512) return Math.abs(x - 600 - 60 * Math.sin(y / 90) - y / 40) < 3;
        const [u, v] = at(x, y);
        return (Math.cos(2 * Math.PI * u) + Math.cos(2 * Math.PI * v) + 2) / 4 > 0.95 - (0.8 * y) / 768;
      }),
      600,
    );
    expect(screens).toHaveLength(1);
    expect(screens[0].degrees).toBeCloseTo(45, 1);
    expect(screens[0].areas[0].left + screens[0].areas[0].width).toBeLessThanOrEqual(640);
  });
});

describe('what is no screen', () => {
  test('hatching by hand, stipple and noise', () => {
    const random = seeded(3);
    const hatching = new Inking(size);
    for (let at = 0; at < 760; at += 9 + 3 * random())
      hatching.taper([at, 20], [at + 60 * random(), 740], 4, 3);
    expect(findScreens(hatching.bitmap(), 600)).toEqual([]);
    for (let at = 0; at < 760; at += 9 + 3 * random())
      hatching.taper([10, at], [750, at + 40 * random()], 4, 3);
    expect(findScreens(hatching.bitmap(), 600)).toEqual([]);
    const stipple = new Inking(size);
    for (let i = 0; i < 4000; i++) stipple.box(Math.floor(768 * random()), Math.floor(768 * random()), 4, 4);
    expect(findScreens(stipple.bitmap(), 600)).toEqual([]);
    const jittered = new Inking(size);
    for (let i = 0; i < 4096; i++) {
      const [x, y] = [(i % 64) * 12 + 9 * random(), Math.floor(i / 64) * 12 + 9 * random()];
      jittered.box(Math.floor(x), Math.floor(y), 5, 5);
    }
    expect(findScreens(jittered.bitmap(), 600)).toEqual([]);
    expect(
      findScreens(
        plate(() => random() < 0.3),
        600,
      ),
    ).toEqual([]);
  });

  test('a tone by diffused error has no ruling', () => {
    const errors = new Float64Array(size.width * (size.height + 1) + 2);
    const diffused = plate((x, y) => {
      const at = y * size.width + x;
      const ink = 0.35 + errors[at];
      const rest = ink >= 0.5 ? ink - 1 : ink;
      errors[at + 1] += (rest * 7) / 16;
      errors[at + size.width - 1] += (rest * 3) / 16;
      errors[at + size.width] += (rest * 5) / 16;
      errors[at + size.width + 1] += rest / 16;
      return ink >= 0.5;
    });
    expect(findScreens(diffused, 600)).toEqual([]);
  });
});

describe('moire', () => {
  const look = (line: Bitmap, sourceWidth: number, limits = {}) => {
    const spec = specWith({ trim: { widthMm: 30, heightMm: 30 }, checks: limitsWith(limits) });
    const plan = { crop: { left: 0, top: 0, width: sourceWidth, height: sourceWidth } };
    return noticeScreens(measureLine(line, spec, false, arena), { size: line, spec }, plan);
  };
  const tone = plate(dots(60, 45, 0.3));

  test('tone at its print size is for the record, with ruling, angle and place', () => {
    const [finding] = look(tone, 768);
    expect(finding).toMatchObject({
      code: 'line-screened',
      severity: 'note',
      measured: 'dots, 60.0 lines/inch (23.6/cm) at 45.00 degrees',
    });
    expect(finding.places?.shown).toHaveLength(1);
  });

  test('tone that was resized asks for a look; doubled pixels are none', () => {
    expect(look(tone, 700)[0]).toMatchObject({
      code: 'line-moire',
      severity: 'warn',
      limit: expect.stringMatching(/109\.7 %/),
    });
    expect(look(tone, 384)[0]).toMatchObject({ code: 'line-screened' });
    expect(
      look(
        plate(() => false),
        700,
      ),
    ).toEqual([]);
  });

  test('tone as fine as the screen of the press asks for a look', () => {
    expect(look(tone, 768, { pressScreenLpi: 65 })[0]).toMatchObject({ code: 'line-moire' });
    expect(look(tone, 768, { pressScreenLpi: 75 })[0]).toMatchObject({ code: 'line-screened' });
    expect(look(tone, 768, { pressScreenLpi: 0 })).toEqual([]);
  });
});
