import { describe, expect, test } from 'vitest';
import { limitsWith } from '../../config/check-limits/index.js';
import type { PrintSpec } from '../../config/print-spec.js';
import { inspectFlats } from '../../pipeline/inspect-flats.js';
import { PageArena } from '../../pipeline/kernels/page-arena.js';
import type { Bitmap, Raster } from '../../pipeline/model/raster.js';
import { boxIn, drawFlats, painted, white } from '../helpers/drawn-flats.js';
import { bitsOf, drawn, plateOf, seeded } from '../helpers/rasters.js';
import { specWith } from '../helpers/specs.js';

const arena = new PageArena();

/** A small page: 240 x 320 px at 300 ppi with a bleed of 20. */
const [width, height] = [240, 320];
const mm = (px: number) => (px * 25.4) / 300;
const spec = (change: Partial<PrintSpec> = {}) =>
  specWith({ trim: { widthMm: mm(200), heightMm: mm(280) }, bleedMm: mm(20), linePpi: 300, ...change });

function inspected(flats: Raster, line?: Bitmap, own = spec()) {
  const stated = { x: 300, y: 300 };
  const under = line && { pixels: line, ppi: stated };
  return inspectFlats({ pixels: flats, ppi: stated }, under, { spec: own, units: 'mm' }, arena);
}
const findingsOf = (flats: Raster, line?: Bitmap, own = spec()) =>
  inspected(flats, line, own).noticed.map(
    ({ code, severity, measured }) => `${code} ${severity}: ${measured}`,
  );

const sound = drawFlats(width, height);
const [red, blue] = [
  [200, 30, 40],
  [30, 60, 190],
] as const;
/** Two areas side by side, red and blue, without ground. */
const halves = drawn(width, height, 'rgb', (x) => (x < 120 ? red : blue));

describe('sound flats', () => {
  test('raise nothing, beneath their line or without one', () => {
    expect(findingsOf(sound.flats, sound.line)).toEqual([]);
    expect(findingsOf(sound.flats)).toEqual([]);
  });

  test('raise nothing with holes that are meant, as large as an eye', () => {
    expect(findingsOf(painted(halves, boxIn(40, 50, 12, 8, white)))).toEqual([]);
  });
});

describe('soft edges', () => {
  const softBy = (px: number) => painted(halves, boxIn(120, 30, 1, px, [115, 45, 115]));

  test('are told from more pixels on than the limit, and not at it', () => {
    expect(findingsOf(softBy(50))).toEqual([]);
    expect(findingsOf(softBy(51))).toEqual(['flats-soft warn: 51 px']);
  });

  test('are not told where the limit is 0', () => {
    expect(findingsOf(softBy(200), undefined, spec({ checks: limitsWith({ flatsSoftPx: 0 }) }))).toEqual([]);
  });

  test('of transparency are half transparent pixels', () => {
    const cut = drawn(width, height, 'rgb', (x) => [...red, x < 120 ? 255 : x === 120 ? 99 : 0]);
    expect(findingsOf(cut)).toEqual([`flats-soft warn: ${height} px`]);
  });

  test('lie where they are, in millimetres from the trim', () => {
    const [{ places }] = inspected(softBy(60)).noticed;
    expect(places?.shown[0]).toMatchObject({ xMm: 8.47, yMm: 1.02, widthMm: 0.08 });
  });
});

