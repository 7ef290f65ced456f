import { describe, expect, test } from 'vitest';
import { noticeBleed } from '../../pipeline/checks/bleed.js';
import { noticeHeld } from '../../pipeline/checks/line-checks.js';
import { noticeColourPpi, noticeLinePpi } from '../../pipeline/checks/resolution.js';
import { coveragePercent, mostInkPercent } from '../../pipeline/inspect.js';
import { PageArena } from '../../pipeline/kernels/page-arena.js';
import { findPaintedLine } from '../../pipeline/line/painted-line.js';
import { isSet } from '../../pipeline/model/raster.js';
import { type Separation, separationOf, withPlane } from '../../pipeline/model/separation.js';
import { drawn, pixelAt, plateOf } from '../helpers/rasters.js';
import { lineSettings, specWith } from '../helpers/specs.js';

const arena = new PageArena();

const ppi = 100;
/** A bleed of 3 mm is 11 pixels at 100 ppi. */
const spec = specWith({ bleedMm: 3, colourPpi: ppi });

function inked(width: number, height: number, ink: (x: number, y: number) => number): Separation {
  const cyan = plateOf(width, height, ink).data;
  return separationOf({ width, height }, (name) => (name === 'cyan' ? cyan : new Uint8Array(width * height)));
}

describe('missing bleed', () => {
  test('art that ends at the trim stops the page and names the edges', () => {
    const page = inked(200, 300, (x, y) => (x >= 11 && x < 189 && y >= 11 && y < 289 ? 120 : 0));
    const [finding] = noticeBleed(page, spec, ppi, 'mm');
    expect(finding).toMatchObject({ code: 'bleed-empty', severity: 'stop' });
    expect(finding.message).toMatch(/top, right, bottom, left/);
  });

  test('art that runs through the bleed is right', () => {
    expect(
      noticeBleed(
        inked(200, 300, () => 120),
        spec,
        ppi,
        'mm',
      ),
    ).toEqual([]);
  });

  test('a white gutter along the trim is right', () => {
    const page = inked(200, 300, (x, y) => (x >= 30 && x < 170 && y >= 30 && y < 270 ? 120 : 0));
    expect(noticeBleed(page, spec, ppi, 'mm')).toEqual([]);
  });

  test('a small piece that stops short asks for a look', () => {
    const page = inked(200, 300, (x, y) => (y >= 11 && x >= 100 && x < 106 ? 200 : 0));
    const [finding] = noticeBleed(page, spec, ppi, 'mm');
    expect(finding).toMatchObject({ severity: 'warn' });
    expect(finding.message).toMatch(/\(top\)/);
  });
});

describe('figures of a separation', () => {
  test('coverage is the mean ink of a plate', () => {
    expect(coveragePercent(Uint8Array.of(255, 0, 255, 0), arena)).toBe(50);
  });

  test('the most ink on a pixel is the sum of its four inks', () => {
    const black = withPlane(
      inked(2, 1, () => 255),
      'black',
      Uint8Array.of(0, 255),
    );
    const page = withPlane(black, 'magenta', Uint8Array.of(51, 0));
    expect(mostInkPercent(page, arena)).toBe(200);
  });

  test('held line is told only where there is some', () => {
    expect(noticeHeld(0, false)).toEqual([]);
    expect(noticeHeld(4.2, false)[0]).toMatchObject({ severity: 'note', measured: '4.2 % of the line area' });
    expect(noticeHeld(45, false)[0]).toMatchObject({ severity: 'warn', limit: 'at most 30 %' });
    // Never what reads as the limit that it exceeds.
    expect(noticeHeld(30.04, false)[0]).toMatchObject({
      severity: 'warn',
      measured: '30.04 % of the line area',
    });
    expect(noticeHeld(45, true)[0]).toMatchObject({ severity: 'note', limit: undefined });
  });
});

describe('a colour part that came beside the inks', () => {
  const coverage = plateOf(60, 40, (x) => (x >= 20 && x < 26 ? 255 : 0));

  test('shows the colour beneath the line: nothing is held', () => {
    const beneath = drawn(60, 40, 'rgb', () => [220, 180, 90]);
    const { painted, colour, held } = findPaintedLine(beneath, coverage, lineSettings, 14, arena);
    expect(painted).toBe(false);
    expect(colour).toBe(beneath);
    expect(held).toBeUndefined();
  });

  test('was saved with the black line in it: the colour beneath is filled in', () => {
    const saved = drawn(60, 40, 'rgb', (x) => (x >= 20 && x < 26 ? [12, 10, 11] : [220, 180, 90]));
    const { painted, colour, heldPercent } = findPaintedLine(saved, coverage, lineSettings, 14, arena);
    expect(painted).toBe(true);
    expect(heldPercent).toBe(0);
    expect(pixelAt(colour, 22, 20)).toEqual([220, 180, 90]);
  });

  test('shows a hold where the line is coloured: that piece leaves the line plate', () => {
    const saved = drawn(60, 40, 'rgb', (x, y) => {
      if (x < 20 || x >= 26) return [220, 180, 90];
      return y < 10 ? [150, 40, 30] : [12, 10, 11];
    });
    const { painted, colour, held, heldPercent } = findPaintedLine(saved, coverage, lineSettings, 14, arena);
    expect(painted).toBe(true);
    expect(held && isSet(held, 22, 5)).toBe(true);
    expect(held && isSet(held, 22, 30)).toBe(false);
    expect(pixelAt(colour, 22, 5)).toEqual([150, 40, 30]);
    expect(heldPercent).toBeGreaterThan(20);
    expect(heldPercent).toBeLessThan(35);
  });
});

describe('resolution', () => {
  const spec = specWith();
  const at = (effectivePpi: number) => ({ crop: { left: 0, top: 0, width: 1, height: 1 }, effectivePpi });

  test('colour that would have to be enlarged stops the page unless the job allows it', () => {
    expect(noticeColourPpi(at(240), spec)[0]).toMatchObject({
      severity: 'stop',
      measured: '240 ppi',
      limit: '300 ppi',
    });
    expect(noticeColourPpi(at(240), specWith({ allowEnlarging: true }))[0].severity).toBe('warn');
    expect(noticeColourPpi(at(299), spec)).toEqual([]);
    expect(noticeColourPpi(at(299.99997), spec)).toEqual([]);
  });

  test('line below the line plate warns, and stops below the resolution of the colour', () => {
    expect(noticeLinePpi(at(400), spec, false)[0].severity).toBe('warn');
    expect(noticeLinePpi(at(299.99997), spec, false)[0]).toMatchObject({
      severity: 'warn',
      measured: '300 ppi',
    });
    expect(noticeLinePpi(at(200), spec, false)[0].severity).toBe('stop');
    expect(noticeLinePpi(at(200), spec, true)[0].severity).toBe('warn');
    expect(noticeLinePpi(at(600), spec, false)).toEqual([]);
  });
});
