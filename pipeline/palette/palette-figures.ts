import type { ColourFigures } from '../model/palette.js';
import { rounded, type WeighedColour } from './common-palette.js';
import { chromaOf } from './oklab.js';

/**
 * Colours as figures. Temperature is along one axis of OKLab: orange, between red (hue 29 degrees) and yellow (110), is warmest, and what
 * lies opposite is coolest. That there are warm and cool colours is painters' common practice; where the axis lies is our own choice.
 */
const warmestHue = (60 * Math.PI) / 180;

/** Contrast goes from the darkest of so much of the area to as much of the lightest, as shares of it. Own choice. */
const tail = 0.1;

/** Figures of colours by their weight. @returns undefined where there are none */
export function figuresOf(colours: readonly WeighedColour[]): ColourFigures | undefined {
  const whole = colours.reduce((sum, { weight }) => sum + weight, 0);
  if (whole === 0) return undefined;
  const mean = (of: (colour: WeighedColour['oklab']) => number) =>
    colours.reduce((sum, { oklab, weight }) => sum + of(oklab) * weight, 0) / whole;
  return {
    lightness: rounded(mean(([l]) => l)),
    chroma: rounded(mean(chromaOf)),
    temperature: rounded(mean(([, a, b]) => a * Math.cos(warmestHue) + b * Math.sin(warmestHue))),
    contrast: rounded(contrastOf(colours, whole * tail)),
  };
}

/** Mean lightness of the lightest less that of the darkest, of so much weight each. */
function contrastOf(colours: readonly WeighedColour[], weight: number): number {
  const byLight = [...colours].sort((one, other) => one.oklab[0] - other.oklab[0]);
  return meanOfFirst(byLight.toReversed(), weight) - meanOfFirst(byLight, weight);
}

function meanOfFirst(colours: readonly WeighedColour[], weight: number): number {
  let [left, sum] = [weight, 0];
  for (const { oklab, weight: own } of colours) {
    const taken = Math.min(left, own);
    sum += oklab[0] * taken;
    left -= taken;
  }
  return sum / weight;
}
