import { instantiate } from 'lcms-wasm';
import type { Intent } from '../../config/print-spec.js';

/** Little CMS 2.16 as the reference for colour, in floating point and without its own tables. */

export type ReferenceSpace = Uint8Array | 'srgb' | 'lab';

export interface Reference {
  /**
   * Converts colours the way `exactTransform` does: channels from 0 to 1; Lab as L/100, (a+128)/255, (b+128)/255.
   * @param intent `kept-black` is its own way to keep pure black, relative colorimetric
   * @param colours interleaved
   */
  convert(
    from: ReferenceSpace,
    fromModel: Model,
    to: ReferenceSpace,
    toModel: Model,
    intent: Intent | 'kept-black',
    blackPointCompensation: boolean,
    colours: Float32Array,
  ): Float32Array;
}

export type Model = 'grey' | 'rgb' | 'cmyk' | 'lab';

// lcms2.h: FLOAT_SH(1), COLORSPACE_SH(space), CHANNELS_SH(count), BYTES_SH(4); flags NOOPTIMIZE, NOCACHE, BPC.
const format = (space: number, count: number) => (1 << 22) | (space << 16) | (count << 3) | 4;
const formats = { grey: format(3, 1), rgb: format(4, 3), cmyk: format(6, 4), lab: format(10, 3) } as const;
const channels = { grey: 1, rgb: 3, cmyk: 4, lab: 3 } as const;
const exactly = 0x0100 | 0x0040;
const compensated = 0x2000;
// INTENT_PRESERVE_K_ONLY_RELATIVE_COLORIMETRIC is 11.
const intentNumbers = { perceptual: 0, relative: 1, saturation: 2, absolute: 3, 'kept-black': 11 } as const;

export async function openReference(): Promise<Reference> {
  const lcms = await instantiate();
  const open = (space: ReferenceSpace): number => {
    if (space === 'srgb') return lcms.cmsCreate_sRGBProfile();
    if (space === 'lab') return lcms.cmsCreateLab4Profile();
    return lcms.cmsOpenProfileFromMem(space, space.length);
  };
  return {
    convert(from, fromModel, to, toModel, intent, blackPointCompensation, colours) {
      const flags = exactly | (blackPointCompensation ? compensated : 0);
      const [input, output] = [open(from), open(to)];
      const transform = lcms.cmsCreateTransform(
        input,
        formats[fromModel],
        output,
        formats[toModel],
        intentNumbers[intent],
        flags,
      );
      if (transform === 0) throw new Error('Little CMS cannot make this conversion');
      const scaled = colours.map((value, index) => toLcms(fromModel, value, index));
      const result = lcms.cmsDoTransform(transform, scaled, colours.length / channels[fromModel]);
      lcms.cmsDeleteTransform(transform);
      return result.map((value, index) => fromLcms(toModel, value, index));
    },
  };
}

/** In floating point Little CMS takes and gives inks in percent and Lab in its own units. */
function toLcms(model: Model, value: number, index: number): number {
  if (model === 'cmyk') return value * 100;
  if (model !== 'lab') return value;
  return index % 3 === 0 ? value * 100 : value * 255 - 128;
}

function fromLcms(model: Model, value: number, index: number): number {
  if (model === 'cmyk') return value / 100;
  if (model !== 'lab') return value;
  return index % 3 === 0 ? value / 100 : (value + 128) / 255;
}
