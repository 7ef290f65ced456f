import { emptySpectrum, type Spectrum, transform, transformBack } from './fft.js';

/** How far one picture is shifted against another of the same size, and how clearly that shows. */
export interface Shift {
  /** Pixels, to the right and down: what is at (x, y) in the first picture is at (x + dx, y + dy) in the second. */
  readonly dx: number;
  readonly dy: number;
  /** Height of the peak over the noise around it, in standard deviations of that noise. Chance alone gives 3 to 5. */
  readonly clarity: number;
}

/** How a correlation is made. */
export interface CorrelationOptions {
  /** Largest shift looked for, in pixels along each axis; default a quarter of the shorter side. */
  readonly reach?: number;
  /**
   * Leaves out what runs along rows and columns: borders of panels, which pages of a series share. Default no.
   */
  readonly withoutUprights?: boolean;
  /** Softness in pixels (standard deviation) of what counts: finer detail is left out. Default 1. */
  readonly softnessPx?: number;
}

/**
 * Phase correlation (Kuglin and Hines 1975): the two spectra multiplied, every frequency brought to the same strength, and
 * transformed back; where both show the same, a peak stands at the shift between them.
 * @param pair `re` holds the first picture, `im` the second, both with their mean and their borders taken down; used up
 */
export function phaseCorrelation(pair: Spectrum, options: CorrelationOptions = {}): Shift {
  const { softnessPx = 1, withoutUprights = false } = options;
  const reach = options.reach ?? Math.min(pair.width, pair.height) >> 2;
  const band = bandOf(pair.width, softnessPx);
  transform(pair, band);
  const cross = crossSpectrum(pair, softnessPx, withoutUprights);
  // The row beyond either end of the reach is asked for by the peak.
  transformBack(cross, band, reach + 1);
  return peakOf(cross, reach);
}

/** Frequencies below this, in turns over the picture, are what runs along rows and columns, with what fading spreads of it. */
const lowestTurns = 3;

/**
 * conj(A) B over its own size, from the transform Z of a + i b: A(k) = (Z(k) + conj Z(-k)) / 2, B(k) = (Z(k) - conj Z(-k)) / 2i.
 */
function crossSpectrum(pair: Spectrum, softnessPx: number, withoutUprights: boolean): Spectrum {
  const { width, height, re, im } = pair;
  const cross = emptySpectrum(width, height);
  const across = weights(width, softnessPx);
  const down = weights(height, softnessPx);
  const least = withoutUprights ? lowestTurns : 0;
  const [widest, highest] = [bandOf(width, softnessPx), bandOf(height, softnessPx)];
  for (let v = 0; v < height; v++) {
    if (Math.min(v, height - v) < least || Math.min(v, height - v) > highest) continue;
    const mirrored = ((height - v) % height) * width;
    for (let u = 0; u < width; u++) {
      if (Math.min(u, width - u) < least || Math.min(u, width - u) > widest) continue;
      const i = v * width + u;
      const j = mirrored + ((width - u) % width);
      const aRe = re[i] + re[j];
      const aIm = im[i] - im[j];
      const bRe = im[i] + im[j];
      const bIm = re[j] - re[i];
      const crossRe = aRe * bRe + aIm * bIm;
      const crossIm = aRe * bIm - aIm * bRe;
      const size = Math.sqrt(crossRe * crossRe + crossIm * crossIm);
      // Nothing in one of the two but the noise of floating point.
      if (size <= 1e-9 * (aRe * aRe + aIm * aIm + bRe * bRe + bIm * bIm)) continue;
      const weight = (across[u] * down[v]) / size;
      cross.re[i] = crossRe * weight;
      cross.im[i] = crossIm * weight;
    }
  }
  return cross;
}

/** The highest frequency that still counts a thousandth, along an axis of a length. */
function bandOf(length: number, softnessPx: number): number {
  return Math.min(
    length >> 1,
    Math.ceil((Math.sqrt(2 * Math.log(1000)) * length) / (2 * Math.PI * softnessPx)),
  );
}

const weightsOf = new Map<string, Float64Array>();

/** What each frequency along an axis counts: the transform of a bell of so many pixels. */
function weights(length: number, softnessPx: number): Float64Array {
  const name = `${length} ${softnessPx}`;
  let known = weightsOf.get(name);
  if (known === undefined) {
    known = Float64Array.from({ length }, (_, u) => {
      const turn = (2 * Math.PI * Math.min(u, length - u)) / length;
      return Math.exp(-0.5 * (turn * softnessPx) ** 2);
    });
    weightsOf.set(name, known);
  }
  return known;
}

/** The highest place within reach, to parts of a pixel, and how it stands out. */
function peakOf({ width, height, re }: Spectrum, reach: number): Shift {
  const at = (x: number, y: number) => re[((y + height) % height) * width + ((x + width) % width)];
  let best = { x: 0, y: 0, value: -Infinity };
  let sum = 0;
  let squares = 0;
  for (let y = -reach; y <= reach; y++) {
    for (let x = -reach; x <= reach; x++) {
      const value = at(x, y);
      sum += value;
      squares += value * value;
      if (value > best.value) best = { x, y, value };
    }
  }
  const count = (2 * reach + 1) ** 2;
  const mean = sum / count;
  const deviation = Math.sqrt(Math.max(0, squares / count - mean * mean));
  const { x, y, value } = best;
  return {
    dx: x + vertex(at(x - 1, y), value, at(x + 1, y)),
    dy: y + vertex(at(x, y - 1), value, at(x, y + 1)),
    clarity: deviation === 0 ? 0 : (value - mean) / deviation,
  };
}

/** Where the highest point lies between three neighbours that follow a bell; its logarithm is a parabola. */
function vertex(before: number, top: number, after: number): number {
  if (before <= 0 || after <= 0 || top <= 0) return parabola(before, top, after);
  return parabola(Math.log(before), Math.log(top), Math.log(after));
}

function parabola(before: number, top: number, after: number): number {
  const bend = before - 2 * top + after;
  return bend >= 0 ? 0 : Math.max(-0.5, Math.min(0.5, (before - after) / (2 * bend)));
}
