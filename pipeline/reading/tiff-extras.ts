import { counted } from '../../config/figures.js';
import type { Noticed } from '../model/findings.js';
import type { ColourModel } from '../model/raster.js';
import { damaged, unsupported } from './byte-source.js';
import { type Tiff, type TiffDirectory, tiffNumbers, tiffTag } from './tiff-directory.js';

/** What the samples beyond the colours are. */
export interface Extras {
  readonly alphaAt: number | undefined;
  readonly premultiplied: boolean;
  /** Further channels that are not declared as alpha: saved selections, spot inks. */
  readonly undeclared: number;
}

/** ExtraSamples (TIFF 6.0 page 31): 0 unspecified, 1 premultiplied alpha, 2 straight alpha; they come last. */
export async function extraChannels(
  tiff: Tiff,
  directory: TiffDirectory,
  colours: number,
  samplesPerPixel: number,
): Promise<Extras> {
  const extra = samplesPerPixel - colours;
  if (extra < 0)
    throw damaged(
      tiff.source.name,
      `it claims ${counted(samplesPerPixel, 'channel')} for ${counted(colours, 'colour')}`,
    );
  const kinds = (await tiffNumbers(tiff, directory, tiffTag.extraSamples)) ?? [];
  const alpha = kinds.slice(0, extra).findIndex((kind) => kind === 1 || kind === 2);
  if (alpha < 0) return { alphaAt: undefined, premultiplied: false, undeclared: extra };
  return { alphaAt: colours + alpha, premultiplied: kinds[alpha] === 1, undeclared: extra - 1 };
}

/** @throws PlatehandError `picture-unsupported` where leaving a channel out would lose part of the page */
export function checkExtras(
  name: string,
  stored: Extras & { model: ColourModel; palette: boolean; photometric: number },
): void {
  if (stored.model === 'cmyk' && stored.undeclared > 0) {
    throw unsupported(
      name,
      `it is CMYK with ${counted(stored.undeclared, 'further channel')}, ${stored.undeclared === 1 ? 'a spot ink or a saved selection' : 'spot inks or saved selections'}`,
      'Save it again with the four process inks alone; work spot inks into them first',
    );
  }
  const odd =
    (stored.photometric === 0 && stored.premultiplied) || (stored.palette && stored.alphaAt !== undefined);
  const many = stored.undeclared > 8;
  if (!odd && !many && !(stored.palette && stored.undeclared > 0)) return;
  throw unsupported(
    name,
    'its further channels are of a kind that is not taken in',
    'Save it again as flat RGB',
  );
}

/** For the record of channels that were left out. */
export function undeclaredChannels(count: number): Noticed {
  return {
    code: 'picture-extra-channels',
    severity: 'warn',
    message: `${counted(count, 'further channel is', 'further channels are')} not declared as transparency and left out`,
    source: 'TIFF 6.0, ExtraSamples 0: unspecified data',
    remedy:
      'If it is a saved selection, nothing is lost; if it is transparency or a spot ink, save the page flat',
  };
}
