import { describe, expect, test } from 'vitest';
import { noticeColour } from '../../../pipeline/checks/colour.js';
import { gamutFigures } from '../../../pipeline/colour-faults/gamut.js';
import type { HeatMap } from '../../../pipeline/model/places.js';
import { separationOf } from '../../../pipeline/model/separation.js';
import { specWith } from '../../helpers/specs.js';

/** 50.8 x 50.8 mm without bleed at 60 ppi: a map cell is a pixel. */
const [width, height] = [120, 120];
const spec = specWith({ trim: { widthMm: 50.8, heightMm: 50.8 }, bleedMm: 0, colourPpi: 60 });
const facts = {
  inkLimitPercent: 300,
  inkLimitSource: 'the paper',
  labOf: () => new Float32Array(0),
};

function mapOf(deAt: (i: number) => number): HeatMap {
  const values = Uint8Array.from({ length: width * height }, (_, i) => deAt(i) * 4);
  return { width, height, ppi: 60, values, perStep: 0.25, unit: 'CIEDE2000' };
}

/** A page with so much of each ink, percent. */
const inked = (percent: number) =>
  separationOf({ width, height }, () => new Uint8Array(width * height).fill(Math.round(percent * 2.55)));

function told({ gamut, percent = 20, checks = {} }: { gamut?: HeatMap; percent?: number; checks?: object }) {
  const composite = inked(percent);
  const page = { composite, separation: composite, gamut, nearBlack: undefined };
  return noticeColour(page, { ...spec, checks: { ...spec.checks, ...checks } }, facts);
}

describe('colours out of gamut', () => {
  /** So much of a page missed by so much, from its top. */
  const missed = (percent: number, de: number) =>
    mapOf((i) => (i < (percent / 100) * width * height ? de : 0));

  test('are told above the share that is set, with mean, percentile and most', () => {
    const [finding] = told({ gamut: missed(20, 8) });
    expect(finding).toMatchObject({ code: 'out-of-gamut', severity: 'note' });
    expect(finding.measured).toBe(
      '20.0 % of the page by more than 5; CIEDE2000 mean 1.6, 95 % within 8.0, most 8.0',
    );
    expect(finding.places?.shown[0]).toMatchObject({ xMm: 0, yMm: 0, measured: 'CIEDE2000 up to 8.0' });
    expect(finding.places?.shown[0].heightMm).toBeCloseTo(50.8 / 5, 0);
  });

  test('a share, or a difference, that is at its limit is right', () => {
    expect(told({ gamut: missed(10, 8) })).toEqual([]);
    expect(told({ gamut: missed(10.1, 8) })).toHaveLength(1);
    expect(told({ gamut: missed(100, 5) })).toEqual([]);
    expect(told({ gamut: missed(100, 5.25) })).toHaveLength(1);
  });

  test('ask for a look where the whole page is missed by far', () => {
    expect(told({ gamut: missed(100, 12) })[0].severity).toBe('note');
    expect(told({ gamut: missed(100, 12.25) })[0].severity).toBe('warn');
  });

  test('0 leaves the check out, and so does a page that has no such colours', () => {
    expect(told({ gamut: missed(100, 20), checks: { outOfGamutPercent: 0 } })).toEqual([]);
    expect(told({})).toEqual([]);
  });

  test('figures are those of the map', () => {
    expect(
      gamutFigures(
        mapOf((i) => (i % 100 < 4 ? 40 : 2)),
        5,
      ),
    ).toEqual({
      percent: 4,
      meanDe: 3.52,
      p95De: 2,
      mostDe: 40,
    });
  });
});

describe('a square inch that is heavy with ink', () => {
  test('is told above its share of the ink limit: 270 % of 300', () => {
    expect(told({ percent: 67 })).toEqual([]);
    const [finding] = told({ percent: 68 });
    expect(finding).toMatchObject({ code: 'ink-heavy', severity: 'note' });
    expect(finding.limit).toBe('at most 270 %, 90 % of the ink limit of 300 %');
    expect(finding.source).toContain('the paper');
    expect(finding.places?.shown[0]).toMatchObject({ widthMm: 25.4, heightMm: 25.4 });
  });

  test('asks for a look where it has more than the limit all over', () => {
    expect(told({ percent: 74 })[0].severity).toBe('note');
    expect(told({ percent: 76 })[0].severity).toBe('warn');
  });

  test('0 leaves it out', () => {
    expect(told({ percent: 90, checks: { heavyInchPercent: 0 } })).toEqual([]);
  });
});
