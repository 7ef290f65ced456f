import engine from 'jscolorengine';
import { messageOf, PlatehandError } from '../errors.js';
import type { Intent } from '../print-spec.js';
import { coloursOnly } from './icc-profile.js';

/**
 * The only file that touches the colour engine. It works on inks and colours as numbers from 0 to 1; Lab is
 * L/100, (a+128)/255, (b+128)/255. What the engine throws (plain strings at times) becomes a PlatehandError.
 */

/** A colour space to convert from or to: a profile that is loaded, or one that the engine knows by itself. */
export type ColourSpace = LoadedProfile | 'srgb' | 'lab';

/** A profile inside the engine. Nothing outside this file looks into it. */
export interface LoadedProfile {
  /** The engine's own object. */
  readonly inEngine: unknown;
  /** Major version of ICC.1 that it follows: 2 or 4. */
  readonly version: number;
}

/** One colour through the exact path: channels from 0 to 1 in and out. */
export type ExactTransform = (colour: number[]) => number[];

/** How one colour space becomes another. */
export interface Conversion {
  /** What the numbers that go in mean. */
  readonly from: ColourSpace;
  /** What the numbers that come out mean. */
  readonly to: ColourSpace;
  /** Which of the profile's tables is used. */
  readonly intent: Intent;
  /** Only with the relative intent: with the others the engine's differs from Little CMS by up to 13.7 of 255. */
  readonly blackPointCompensation: boolean;
}

/** A conversion baked into a table, and the means to run pixels through it. */
export interface TableTransform {
  /** Nodes x output channels, from 0 to 1, the last input channel running fastest. */
  readonly nodes: Float64Array;
  /** Channels of a pixel that goes in: 1, 3 or 4. */
  readonly inputChannels: number;
  /** Nodes along each input channel. */
  readonly gridPoints: number;
  /**
   * Converts `count` interleaved pixels. `output` must be as wide as the table was made for: Uint8ClampedArray for
   * 8 bit, Uint16Array for 16 bit.
   */
  run(pixels: Uint8Array | Uint16Array, count: number, output: Uint8ClampedArray | Uint16Array): void;
  /** The same conversion with other nodes, such as nodes held to an ink limit. */
  withNodes(nodes: Float64Array): TableTransform;
}

const intentNumber = { perceptual: 0, relative: 1, saturation: 2, absolute: 3 } as const;

/**
 * Loads a profile that `readIccProfile` has found sound. Only its colour tags reach the engine.
 * @throws PlatehandError `profile-invalid`
 */
export function loadProfile(bytes: Uint8Array): LoadedProfile {
  const profile = new engine.Profile();
  guarded(() => profile.loadBinary(coloursOnly(bytes)), 'profile-invalid');
  if (!profile.loaded) throw refusal('profile-invalid', profile.lastError.text);
  return { inEngine: profile, version: bytes[8] ?? 0 };
}

/**
 * The exact path of a conversion, node by node of the profile's own tables: slow, for single colours and for tests.
 * @throws PlatehandError `colour-engine`
 */
export function exactTransform(conversion: Conversion): ExactTransform {
  const transform = new engine.Transform({
    dataFormat: 'device',
    BPC: compensates(conversion),
    // Coming from Lab, the engine's tidying of its stages fails on tables of 8 bit.
    optimise: conversion.from !== 'lab',
  });
  guarded(() => create(transform, conversion));
  return (colour) => guarded(() => transform.transform(colour));
}

/**
 * Bakes a conversion into a table.
 * @param gridPoints nodes along each input channel
 * @param bits width of the pixels that will run through it, in and out
 * @throws PlatehandError `colour-engine`
 */
export function tableTransform(conversion: Conversion, gridPoints: number, bits: 8 | 16): TableTransform {
  const transform = new engine.Transform({
    dataFormat: bits === 8 ? 'int8' : 'int16',
    buildLut: true,
    BPC: compensates(conversion),
    lutGridPoints3D: gridPoints,
    lutGridPoints4D: gridPoints,
    // From a profile to that very one the engine would copy, and make no table.
    detectIdentity: false,
  });
  guarded(() => create(transform, conversion));
  return wrap(transform, gridPoints, bits);
}