describe('stray patches', () => {
  const strayOf = (across: number, down: number, colour: readonly number[] = blue) =>
    painted(halves, boxIn(50, 60, across, down, colour));

  test('are told up to the limit, and not above it', () => {
    expect(findingsOf(strayOf(4, 4))).toEqual(['flats-stray warn: 1 patch of 16 px']);
    expect(findingsOf(strayOf(17, 1))).toEqual([]);
  });

  test('are told in a colour of their own as well', () => {
    expect(findingsOf(strayOf(2, 1, [0, 250, 0]))).toEqual(['flats-stray warn: 1 patch of 2 px']);
  });

  test('are none at the edge of the picture, where they go on, beneath the line, or at the tip of an area', () => {
    expect(findingsOf(painted(halves, boxIn(0, 60, 2, 2, blue)))).toEqual([]);
    const line = bitsOf(plateOf(width, height, (x) => (x >= 45 && x < 60 ? 255 : 0)));
    expect(findingsOf(strayOf(3, 3), line)).toEqual([]);
    const tip = Array.from({ length: 5 }, (_, i) => ({ x: 119 - i, y: 90 - i, colour: blue }));
    expect(findingsOf(painted(halves, tip))).toEqual([]);
  });

  test('are not told where the limit is 0', () => {
    expect(findingsOf(strayOf(3, 3), undefined, spec({ checks: limitsWith({ flatsIslandPx: 0 }) }))).toEqual(
      [],
    );
  });
});

describe('gaps', () => {
  /** 0.25 mm are 3 px at 300 ppi. */
  test('are slits of bare ground as narrow as the limit, and no wider ones', () => {
    expect(findingsOf(painted(halves, boxIn(119, 0, 3, height, white)))).toEqual(['flats-gap warn: 1 gap']);
    expect(findingsOf(painted(halves, boxIn(119, 0, 4, height, white)))).toEqual([]);
  });

  test('are holes as well, each counted', () => {
    const holes = [
      ...boxIn(30, 30, 1, 1, white),
      ...boxIn(60, 30, 3, 3, white),
      ...boxIn(90, 200, 2, 9, white),
    ];
    expect(findingsOf(painted(halves, holes))).toEqual(['flats-gap warn: 3 gaps']);
  });

  test('are none at the tip of a white wedge', () => {
    const wedge = Array.from({ length: 40 }, (_, i) =>
      boxIn(60 - i, 100 + 2 * i, 1 + 2 * i, 2, white),
    ).flat();
    expect(findingsOf(painted(halves, wedge))).toEqual([]);
  });

  test('are told in transparent ground too, and white is a flat beside it', () => {
    const holed = drawn(width, height, 'rgb', (x, y) => {
      if (y > 280) return [0, 0, 0, 0];
      if (x === 50 && y === 50) return [9, 9, 9, 0];
      return x > 100 && x < 103 ? [255, 255, 255, 255] : [...red, 255];
    });
    expect(findingsOf(holed)).toEqual(['flats-gap warn: 1 gap']);
  });

  test('are not told where the limit is 0', () => {
    const none = spec({ checks: limitsWith({ flatsGapMm: 0 }) });
    expect(findingsOf(painted(halves, boxIn(119, 0, 1, height, white)), undefined, none)).toEqual([]);
  });
});

describe('colours that hardly differ', () => {
  const beside = (levels: number) =>
    painted(halves, boxIn(20, 20, 30, 30, [red[0], red[1] + levels, red[2]]));

  test('are noted up to two levels apart, and not from three on', () => {
    expect(findingsOf(beside(2))).toEqual(['flats-near-colours note: 1 pair, 2 levels apart at most']);
    expect(findingsOf(beside(3))).toEqual([]);
  });

  test('are named, the one that fills less at its place', () => {
    const [{ message, places }] = inspected(beside(1)).noticed;
    expect(message).toContain('#c81f28 and #c81e28');
    expect(places?.shown).toMatchObject([
      { xMm: 0, yMm: 0, widthMm: 2.54, measured: '#c81f28 beside #c81e28' },
    ]);
  });
});

