import { join, resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import {
  type CompleteSettings,
  mergeSettings,
  pressChoice,
  resolveSpec,
} from '../../../config/job-file/resolve-spec.js';
import { bleedBoxPx } from '../../../config/print-spec.js';

const settings: CompleteSettings = { trim: [6.625, 10.25], bleed: 0.125, safe: 0.25, press: 'cgats-tr006' };
const page = { unit: 'in' as const, folder: '/jobs/tdl03', isSpread: false };

describe('a print spec', () => {
  it('has its lengths in millimetres', () => {
    const spec = resolveSpec(settings, page);
    // 1 inch is 25.4 mm exactly: international yard and pound agreement of 1959.
    expect(spec.trim.widthMm).toBeCloseTo(168.275, 9);
    expect(spec.trim.heightMm).toBeCloseTo(260.35, 9);
    expect(spec.bleedMm).toBeCloseTo(3.175, 9);
    expect(spec.safeMm).toBeCloseTo(6.35, 9);
  });

  it('makes whole pixels of the colour, and twice as many of the line', () => {
    // 6.625 + 2 x 0.125 by 10.25 + 2 x 0.125 inches at 300 ppi are 2062.5 x 3150 pixels: arithmetic.
    expect(bleedBoxPx(resolveSpec(settings, page), 300)).toEqual({ width: 2063, height: 3150 });
    expect(bleedBoxPx(resolveSpec(settings, page), 600)).toEqual({ width: 4126, height: 6300 });
  });

  it('is two pages wide for a spread, with bleed outside only', () => {
    const spread = resolveSpec(settings, { ...page, isSpread: true });
    expect(spread.trim.widthMm).toBeCloseTo(2 * 168.275, 9);
    expect(spread.trim.heightMm).toBeCloseTo(260.35, 9);
    expect(bleedBoxPx(spread, 600)).toEqual({ width: 8100, height: 6300 });
  });

  it('fills in the documented defaults', () => {
    expect(resolveSpec(settings, page)).toMatchObject({
      colourPpi: 300,
      linePpi: 600,
      proofPpi: 120,
      inks: ['cyan', 'magenta', 'yellow', 'black'],
      inkLimitPercent: undefined,
      intent: 'relative',
      blackPointCompensation: true,
      proofPaperWhite: false,
      proofBoxes: true,
      untaggedAs: 'srgb',
      untaggedStated: false,
      allowEnlarging: false,
      line: { thresholdPercent: 50, blackMaxLevelPercent: 24, blackMaxChromaPercent: 10, liftFromFlat: true },
      support: { enabled: true, inkPercent: { cyan: 60, magenta: 40, yellow: 40 } },
      fidelity: { warnDe: 3, stopDe: 10, edgeDe: 8 },
      inkSaving: { enabled: false, mostDe: 1, skinDe: 0.5, skinBlackPercent: 0 },
      plateShiftMm: undefined,
      spreads: 'whole',
      foldBleedMm: 3.175,
      pdf: 'x-4',
      marks: false,
      blackPlate: 'withoutLine',
      inkLimitConfirmed: false,
    });
  });

  it.each(['in', 'mm'] as const)(
    'keeps support 0.25 mm from the edge and off blacks under 2 mm when lengths are in %s',
    (unit) => {
      const { support } = resolveSpec(settings, { ...page, unit });
      expect(support).toMatchObject({ chokeMm: 0.25, minWidthMm: 2 });
    },
  );

  it('has no support ink where black alone prints, also where the job asks for it', () => {
    const spec = resolveSpec({ ...settings, inks: ['black'], support: { enabled: true } }, page);
    expect([spec.inks, spec.support.enabled]).toEqual([['black'], false]);
  });

  it("takes the bleed at the fold in the job's unit, none where that is asked for", () => {
    const foldBleedOf = (foldBleed: number) => resolveSpec({ ...settings, foldBleed }, page).foldBleedMm;
    expect(foldBleedOf(0.25)).toBeCloseTo(6.35, 9);
    expect(foldBleedOf(0)).toBe(0);
  });

  it("takes support lengths in the job's unit", () => {
    const { support } = resolveSpec({ ...settings, support: { choke: 0.01, minWidth: 0.1 } }, page);
    expect(support.chokeMm).toBeCloseTo(0.254, 9);
    expect(support.minWidthMm).toBeCloseTo(2.54, 9);
  });

  it.each(['perceptual', 'saturation', 'absolute'] as const)(
    'goes without black point compensation in the %s intent',
    (intent) => {
      expect(resolveSpec({ ...settings, intent }, page).blackPointCompensation).toBe(false);
    },
  );

  it('has proofs no finer than a coarse colour', () => {
    expect(resolveSpec({ ...settings, colourPpi: 100 }, page).proofPpi).toBe(100);
  });
});

describe('overrides', () => {
  it('replace what they name and leave the rest', () => {
    const merged = mergeSettings([settings, { press: 'fogra39l', inkLimit: 300 }, { inkLimit: 280 }]);
    expect(merged).toMatchObject({ trim: [6.625, 10.25], press: 'fogra39l', inkLimit: 280 });
  });

  it('reach into line and support key by key', () => {
    const merged = mergeSettings([
      { line: { threshold: 40, lift: false }, support: { choke: 1 } },
      { line: { threshold: 60 } },
      undefined,
    ]);
    expect(merged.line).toEqual({ threshold: 60, lift: false });
    expect(merged.support).toEqual({ choke: 1 });
  });
});

describe('a press condition', () => {
  const folder = resolve('/jobs/tdl03');
  it.each([
    ['cgats-tr006', { kind: 'shipped', name: 'cgats-tr006' }],
    ['FOGRA39L', { kind: 'shipped', name: 'fogra39l' }],
    ['paper.icc', { kind: 'file', path: join(folder, 'paper.icc') }],
    ['paper.ICM', { kind: 'file', path: join(folder, 'paper.ICM') }],
    ['./profiles/paper', { kind: 'file', path: join(folder, 'profiles', 'paper') }],
    [resolve('/printer/paper.icc'), { kind: 'file', path: resolve('/printer/paper.icc') }],
  ])('%s is told by its form', (press, choice) => {
    expect(pressChoice(press, folder)).toEqual(choice);
  });
});