type EngineTransform = InstanceType<typeof engine.Transform>;
type EngineProfile = InstanceType<typeof engine.Profile>;

function create(transform: EngineTransform, conversion: Conversion): void {
  // Left to itself, the engine compensates in the perceptual and saturation intents when either side is of version 4,
  // its own sRGB included. Little CMS does so when the output is, which `compensates` says.
  transform._BPCAutoEnable = false;
  transform.findInkLimitedBlackpoint = (profile) => deepestBlack(transform, profile);
  transform.create(inEngine(conversion.from), inEngine(conversion.to), intentNumber[conversion.intent]);
}

/**
 * The deepest black of a CMYK profile, for black point compensation: the mix of inks that the perceptual table has for
 * L 0, seen through the relative table (Adobe Systems' Black Point Compensation, 2006). The engine has this too, but
 * lets a compensation slip into its own search, which misses Little CMS by up to 7 of 255.
 */
function deepestBlack(
  transform: EngineTransform,
  profile: EngineProfile,
): ReturnType<EngineTransform['Lab']> {
  const space = { inEngine: profile, version: profile.version };
  const toInk = exactTransform({
    from: 'lab',
    to: space,
    intent: 'perceptual',
    blackPointCompensation: false,
  });
  const toLab = exactTransform({ from: space, to: 'lab', intent: 'relative', blackPointCompensation: false });
  // L 0, a 0, b 0, encoded.
  const [l = 0] = toLab(toInk([0, 128 / 255, 128 / 255]));
  return transform.Lab(Math.min(50, Math.max(0, l * 100)), 0, 0);
}

function compensates(conversion: Conversion): boolean {
  const { to, intent, blackPointCompensation } = conversion;
  const isVersion4 = typeof to !== 'string' && to.version === 4;
  return blackPointCompensation || (isVersion4 && (intent === 'perceptual' || intent === 'saturation'));
}

function inEngine(space: ColourSpace): EngineProfile | string {
  if (space === 'srgb') return '*sRGB';
  if (space === 'lab') return '*Lab';
  return space.inEngine as EngineProfile;
}

function wrap(transform: EngineTransform, gridPoints: number, bits: 8 | 16): TableTransform {
  const { CLUT: nodes, inputChannels, outputChannels } = transform.lut;
  return {
    nodes,
    inputChannels,
    gridPoints,
    run(pixels, count, output) {
      // The engine's kernels check nothing: a wrong width or length would give wrong colours without a word.
      const fits = bits === 8 ? output instanceof Uint8ClampedArray : output instanceof Uint16Array;
      if (!fits || pixels instanceof Uint8Array !== (bits === 8)) {
        throw new TypeError(`this table is for ${bits} bit pixels`);
      }
      if (pixels.length < count * inputChannels || output.length < count * outputChannels) {
        throw new RangeError('fewer pixels than were promised');
      }
      guarded(() => transform.array(pixels, false, false, false, count, output));
    },
    withNodes(others) {
      const { chain, ...shape } = transform.lut;
      const twin = new engine.Transform({ dataFormat: bits === 8 ? 'int8' : 'int16' });
      guarded(() => twin.setLut({ ...shape, chain: [...chain], CLUT: others }));
      return wrap(twin, gridPoints, bits);
    },
  };
}

function guarded<T>(work: () => T, code: 'colour-engine' | 'profile-invalid' = 'colour-engine'): T {
  try {
    return work();
  } catch (thrown) {
    throw refusal(code, messageOf(thrown), thrown);
  }
}

function refusal(code: 'colour-engine' | 'profile-invalid', what: string, cause?: unknown): PlatehandError {
  return new PlatehandError(
    code,
    `The colour engine cannot use an ICC profile: ${what}`,
    'Ask whoever gave you the profile for a sound copy, or choose one of the press conditions that ship with platehand.',
    { cause },
  );
}