describe('flats beneath their line', () => {
  /** A red area up to a column, paper beyond it, and an upright line of 8 px from column 120 on. */
  const upTo = (column: number) => drawn(width, height, 'rgb', (x) => (x < column ? red : white));
  const line = bitsOf(plateOf(width, height, (x) => (x >= 120 && x < 128 ? 255 : 0)));

  test('reach one pixel beneath it at least', () => {
    expect(findingsOf(upTo(121), line)).toEqual([]);
    expect(findingsOf(upTo(120), line)).toEqual([
      `flats-short warn: ${mm(height).toFixed(1)} mm of edge in 1 place`,
    ]);
  });

  test('are told where they end as far before it as the limit says, and not farther off, where they mean no line', () => {
    expect(findingsOf(upTo(117), line)).toEqual(['flats-short warn: 27.1 mm of edge in 1 place']);
    expect(findingsOf(upTo(116), line)).toEqual([]);
  });

  test('may go on beyond it', () => {
    expect(findingsOf(upTo(140), line)).toEqual([]);
  });

  test('are not told where a line crosses their edge', () => {
    const crossing = bitsOf(plateOf(width, height, (x, y) => (Math.abs(y - 100 - x / 2) < 4 ? 255 : 0)));
    expect(findingsOf(upTo(120), crossing)).toEqual([]);
  });

  test('are measured beneath line of another resolution, and cut where the page is', () => {
    const fine = bitsOf(plateOf(2 * width, 2 * height, (x) => (x >= 240 && x < 256 ? 255 : 0)));
    const withMargin = (column: number) =>
      drawn(width + 20, height + 20, 'rgb', (x) => (x < column + 10 ? red : white));
    const own = spec({ linePpi: 600 });
    const under = { pixels: fine, ppi: { x: 600, y: 600 } };
    const codes = (flats: Raster) =>
      inspectFlats(
        { pixels: flats, ppi: { x: 300, y: 300 } },
        under,
        { spec: own, units: 'mm' },
        arena,
      ).noticed.map(({ code }) => code);
    expect(codes(upTo(121))).toEqual([]);
    expect(codes(upTo(119))).toEqual(['flats-short']);
    expect(codes(withMargin(121))).toEqual([]);
    expect(codes(withMargin(119))).toEqual(['flats-short']);
  });
});

describe('what is no flats', () => {
  const noise = seeded(11);

  test('is told once: a painting', () => {
    const paint = drawn(width, height, 'rgb', (x, y) => [x & 248, y % 256, 80]);
    expect(findingsOf(paint, sound.line)).toEqual([
      'flats-none warn: 100 % of it in colours that fill no area',
    ]);
    const grain = drawn(width, height, 'rgb', () =>
      [noise() * 99, noise() * 99, noise() * 99].map(Math.floor),
    );
    expect(findingsOf(grain)).toEqual(['flats-none warn: nearly all of it in colours that fill no area']);
  });

  test('is told once: flats with noise along their edges', () => {
    const data = sound.flats.data.map((level, i) => {
      const isNearEdge = Math.abs((Math.floor(i / 3) % width) - 120) < 12;
      return isNearEdge ? Math.max(0, Math.min(255, level + Math.round(8 * noise() - 4))) : level;
    });
    expect(findingsOf({ ...sound.flats, data }, sound.line)).toMatchObject([
      expect.stringMatching(/^flats-none warn: 9/),
    ]);
  });

  test('is told once: flats with the line visible', () => {
    const inked = drawn(width, height, 'rgb', (x, y) => {
      const isInk = (sound.line.bits[y * sound.line.rowBytes + (x >> 3)] >> (x & 7)) & 1;
      const at = 3 * (y * width + x);
      return isInk ? [0, 0, 0] : [...sound.flats.data.slice(at, at + 3)];
    });
    expect(findingsOf(inked, sound.line)).toEqual(['flats-with-line warn: undefined']);
  });

  test('of another shape than the page is told as a warning, and its own faults without places', () => {
    const square = drawn(200, 200, 'rgb', (x, y) => (x === 50 && y === 50 ? blue : red));
    const { noticed } = inspected(square, sound.line);
    expect(noticed.map(({ severity }) => severity)).toEqual(['warn', 'warn']);
    expect(noticed[1]).toMatchObject({ code: 'flats-stray' });
    expect(noticed[1].places).toBeUndefined();
  });
});
