import { createHash } from 'node:crypto';
import { PlatehandError } from '../../config/errors.js';
import { type ColourSpace, loadProfile } from '../../config/press/colour-engine.js';
import { readIccProfile } from '../../config/press/icc-profile.js';
import type { Press } from '../../config/press.js';
import type { Noticed } from '../model/findings.js';
import type { Raster } from '../model/raster.js';

/** What the numbers of a picture mean: a colour space to convert from, or the inks of this very press. */
export interface Meaning {
  readonly source: ColourSpace | 'press';
  /** Tells links apart. */
  readonly key: string;
  readonly noticed: readonly Noticed[];
}

/** Decides what the numbers mean; nothing is taken for granted without a word. */
export function meaningOf(raster: Raster, profile: Uint8Array | undefined, press: Press): Meaning {
  const taken = raster.model === 'cmyk' ? 'the inks of the press condition' : 'sRGB';
  const untagged = (noticed: Noticed): Meaning => ({
    source: raster.model === 'cmyk' ? 'press' : 'srgb',
    key: 'srgb',
    noticed: [noticed],
  });
  if (profile === undefined) return untagged(noticedUntagged(taken));
  const key = createHash('sha256').update(profile).digest('hex');
  if (raster.model === 'cmyk' && key === press.sha256) return { source: 'press', key, noticed: [] };
  try {
    const { space } = readIccProfile(profile, 'picture');
    if (space !== raster.model) return untagged(noticedMismatch(space, raster.model, taken));
    return { source: loadProfile(profile), key, noticed: [] };
  } catch (thrown) {
    if (!(thrown instanceof PlatehandError)) throw thrown;
    return untagged(noticedDamaged(thrown.what, taken));
  }
}

function noticedUntagged(taken: string): Noticed {
  return {
    code: 'profile-untagged',
    severity: 'warn',
    message: `No ICC profile is embedded, so its numbers were taken as ${taken}`,
    remedy: 'Save the page with the profile it was painted in, or accept this in job.yaml if it is right.',
  };
}

function noticedMismatch(space: string, model: string, taken: string): Noticed {
  return {
    code: 'profile-mismatch',
    severity: 'warn',
    message: `The embedded ICC profile does not fit the pixels, so their numbers were taken as ${taken}`,
    measured: `a profile for ${space}`,
    limit: `pixels in ${model}`,
    remedy: 'Save the page again with the profile of the colours it is in.',
  };
}

function noticedDamaged(what: string, taken: string): Noticed {
  const why = what.replace(/^This ICC profile cannot be used: /, '');
  return {
    code: 'profile-damaged',
    severity: 'warn',
    message: `The embedded ICC profile is of no use (${why}), so the numbers were taken as ${taken}`,
    remedy: 'Save the page again with a sound profile.',
  };
}
