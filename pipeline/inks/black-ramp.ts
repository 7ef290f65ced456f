import { exactTransform, type LoadedProfile } from '../../config/press/colour-engine.js';

/** How dark black ink alone prints, and how much of it prints as dark as is asked for. Lightness is L* of CIELAB, paper 100. */
export interface BlackRamp {
  /** Lightness of solid black ink: nothing darker can be printed with it alone. */
  readonly darkest: number;
  /** The ink, 0 to 1, that prints with a lightness: none for paper and lighter, solid for the darkest and darker. */
  inkFor(lightness: number): number;
}

/** Steps at which a ramp is asked for: from one to the next lightness changes by less than 1, nearly in a straight line. */
const steps = 256;

/** Relative colorimetric, by the profile's own table. @throws PlatehandError `colour-engine` */
export function blackRamp(press: LoadedProfile): BlackRamp {
  const lightness = blackLightness(press);
  const levels = Float64Array.from({ length: steps + 1 }, (_, step) => lightness(step / steps));
  // Measured data may grow lighter again for a step; ink is only ever asked for that prints darker than less of it.
  for (let step = 1; step <= steps; step++) levels[step] = Math.min(levels[step], levels[step - 1]);
  return { darkest: levels[steps], inkFor: (asked) => inkOn(levels, asked) };
}

/** What black ink alone looks like in a CMYK profile: its lightness by its amount, 0 to 1. */
export function blackLightness(profile: LoadedProfile): (ink: number) => number {
  const how = { from: profile, to: 'lab', intent: 'relative', blackPointCompensation: false } as const;
  const toLab = exactTransform(how);
  return (ink) => (toLab([0, 0, 0, ink])[0] ?? 0) * 100;
}

/** Between the two steps that are lighter and darker. */
function inkOn(levels: Float64Array, asked: number): number {
  if (asked >= levels[0]) return 0;
  let [above, below] = [0, steps];
  if (asked <= levels[below]) return 1;
  while (below - above > 1) {
    const middle = (above + below) >> 1;
    if (levels[middle] > asked) above = middle;
    else below = middle;
  }
  return (above + (levels[above] - asked) / (levels[above] - levels[below])) / steps;
}

/**
 * Lays a range of lightness on another so that both blacks fall together and paper stays: luminance is scaled, as black point
 * compensation does it (Adobe Systems' Black Point Compensation, 2006).
 * @param black lightness that becomes `darkest`; what is darker becomes it too
 */
export function compensatedLightness(lightness: number, black: number, darkest: number): number {
  const [from, to] = [luminanceOf(black), luminanceOf(darkest)];
  const luminance = to + ((luminanceOf(lightness) - from) * (1 - to)) / (1 - from);
  return lightnessOf(Math.min(1, Math.max(to, luminance)));
}

/** CIE 15: L* and relative luminance, with the exact fractions of its straight part. */
const straightEnd = 8;
const straightSlope = 24389 / 27;

function luminanceOf(lightness: number): number {
  return lightness > straightEnd ? ((lightness + 16) / 116) ** 3 : lightness / straightSlope;
}

function lightnessOf(luminance: number): number {
  const isCurved = luminance > straightEnd / straightSlope;
  return isCurved ? 116 * Math.cbrt(luminance) - 16 : luminance * straightSlope;
}
