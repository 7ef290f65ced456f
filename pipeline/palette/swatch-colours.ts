import type { SwatchColour } from '../../config/job.js';
import { ciede2000, type Lab } from '../../config/press/ciede2000.js';
import { labOfRgb } from './cie-lab.js';
import { levelOf, type Rgb } from './oklab.js';

/** A swatch as CIE L*a*b* (D50), and as the nearest colour that a screen shows. */
export interface SwatchOnScreen {
  /** What is wanted. */
  readonly lab: Lab;
  /** What can be painted for it. */
  readonly rgb: Rgb;
  /** How far that is from what is wanted, CIEDE2000: more than some tenths where no screen shows the colour. */
  readonly missedDe: number;
}

export function onScreen(colour: SwatchColour): SwatchOnScreen {
  if (colour.kind === 'srgb') return { lab: labOfRgb(colour.srgb), rgb: colour.srgb, missedDe: 0 };
  const rgb = nearestRgb(colour.lab);
  return { lab: colour.lab, rgb, missedDe: ciede2000(colour.lab, labOfRgb(rgb)) };
}

/** Levels by which a search steps, one after the other: the last is the finest that a screen has. */
export const searchSteps = [16, 8, 4, 2, 1] as const;

/** A step up or down along each channel. */
const ways = [-1, 0, 1].flatMap((r) => [-1, 0, 1].flatMap((g) => [-1, 0, 1].map((b) => [r, g, b] as const)));

/** The colour of a screen that comes nearest: the one of the same light, cut off to what a screen has, and from there to the nearest. */
export function nearestRgb(lab: Lab): Rgb {
  let best = cutOff(lab);
  let least = ciede2000(lab, labOfRgb(best));
  for (const step of searchSteps) {
    for (let isNearer = true; isNearer; ) {
      isNearer = false;
      for (const next of around(best, step)) {
        const de = ciede2000(lab, labOfRgb(next));
        if (de >= least - 1e-9) continue;
        [best, least, isNearer] = [next, de, true];
      }
    }
  }
  return best;
}

/** The colours a step away from one, in all directions, as far as there are such; the colour itself among them. */
export function around(rgb: Rgb, step: number): Rgb[] {
  return ways.map((way): Rgb => {
    const level = (c: number) => Math.min(255, Math.max(0, rgb[c] + way[c] * step));
    return [level(0), level(1), level(2)];
  });
}

/** What the lightness, a and b come to as light in the three colours of sRGB, without what no screen shows. */
function cutOff([l, a, b]: Lab): Rgb {
  const y = (l + 16) / 116;
  const xyz = [y + a / 500, y, y - b / 200].map((lobe) =>
    lobe > 6 / 29 ? lobe ** 3 : 3 * (6 / 29) ** 2 * (lobe - 4 / 29),
  );
  const [red, green, blue] = lightOfXyz.map((row) => row[0] * xyz[0] + row[1] * xyz[1] + row[2] * xyz[2]);
  return [Math.round(levelOf(red)), Math.round(levelOf(green)), Math.round(levelOf(blue))];
}

/**
 * From XYZ relative to D50, each divided by its white, to light in the three colours of sRGB: a rounded inverse of the matrix in cie-lab.ts,
 * near enough to begin a search with.
 */
const lightOfXyz = [
  [3.0222, -1.6174, -0.4048],
  [-0.9438, 1.9163, 0.0276],
  [0.0694, -0.229, 1.1596],
] as const;
