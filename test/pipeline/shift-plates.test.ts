import { beforeAll, describe, expect, test } from 'vitest';
import { fileKinds } from '../../config/job.js';
import { openPress, type Press } from '../../config/press.js';
import { noticeShift } from '../../pipeline/checks/plate-shift.js';
import { type Separator, separatorFor } from '../../pipeline/inks/separator.js';
import { addSupportInk } from '../../pipeline/inks/support-ink.js';
import { PageArena } from '../../pipeline/kernels/page-arena.js';
import { processPlanes, type Separation, separationOf } from '../../pipeline/model/separation.js';
import { bundlePathOf } from '../../pipeline/outputs/products.js';
import { shiftPlates } from '../../pipeline/shift-plates.js';
import { colourPx, pageThrough, plainTiff } from '../helpers/page-through.js';
import { drawn, seeded } from '../helpers/rasters.js';
import { specWith } from '../helpers/specs.js';

// Pages of 30 mm a side at 254 ppi: ten pixels a millimetre, so that lengths are known by construction.

const arena = new PageArena();
const side = 300;
const pxPerMm = 10;
const spec = { colourPpi: 254, bleedMm: 0, plateShiftMm: 0.12 };

let press: Press;
let separator: Separator;
beforeAll(async () => {
  press = await openPress({ kind: 'shipped', name: 'cgats-tr006' });
  separator = separatorFor(press, specWith());
});

type Percents = readonly [cyan: number, magenta: number, yellow: number, black: number];
const paper: Percents = [0, 0, 0, 0];

/** A page of inks, told in percent for each place in millimetres. */
function pageOf(inksAt: (xMm: number, yMm: number) => Percents): Separation {
  const separation = separationOf({ width: side, height: side }, () => arena.allocate(side * side));
  for (const [ink, plane] of processPlanes(separation).entries()) {
    for (let i = 0; i < plane.length; i++) {
      const [x, y] = [((i % side) + 0.5) / pxPerMm, (Math.floor(i / side) + 0.5) / pxPerMm];
      plane[i] = Math.round(inksAt(x, y)[ink] * 2.55);
    }
  }
  return separation;
}

function shiftOf(inksAt: (xMm: number, yMm: number) => Percents, change: Partial<typeof spec> = {}) {
  arena.reset();
  const shift = shiftPlates(pageOf(inksAt), { ...spec, ...change }, press, separator, arena);
  if (shift === undefined) throw new Error('nothing was simulated');
  return shift;
}

const expectNothing = (shift: ReturnType<typeof shiftOf>) =>
  expect(shift).toMatchObject({ openMm: 0, fringeMm: 0, places: [] });

const cyan: Percents = [100, 0, 0, 0];
const magenta: Percents = [0, 100, 0, 0];
const flesh: Percents = [20, 60, 60, 0];

