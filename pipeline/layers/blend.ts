import type { BlendMode } from '../working-page.js';
import { type NonSeparableMode, nonSeparable } from './blend-hsl.js';

/**
 * The blend and compositing kernels, after W3C Compositing and Blending Level 1 (sections 5, 9 and 10). All pixels
 * here are tiles: interleaved red, green, blue and straight alpha, 16 bit each, 0 to 65535. 16 bit hold a stack of
 * dozens of 8-bit layers without visible rounding, at half the memory of floating point.
 */

/** The largest sample of a tile. */
export const full16 = 65535;
const per16 = 1 / full16;

/** B(Cb, Cs) of one blend mode for `samples` samples; the fourth of each pixel, its alpha, is computed but not used. */
type BlendLoop = (under: Uint16Array, over: Uint16Array, out: Uint16Array, samples: number) => void;

type PorterDuffMode = 'plus' | 'dst-in' | 'dst-out' | 'src-atop' | 'dst-atop';
type SeparableMode = Exclude<BlendMode, NonSeparableMode | PorterDuffMode | 'src-over'>;

/** One loop for each mode, because a call for each sample would cost more than the arithmetic. */
const separable: Readonly<Record<SeparableMode, BlendLoop>> = {
  multiply(under, over, out, samples) {
    for (let i = 0; i < samples; i++) out[i] = under[i] * over[i] * per16 + 0.5;
  },
  screen(under, over, out, samples) {
    for (let i = 0; i < samples; i++) out[i] = under[i] + over[i] - under[i] * over[i] * per16 + 0.5;
  },
  // Overlay is hard-light with the two layers changed over.
  overlay(under, over, out, samples) {
    separable['hard-light'](over, under, out, samples);
  },
  darken(under, over, out, samples) {
    for (let i = 0; i < samples; i++) out[i] = Math.min(under[i], over[i]);
  },
  lighten(under, over, out, samples) {
    for (let i = 0; i < samples; i++) out[i] = Math.max(under[i], over[i]);
  },
  'color-dodge'(under, over, out, samples) {
    for (let i = 0; i < samples; i++) {
      const b = under[i];
      const gap = full16 - over[i];
      out[i] = b === 0 ? 0 : b >= gap ? full16 : (b * full16) / gap + 0.5;
    }
  },
  'color-burn'(under, over, out, samples) {
    for (let i = 0; i < samples; i++) {
      const gap = full16 - under[i];
      const s = over[i];
      out[i] = gap === 0 ? full16 : gap >= s ? 0 : full16 - (gap * full16) / s + 0.5;
    }
  },
  'hard-light'(under, over, out, samples) {
    for (let i = 0; i < samples; i++) {
      const b = under[i];
      const s = over[i] * 2;
      // Screen with 2s - 1 where the source is light, multiply with 2s where it is dark.
      out[i] = s <= full16 ? b * s * per16 + 0.5 : b + (s - full16) - b * (s - full16) * per16 + 0.5;
    }
  },
  'soft-light'(under, over, out, samples) {
    for (let i = 0; i < samples; i++) {
      const b = under[i] * per16;
      const s = over[i] * per16;
      const lift = s <= 0.5 ? b * (1 - b) : (b <= 0.25 ? ((16 * b - 12) * b + 4) * b : Math.sqrt(b)) - b;
      out[i] = (b + (2 * s - 1) * lift) * full16 + 0.5;
    }
  },
  difference(under, over, out, samples) {
    for (let i = 0; i < samples; i++) out[i] = under[i] > over[i] ? under[i] - over[i] : over[i] - under[i];
  },
  exclusion(under, over, out, samples) {
    for (let i = 0; i < samples; i++) out[i] = under[i] + over[i] - 2 * under[i] * over[i] * per16 + 0.5;
  },
};

const blendLoops: Readonly<Record<SeparableMode | NonSeparableMode, BlendLoop>> = {
  ...separable,
  ...nonSeparable,
};

/** Whether a mode changes the backdrop even where the source is transparent, so that no tile may be passed over. */
export function clearsOutside(mode: BlendMode): boolean {
  return mode === 'dst-in' || mode === 'dst-atop';
}

/**
 * Composites one tile onto another.
 *
 * @param mode blend mode of the source
 * @param under backdrop, changed in place
 * @param over source; its alpha already carries the layer's opacity
 * @param scratch room for as many samples, overwritten
 */
