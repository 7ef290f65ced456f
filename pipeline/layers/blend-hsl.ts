/**
 * The non-separable blend modes: hue, saturation, color and luminosity mix all channels of a pixel at once.
 * Formulas: W3C Compositing and Blending Level 1, section 10.2 (Lum, Sat, SetLum, SetSat, ClipColor).
 */

export type NonSeparableMode = 'hue' | 'saturation' | 'color' | 'luminosity';

type BlendLoop = (under: Uint16Array, over: Uint16Array, out: Uint16Array, samples: number) => void;

const white = 65535;

/** Lum of a colour: 0.3 R + 0.59 G + 0.11 B, in the samples' own scale. */
export function lumOf(red: number, green: number, blue: number): number {
  return 0.3 * red + 0.59 * green + 0.11 * blue;
}

/** B(Cb, Cs) of each mode, for tiles of interleaved red, green, blue, alpha, 16 bit; alpha is left alone. */
export const nonSeparable: Readonly<Record<NonSeparableMode, BlendLoop>> = {
  hue(under, over, out, samples) {
    for (let i = 0; i < samples; i += 4) {
      if (over[i + 3] !== 0) writeHue(out, i, over, satAt(under, i), lumAt(under, i));
    }
  },
  saturation(under, over, out, samples) {
    for (let i = 0; i < samples; i += 4) {
      if (over[i + 3] !== 0) writeHue(out, i, under, satAt(over, i), lumAt(under, i));
    }
  },
  color(under, over, out, samples) {
    for (let i = 0; i < samples; i += 4) {
      if (over[i + 3] !== 0) writeLum(out, i, over[i], over[i + 1], over[i + 2], lumAt(under, i));
    }
  },
  luminosity(under, over, out, samples) {
    for (let i = 0; i < samples; i += 4) {
      if (over[i + 3] !== 0) writeLum(out, i, under[i], under[i + 1], under[i + 2], lumAt(over, i));
    }
  },
};

function lumAt(tile: Uint16Array, i: number): number {
  return lumOf(tile[i], tile[i + 1], tile[i + 2]);
}

function satAt(tile: Uint16Array, i: number): number {
  return Math.max(tile[i], tile[i + 1], tile[i + 2]) - Math.min(tile[i], tile[i + 1], tile[i + 2]);
}

/** SetLum(SetSat(colour, sat), lum): stretching all channels from their least one keeps their order, so none is sorted. */
function writeHue(out: Uint16Array, i: number, colour: Uint16Array, sat: number, lum: number): void {
  const least = Math.min(colour[i], colour[i + 1], colour[i + 2]);
  const spread = satAt(colour, i);
  const stretch = spread === 0 ? 0 : sat / spread;
  writeLum(
    out,
    i,
    (colour[i] - least) * stretch,
    (colour[i + 1] - least) * stretch,
    (colour[i + 2] - least) * stretch,
    lum,
  );
}

/** SetLum with ClipColor: shifts the colour to the wanted Lum and pulls what leaves the range back towards it. */
function writeLum(out: Uint16Array, i: number, red: number, green: number, blue: number, lum: number): void {
  const shift = lum - lumOf(red, green, blue);
  const least = Math.min(red, green, blue) + shift;
  const most = Math.max(red, green, blue) + shift;
  // A colour is never wider than the range, so that it leaves it at one end at most.
  let pull = 1;
  if (least < 0) pull = lum / (lum - least);
  else if (most > white) pull = (white - lum) / (most - lum);
  out[i] = lum + (red + shift - lum) * pull + 0.5;
  out[i + 1] = lum + (green + shift - lum) * pull + 0.5;
  out[i + 2] = lum + (blue + shift - lum) * pull + 0.5;
}