describe('plates out of register', () => {
  test('open paper where two inks abut, over the length of the edge', () => {
    const shift = shiftOf((x) => (x < 15 ? cyan : magenta));
    expect(shift.openMm).toBeGreaterThan(29);
    expect(shift.openMm).toBeLessThan(32);
    expect(shift.fringeMm).toBe(0);
    for (const { xMm, kind } of shift.places) {
      expect(kind).toBe('open');
      expect(Math.abs(xMm - 15)).toBeLessThan(0.3);
    }
    const [{ plate, rightMm, downMm }] = shift.places;
    expect(['cyan', 'magenta']).toContain(plate);
    expect(Math.hypot(rightMm, downMm)).toBeCloseTo(0.12, 2);
    expect(Math.sign(rightMm)).toBe(plate === 'cyan' ? -1 : 1);
  });

  test('open as much of an edge at any angle', () => {
    // From (0, 5) to (30, 20): hypot(30, 15) mm.
    const shift = shiftOf((x, y) => (y < 5 + x / 2 ? cyan : magenta));
    expect(shift.openMm / Math.hypot(30, 15)).toBeGreaterThan(0.93);
    expect(shift.openMm / Math.hypot(30, 15)).toBeLessThan(1.2);
  });

  test('open nothing where the colours overlap by more than the shift, or share an ink', () => {
    expectNothing(shiftOf((x) => [x < 15.2 ? 100 : 0, x < 15 ? 0 : 100, 0, 0]));
    expectNothing(shiftOf((x) => (x < 15 ? [80, 60, 0, 0] : [10, 90, 0, 0])));
  });

  test('a trap of a pixel leaves less than a fifth of a pixel open at a shift of 1.2, and a shift of 2.2 opens it', () => {
    const trapped = (x: number): Percents => [x < 15.1 ? 100 : 0, x < 15 ? 0 : 100, 0, 0];
    expectNothing(shiftOf(trapped));
    expect(shiftOf(trapped, { plateShiftMm: 0.22 }).openMm).toBeGreaterThan(29);
  });

  test('are told in parts of a pixel: half a pixel at the edge of two inks opens', () => {
    expect(shiftOf((x) => (x < 15 ? cyan : magenta), { plateShiftMm: 0.05 }).openMm).toBeGreaterThan(29);
  });

  test('open paper on both sides of black line that is knocked out of colour, and none where it overprints', () => {
    const isLine = (x: number) => x > 14 && x < 15;
    const knockedOut = shiftOf((x) => (isLine(x) ? [0, 0, 0, 100] : flesh));
    expect(knockedOut.openMm).toBeGreaterThan(58);
    expect(knockedOut.openMm).toBeLessThan(64);
    expect(knockedOut.places[0].plate).toBe('black');
    expectNothing(shiftOf((x) => [flesh[0], flesh[1], flesh[2], isLine(x) ? 100 : 0]));
  });

  test('show support ink beyond black that is not choked, and none that is', () => {
    const black = (x: number, y: number) => x > 5 && x < 25 && y > 5 && y < 25;
    const supported = (chokeMm: number) => {
      arena.reset();
      const page = pageOf((x, y) => (black(x, y) ? [0, 0, 0, 100] : paper));
      const coverage = { width: side, height: side, data: processPlanes(page)[3] };
      const settings = { ...specWith().support, chokeMm };
      addSupportInk(page, coverage, settings, spec.colourPpi, 400, arena);
      return shiftPlates(page, spec, press, separator, arena);
    };
    expect(supported(0.25)).toMatchObject({ openMm: 0, fringeMm: 0 });
    const unchoked = shiftOf((x, y) => (black(x, y) ? [60, 40, 40, 100] : paper));
    expect(unchoked.fringeMm).toBeGreaterThan(76);
    expect(unchoked.fringeMm).toBeLessThan(86);
  });

  test('show a fringe along white lettering in black of four inks, and none in black alone', () => {
    const isLetter = (x: number, y: number) => y > 10 && y < 20 && x % 3 > 1.2 && x % 3 < 1.8;
    const four = shiftOf((x, y) => (isLetter(x, y) ? paper : [60, 50, 50, 100]));
    // Ten strokes of 10 by 0.6 mm.
    expect(four.fringeMm).toBeGreaterThan(180);
    expect(four.fringeMm).toBeLessThan(225);
    expectNothing(shiftOf((x, y) => (isLetter(x, y) ? paper : [0, 0, 0, 100])));
  });

  test('find nothing where a fill ends beneath black line', () => {
    expectNothing(shiftOf((x) => [x < 15 ? 90 : 0, 0, x < 15 ? 0 : 90, x > 14.6 && x < 15.4 ? 100 : 0]));
  });

  test('find nothing in paint and photographs: tones that pass over, and grain', () => {
    const random = seeded(5);
    expectNothing(
      shiftOf((x, y) => {
        const wave = (a: number, b: number) => 45 + 40 * Math.sin(x / a + y / b) + 6 * random();
        return [wave(3, 5), wave(-4, 3), wave(5, -2), 20 + 10 * random()];
      }),
    );
  });

  test('find nothing on a page of one ink, and are not simulated where job.yaml says 0', () => {
    expectNothing(shiftOf((x) => (x % 2 < 1 ? [0, 0, 0, 100] : paper)));
    arena.reset();
    const page = pageOf((x) => (x < 15 ? cyan : magenta));
    expect(shiftPlates(page, { ...spec, plateShiftMm: 0 }, press, separator, arena)).toBeUndefined();
  });

  test("are moved by the press condition's figure where the job has none", async () => {
    const newsprint = await openPress({ kind: 'shipped', name: 'cgats-tr002' });
    arena.reset();
    const page = pageOf((x) => (x < 15 ? cyan : magenta));
    const shift = shiftPlates(page, { ...spec, plateShiftMm: undefined }, newsprint, separator, arena);
    expect(shift?.shiftMm).toBe(newsprint.plateShiftMm);
  });
});

