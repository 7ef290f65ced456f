import { describe, expect, it } from 'vitest';
import { blackTolerance, isBlack, isCovered, unexplained } from '../../../pipeline/layers/black.js';
import { lineSettings } from '../../helpers/stack-builder.js';

const tolerance = blackTolerance(lineSettings);
type Colour = readonly [number, number, number];

function scaled(colour: Colour): [number, number, number] {
  return [colour[0] * 65535, colour[1] * 65535, colour[2] * 65535];
}

/** What black line leaves unexplained; all values 0 to 1. */
function rest(page: Colour, bare: Colour, amount: number): number {
  return unexplained(...scaled(page), ...scaled(bare), amount * 65535, tolerance);
}

/** A line of some colour, laid over the bare page with a soft edge's alpha. */
function lineOver(ink: Colour, bare: Colour, alpha: number): Colour {
  return [0, 1, 2].map((c) => ink[c] * alpha + bare[c] * (1 - alpha)) as unknown as Colour;
}

describe('black of its own', () => {
  it('is as dark and as neutral as the settings say, and no further', () => {
    expect(isBlack(...scaled([0.15, 0.15, 0.15]), tolerance)).toBe(true);
    expect(isBlack(...scaled([0.151, 0.15, 0.15]), tolerance)).toBe(false);
    expect(isBlack(...scaled([0.12, 0.02, 0.02]), tolerance)).toBe(true);
    expect(isBlack(...scaled([0.13, 0.02, 0.02]), tolerance)).toBe(false);
  });
});

describe('black line over the page beneath', () => {
  const skin: Colour = [0.9, 0.7, 0.5];

  it('explains black ink at every strength of its soft edge', () => {
    for (const alpha of [0.02, 0.1, 0.5, 0.9, 1]) {
      expect(rest(lineOver([0, 0, 0], skin, alpha), skin, alpha)).toBeLessThan(0.01);
    }
  });

  it('at full ink holds the page against the level and the chroma of the settings', () => {
    expect(rest([0.15, 0.15, 0.15], skin, 1)).toBeCloseTo(1, 6);
    expect(rest([0.1, 0.1, 0], skin, 1)).toBeCloseTo(1, 6);
    expect(rest([0.2, 0.2, 0.2], skin, 1)).toBeGreaterThan(1);
  });

  it('does not explain a coloured line, at its soft edge as little as at its core', () => {
    const red: Colour = [0.8, 0.1, 0.15];
    const darkness = 1 - (0.3 * 0.8 + 0.59 * 0.1 + 0.11 * 0.15);
    for (const alpha of [0.1, 0.3, 0.6, 1]) {
      expect(rest(lineOver(red, skin, alpha), skin, alpha * darkness)).toBeGreaterThan(1);
    }
  });

  it('judges the soft edge under a glow as it judges the core', () => {
    for (const shine of [0.05, 0.14, 0.16, 0.5]) {
      const glowing = (colour: Colour) => colour.map((v) => 1 - (1 - v) * (1 - shine)) as unknown as Colour;
      const verdicts = [0.2, 0.5, 1].map((alpha) => {
        return rest(glowing(lineOver([0, 0, 0], skin, alpha)), glowing(skin), alpha) <= 1;
      });
      expect(verdicts).toEqual(Array(3).fill(shine < 0.15));
    }
  });

  it('is covered where the page shows what it would without the line', () => {
    const white = scaled([1, 1, 1]);
    expect(isCovered(...white, ...white, 65535)).toBe(true);
    expect(isCovered(...scaled([0.9, 0.9, 0.9]), ...white, 65535)).toBe(false);
  });
});
