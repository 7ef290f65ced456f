import type { KernelMemory } from '../kernels/kernel-memory.js';
import type { BlendMode } from '../model/working-page.js';
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

/** The modes that integers can compute, by their kernel; overlay is hard-light with the two layers changed over. */
const compiledModes = {
  multiply: 'multiplyTile',
  screen: 'screenTile',
  overlay: 'hardLightTile',
  'hard-light': 'hardLightTile',
  darken: 'darkenTile',
  lighten: 'lightenTile',
  difference: 'differenceTile',
} as const;
type CompiledMode = keyof typeof compiledModes;

/** One loop for each other mode, because a call for each sample would cost more than the arithmetic. */
const separable: Readonly<Record<Exclude<SeparableMode, CompiledMode>, BlendLoop>> = {
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
  'soft-light'(under, over, out, samples) {
    for (let i = 0; i < samples; i++) {
      const b = under[i] * per16;
      const s = over[i] * per16;
      const lift = s <= 0.5 ? b * (1 - b) : (b <= 0.25 ? ((16 * b - 12) * b + 4) * b : Math.sqrt(b)) - b;
      out[i] = (b + (2 * s - 1) * lift) * full16 + 0.5;
    }
  },
  exclusion(under, over, out, samples) {
    for (let i = 0; i < samples; i++) out[i] = under[i] + over[i] - 2 * under[i] * over[i] * per16 + 0.5;
  },
};

const blendLoops: Readonly<Record<Exclude<SeparableMode, CompiledMode> | NonSeparableMode, BlendLoop>> = {
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
 * @param scratch for as many samples, overwritten
 */
export function compositeTile(
  mode: BlendMode,
  under: Uint16Array,
  over: Uint16Array,
  scratch: Uint16Array,
  memory: KernelMemory,
): void {
  switch (mode) {
    case 'dst-in':
      destinationIn(under, over, under.length);
      break;
    case 'dst-out':
      destinationOut(under, over, under.length);
      break;
    case 'src-atop':
      sourceAtop(under, over, under.length);
      break;
    case 'dst-atop':
      destinationAtop(under, over, under.length);
      break;
    default:
      layOver(mode, under, over, scratch, memory);
  }
}

/** The modes that lay the source over the backdrop: plain, added, or blended with it first. */
function layOver(
  mode: Exclude<BlendMode, Exclude<PorterDuffMode, 'plus'>>,
  under: Uint16Array,
  over: Uint16Array,
  scratch: Uint16Array,
  memory: KernelMemory,
): void {
  const samples = under.length;
  const places = memory.scratch(under.byteLength, under.byteLength, under.byteLength);
  const [below, above] = [memory.addressOf(under, places[0]), memory.addressOf(over, places[1])];
  if (mode === 'plus') memory.kernels.addTile(below, above, samples);
  else if (mode === 'src-over') memory.kernels.layTile(below, above, above, samples);
  else {
    let blended: number;
    if (isCompiled(mode)) {
      blended = memory.writableAddress(scratch, places[2]);
      const [first, second] = mode === 'overlay' ? [above, below] : [below, above];
      memory.kernels[compiledModes[mode]](first, second, blended, samples);
    } else {
      blendLoops[mode](under, over, scratch, samples);
      blended = memory.addressOf(scratch, places[2]);
    }
    memory.kernels.layTile(below, above, blended, samples);
  }
  memory.store(below, under);
}

function isCompiled(mode: BlendMode): mode is CompiledMode {
  return Object.hasOwn(compiledModes, mode);
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
