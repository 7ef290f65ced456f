/** Types of the few calls of jscolorengine 1.6 that platehand makes; the package brings none. */
declare module 'jscolorengine' {
  class Profile {
    loaded: boolean;
    /** Major version of ICC.1 that it follows. */
    version: number;
    lastError: { err: number; text: string };
    loadBinary(bytes: Uint8Array): void;
  }

  interface TransformOptions {
    /** `device` takes and gives arrays of numbers from 0 to 1; the others typed arrays of their width. */
    dataFormat: 'device' | 'int8' | 'int16';
    /** Bakes the chain into a table; without it every colour walks the exact path. */
    buildLut?: boolean;
    /** Black point compensation; only does anything with the relative intent. */
    BPC?: boolean;
    /** Drops stages that cancel each other out; on unless said otherwise. */
    optimise?: boolean;
    lutGridPoints3D?: number;
    lutGridPoints4D?: number;
    detectIdentity?: boolean;
  }

  /** A table that the engine built. */
  interface Lut {
    /** Nodes x output channels, from 0 to 1, the last input channel running fastest. */
    CLUT: Float64Array;
    chain: unknown[];
    inputChannels: number;
    outputChannels: number;
    gridPoints: number[];
  }

  interface EngineLab {
    L: number;
    a: number;
    b: number;
  }

  class Transform {
    constructor(options: TransformOptions);
    lut: Lut;
    /** Whether the engine decides on black point compensation by itself where the intent is not relative. */
    _BPCAutoEnable: boolean;
    /** Lab of the deepest black that a CMYK profile prints. */
    findInkLimitedBlackpoint(profile: Profile): EngineLab;
    Lab(l: number, a: number, b: number): EngineLab;
    create(from: Profile | string, to: Profile | string, intent: number): void;
    /** One colour through the exact path. */
    transform(colour: number[]): number[];
    /** Many pixels; `pixelCount` and `output` save copies. */
    array(
      pixels: Uint8Array | Uint8ClampedArray | Uint16Array,
      inputHasAlpha: boolean,
      outputHasAlpha: boolean,
      preserveAlpha: boolean,
      pixelCount: number,
      output: Uint8ClampedArray | Uint16Array,
    ): Uint8ClampedArray | Uint16Array;
    /** Runs this table instead of one built from profiles. */
    setLut(lut: Lut): void;
  }

  const engine: { Profile: typeof Profile; Transform: typeof Transform };
  export = engine;
}