describe('what is told of plates out of register', () => {
  const place = { xMm: 3, yMm: 4, lengthMm: 9, plate: 'black', rightMm: 0.1, downMm: 0 } as const;
  const told = (openMm: number, fringeMm: number) =>
    noticeShift(
      {
        shiftMm: 0.1,
        openMm,
        fringeMm,
        places: [
          { ...place, kind: 'open' },
          { ...place, kind: 'fringe' },
        ],
      },
      'a test',
    ).map(({ code, severity }) => `${code} ${severity}`);

  test('is nothing for little, a note for much, and a warning for paper along half a metre', () => {
    expect(told(50, 100)).toEqual([]);
    expect(told(51, 101)).toEqual(['plates-open note', 'plates-fringe note']);
    expect(told(501, 0)).toEqual(['plates-open warn']);
  });

  test('names fringes at lettering, and lays no box over what has to be read', () => {
    const [{ measured, places }] = noticeShift(
      { shiftMm: 0.1, openMm: 0, fringeMm: 110, places: [{ ...place, kind: 'fringe' }] },
      'a test',
    );
    expect(measured).toContain('3 / 4 mm (black, 9 mm long)');
    expect(places).toBeUndefined();
  });

  test('boxes the worst places, each with the plate', () => {
    const [{ measured, places }] = noticeShift(
      { shiftMm: 0.1, openMm: 60, fringeMm: 0, places: [{ ...place, kind: 'open' }] },
      'a test',
    );
    expect(measured).toBe('some 60 mm');
    const [boxed] = places?.shown ?? [];
    expect(boxed.measured).toBe('black, 9 mm long');
    expect([boxed.xMm + boxed.widthMm / 2, boxed.yMm + boxed.heightMm / 2]).toEqual([3, 4]);
  });
});

describe('a page whose plates open', () => {
  test('has a picture of it beside its proof, kept out of the bundle; one that overprints has none', async () => {
    // A chequer of pure cyan and magenta, 2 mm a side at 100 ppi, as CMYK that is taken for the inks of the press.
    const chequer = drawn(colourPx.width, colourPx.height, 'cmyk', (x, y) =>
      ((x >> 3) + (y >> 3)) % 2 === 0 ? [255, 0, 0, 0] : [0, 255, 0, 0],
    );
    const { report } = await pageThrough({ 'p1.tif': plainTiff(chequer, 100) });
    expect(report.findings.map(({ code }) => code)).toContain('plates-open');
    const shown = report.outputs.filter(({ role }) => role === 'register');
    expect(shown).toHaveLength(1);
    expect(bundlePathOf(shown[0], fileKinds)).toBeUndefined();
    expect(report.measures?.plateShift?.places).toHaveLength(10);
    const plain = drawn(colourPx.width, colourPx.height, 'cmyk', () => [255, 0, 0, 0]);
    const { report: calm } = await pageThrough({ 'p1.tif': plainTiff(plain, 100) });
    expect(calm.outputs.map(({ role }) => role)).not.toContain('register');
  });
});