export function compositeTile(
  mode: BlendMode,
  under: Uint16Array,
  over: Uint16Array,
  scratch: Uint16Array,
): void {
  const samples = under.length;
  switch (mode) {
    case 'src-over':
      sourceOver(under, over, samples);
      break;
    case 'plus':
      plus(under, over, samples);
      break;
    case 'dst-in':
      destinationIn(under, over, samples);
      break;
    case 'dst-out':
      destinationOut(under, over, samples);
      break;
    case 'src-atop':
      sourceAtop(under, over, samples);
      break;
    case 'dst-atop':
      destinationAtop(under, over, samples);
      break;
    default:
      blendLoops[mode](under, over, scratch, samples);
      blendOver(under, over, scratch, samples);
  }
}

/** Source over: Co = Cb + (Cs - Cb) as / ao, with ao = as + ab - as ab. */
function sourceOver(under: Uint16Array, over: Uint16Array, samples: number): void {
  for (let i = 0; i < samples; i += 4) {
    const as = over[i + 3];
    if (as === 0) continue;
    const ab = under[i + 3];
    if (as === full16 || ab === 0) {
      under[i] = over[i];
      under[i + 1] = over[i + 1];
      under[i + 2] = over[i + 2];
      under[i + 3] = as;
      continue;
    }
    const ao = ab === full16 ? full16 : as + ab - as * ab * per16;
    const share = as / ao;
    under[i] = under[i] + (over[i] - under[i]) * share + 0.5;
    under[i + 1] = under[i + 1] + (over[i + 1] - under[i + 1]) * share + 0.5;
    under[i + 2] = under[i + 2] + (over[i + 2] - under[i + 2]) * share + 0.5;
    under[i + 3] = ao + 0.5;
  }
}

/** Source over with a blended colour: the source's colour is first mixed with B(Cb, Cs) by the backdrop's alpha. */
function blendOver(under: Uint16Array, over: Uint16Array, blended: Uint16Array, samples: number): void {
  for (let i = 0; i < samples; i += 4) {
    const as = over[i + 3];
    if (as === 0) continue;
    const ab = under[i + 3];
    const ao = ab === full16 ? full16 : as + ab - as * ab * per16;
    const share = as / ao;
    const mix = ab * per16;
    for (let c = i; c < i + 3; c++) {
      const source = over[c] + (blended[c] - over[c]) * mix;
      under[c] = under[c] + (source - under[c]) * share + 0.5;
    }
    under[i + 3] = ao + 0.5;
  }
}

/** Plus (lighter): co = as Cs + ab Cb and ao = as + ab, both at most 1. */
function plus(under: Uint16Array, over: Uint16Array, samples: number): void {
  for (let i = 0; i < samples; i += 4) {
    const as = over[i + 3];
    if (as === 0) continue;
    const ab = under[i + 3];
    const ao = Math.min(full16, as + ab);
    for (let c = i; c < i + 3; c++) {
      under[c] = Math.min(full16, (as * over[c] + ab * under[c]) / ao + 0.5);
    }
    under[i + 3] = ao;
  }
}

/** Destination in: the backdrop stays where the source is. Fa = 0, Fb = as. */
function destinationIn(under: Uint16Array, over: Uint16Array, samples: number): void {
  for (let i = 3; i < samples; i += 4) under[i] = under[i] * over[i] * per16 + 0.5;
}

/** Destination out: the backdrop stays where the source is not. Fa = 0, Fb = 1 - as. */
function destinationOut(under: Uint16Array, over: Uint16Array, samples: number): void {
  for (let i = 3; i < samples; i += 4) under[i] = under[i] * (full16 - over[i]) * per16 + 0.5;
}

/** Source atop: the source shows only where the backdrop is, whose alpha stays. Fa = ab, Fb = 1 - as. */
function sourceAtop(under: Uint16Array, over: Uint16Array, samples: number): void {
  for (let i = 0; i < samples; i += 4) {
    const share = over[i + 3] * per16;
    if (share === 0) continue;
    for (let c = i; c < i + 3; c++) under[c] = under[c] + (over[c] - under[c]) * share + 0.5;
  }
}

/** Destination atop: the backdrop shows only where the source is, whose alpha is taken. Fa = 1 - ab, Fb = as. */
function destinationAtop(under: Uint16Array, over: Uint16Array, samples: number): void {
  for (let i = 0; i < samples; i += 4) {
    const share = under[i + 3] * per16;
    for (let c = i; c < i + 3; c++) under[c] = over[c] + (under[c] - over[c]) * share + 0.5;
    under[i + 3] = over[i + 3];
  }
}
