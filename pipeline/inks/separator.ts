import { PlatehandError } from '../../config/errors.js';
import { figureBeside } from '../../config/figures.js';
import { type ColourSpace, type LoadedProfile, loadProfile } from '../../config/press/colour-engine.js';
import type { Press } from '../../config/press.js';
import { type InkSaving, type Intent, isBlackOnly, type PrintSpec } from '../../config/print-spec.js';
import type { SizePx } from '../../config/units.js';
import { LruCache } from '../kernels/lru-cache.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Noticed } from '../model/findings.js';
import type { Raster } from '../model/raster.js';
import { type ProcessPlanes, processPlanes, type Separation, separationOf } from '../model/separation.js';
import { colouredShare } from './black-only.js';
import { buildLink, type DeviceLink, type LinkOrder } from './device-link.js';
import { type GamutTable, gamutTable } from './gamut-table.js';
import { type InkLooks, openInkLooks } from './ink-looks.js';
import { onScreen } from './screen-look.js';
import { openSoftProofer } from './soft-proof.js';
import { meaningOf } from './source-meaning.js';

/** A picture as the process inks. */
export interface Separated {
  readonly separation: Separation;
  /** The most C+M+Y+K over all pixels as the profile alone would have it, in percent; exact for 8-bit inks. */
  readonly inkBeforePercent: number;
  /** The most C+M+Y+K over all pixels of the plates, in percent; exact. */
  readonly inkAfterPercent: number;
  /** Whether the numbers are those of the working page, untouched. */
  readonly passedThrough: boolean;
  readonly noticed: readonly Noticed[];
}

export interface SeparatorOptions {
  /** Rendering intent from the picture's colours to the press condition. */
  readonly intent: Intent;
  /** Goes with the relative intent only. */
  readonly blackPointCompensation: boolean;
  /** The most C+M+Y+K in percent; undefined takes the press condition's suggestion. */
  readonly inkLimitPercent: number | undefined;
  /** Inks that print: the four process inks, which is the default, or black alone. */
  readonly inks?: PrintSpec['inks'] | undefined;
  /** Black instead of the grey of the other inks; undefined as where it is not enabled. */
  readonly inkSaving?: InkSaving | undefined;
}

export interface Separator {
  /** The limit that holds, in percent, and where it comes from. */
  readonly inkLimitPercent: number;
  readonly inkLimitSource: string;
  /** The same without ink saving; undefined where nothing is saved. */
  readonly withoutSaving: Separator | undefined;
  /**
   * Separates a picture without alpha.
   * @param raster width x height x 1, 3 or 4 channels, 8 or 16 bit
   * @param sourceProfile the ICC profile embedded in the picture; undefined where it is untagged
   * @param arena where the plates are allocated
   */
  separate(raster: Raster, sourceProfile: Uint8Array | undefined, arena: PageArena): Separated;
  /**
   * How much of a picture without alpha is painted in colour that this page cannot print, as black alone prints: percent of its
   * area, 0 where all inks print.
   */
  colouredPercent(raster: Raster, sourceProfile: Uint8Array | undefined): number;
  /**
   * How far the press misses the colours of a picture; undefined where it is not RGB, or black alone prints.
   * @param sourceProfile as for `separate`
   */
  gamutOf(raster: Raster, sourceProfile: Uint8Array | undefined): GamutTable | undefined;
  /** What inks look like, relative colorimetric: L, a, b of each pixel, interleaved. */
  labOf(planes: ProcessPlanes): Float32Array;
  /** Inks (cmyk, 8 bit, without alpha) as they will look in print: rgb, 8 bit, sRGB, allocated in the arena. */
  softProof(inks: Raster, options: { paperWhite: boolean }, arena: PageArena): Raster;
  /**
   * A picture as a screen shows it, before it is separated: sRGB; CMYK as it will look in print.
   * @param raster 8 bit, without alpha
   * @param sourceProfile as for `separate`
   * @returns rgb or grey, 8 bit
   */
  screenOf(raster: Raster, sourceProfile: Uint8Array | undefined, arena: PageArena): Raster;
}

/** Links kept at a time (each some 20 MB): the few kinds of picture that one issue mixes. */
const maxLinks = 4;

/**
 * Opens a press for separating. Links are built when first needed and kept.
 * @throws PlatehandError `wrong-use` when black point compensation is asked for with another intent than relative
 */
export function openSeparator(press: Press, options: SeparatorOptions): Separator {
  const { intent, blackPointCompensation } = options;
  refuseCompensation(options);
  const profile = loadProfile(press.profile);
  const blackOnly = isBlackOnly(options);
  const { inkLimitPercent, inkLimitSource } = inkLimitOf(press, options);
  const inkSaving = options.inkSaving?.enabled && !blackOnly ? options.inkSaving : undefined;
  const order = { press: profile, intent, blackPointCompensation, inkLimitPercent, blackOnly, inkSaving };
  const linkFor = linkCache(order);
  const proofer = openSoftProofer(press);
  const looks = openInkLooks(profile);

  const separator: Separator = {
    inkLimitPercent,
    inkLimitSource,
    withoutSaving:
      inkSaving === undefined ? undefined : openSeparator(press, { ...options, inkSaving: undefined }),
    separate(raster, sourceProfile, arena) {
      if (raster.alpha) throw new Error('a picture must be flattened before it is separated');
      const { source: meant, key, noticed } = meaningOf(raster, sourceProfile, press);
      if (meant === 'press' && !blackOnly) {
        return passThrough(raster, noticed, { inkLimitPercent, inkLimitSource }, arena);
      }
      const separation = emptySeparation(raster, arena);
      const link = linkFor(raster, meant === 'press' ? profile : meant, key);
      const ink = link.convert(raster, separation, arena);
      const percent = { inkBeforePercent: toPercent(ink.before), inkAfterPercent: toPercent(ink.after) };
      return { separation, ...percent, passedThrough: false, noticed };
    },
    colouredPercent(raster, sourceProfile) {
      if (!blackOnly) return 0;
      const { source } = meaningOf(raster, sourceProfile, press);
      return colouredShare(source === 'press' ? profile : source, raster);
    },
    gamutOf: blackOnly ? () => undefined : gamutsOf(press, profile, looks),
    labOf: (planes) => looks.labOf(planes),
    softProof: (inks, proofOptions, arena) => proofer.proof(inks, proofOptions, arena),
    screenOf: (raster, of, arena) =>
      onScreen(raster, of, { press, proofer, separate: separator.separate }, arena),
  };
  return separator;
}

function refuseCompensation({ intent, blackPointCompensation }: SeparatorOptions): void {
  if (!blackPointCompensation || intent === 'relative') return;
  throw new PlatehandError(
    'wrong-use',
    `Black point compensation does not go with the ${intent} intent`,
    'Use the relative intent, or set blackPointCompensation: false.',
  );
}

/** What a page that prints in black alone takes at most: one solid ink. */
const blackOnlyLimit = { inkLimitPercent: 100, inkLimitSource: 'black ink alone prints' } as const;

/** The ink limit of a page in percent, and where it comes from. */
export function inkLimitOf(
  press: Pick<Press, 'inkLimitPercent' | 'inkLimitSource'>,
  spec: Pick<SeparatorOptions, 'inks' | 'inkLimitPercent'>,
): { readonly inkLimitPercent: number; readonly inkLimitSource: string } {
  if (isBlackOnly(spec)) return blackOnlyLimit;
  const { inkLimitPercent } = spec;
  const { inkLimitPercent: suggested, inkLimitSource } = press;
  if (inkLimitPercent === undefined) return { inkLimitPercent: suggested, inkLimitSource };
  return { inkLimitPercent, inkLimitSource: 'job.yaml: inkLimit' };
}

/** Builds links as they are asked for and keeps the latest few. */
function linkCache(order: Omit<LinkOrder, 'source' | 'model' | 'bits'>) {
  const links = new LruCache<DeviceLink>(maxLinks);
  return (raster: Raster, source: ColourSpace, key: string) => {
    const bits = raster.data instanceof Uint8Array ? 8 : 16;
    const name = `${raster.model} ${bits} ${key}`;
    return links.get(name) ?? links.set(name, buildLink({ ...order, source, model: raster.model, bits }));
  };
}

/** Tables of what the press misses, built as they are asked for; the latest few are kept. */
function gamutsOf(press: Press, profile: LoadedProfile, looks: InkLooks): Separator['gamutOf'] {
  const tables = new LruCache<GamutTable>(maxLinks);
  return (raster, sourceProfile) => {
    if (raster.model !== 'rgb') return undefined;
    const { source, key } = meaningOf(raster, sourceProfile, press);
    if (source === 'press') return undefined;
    return tables.get(key) ?? tables.set(key, gamutTable(source, profile, looks));
  };
}

/** CMYK that is already in the inks of this press: its numbers go to the plates as they are. */
function passThrough(
  raster: Raster,
  noticed: readonly Noticed[],
  { inkLimitPercent, inkLimitSource }: Pick<Separator, 'inkLimitPercent' | 'inkLimitSource'>,
  arena: PageArena,
): Separated {
  const separation = emptySeparation(raster, arena);
  const ink = toPercent(deal(raster.data, separation));
  const over: Noticed = {
    code: 'ink-over-limit',
    severity: 'stop',
    message: 'This page brings its own CMYK, and somewhere on it there is more ink than the paper takes',
    measured: `${Number(figureBeside(ink, inkLimitPercent, 1))} %`,
    limit: `at most ${inkLimitPercent} %`,
    source: inkLimitSource,
    remedy: 'Lower the ink where it is darkest, or deliver the page in RGB and let platehand separate it.',
  };
  return {
    separation,
    inkBeforePercent: ink,
    inkAfterPercent: ink,
    passedThrough: true,
    noticed: ink > inkLimitPercent ? [...noticed, over] : noticed,
  };
}

/** Deals interleaved CMYK onto the plates; returns the most ink in counts. 16 bit is rounded to 8. */
function deal(data: Uint8Array | Uint16Array, separation: Separation): number {
  const [cyan, magenta, yellow, black] = processPlanes(separation);
  // 65535 is 255 x 257; adding half before cutting off rounds, and leaves 8 bit as it is.
  const [half, divisor] = data instanceof Uint8Array ? [0, 1] : [128, 257];
  let most = 0;
  for (let pixel = 0, at = 0; pixel < cyan.length; pixel++, at += 4) {
    const c = ((data[at] + half) / divisor) | 0;
    const m = ((data[at + 1] + half) / divisor) | 0;
    const y = ((data[at + 2] + half) / divisor) | 0;
    const k = ((data[at + 3] + half) / divisor) | 0;
    cyan[pixel] = c;
    magenta[pixel] = m;
    yellow[pixel] = y;
    black[pixel] = k;
    if (c + m + y + k > most) most = c + m + y + k;
  }
  return most;
}

/** Plates to be filled. */
function emptySeparation(size: SizePx, arena: PageArena): Separation {
  return separationOf(size, () => arena.allocate(size.width * size.height));
}

/** Counts of four 8-bit inks as percent of one solid. */
function toPercent(counts: number): number {
  return (counts * 100) / 255;
}

/**
 * Building the tables of a press condition takes as long as decoding a page, and nearly every page of an issue prints
 * on the same press: so a page process keeps the separators of its last pages. Two, each some 50 MB: a cover's press and the
 * interior's.
 */
const separators = new LruCache<Separator>(2);

/** The separator for a press and a print spec, built at most once while it is in the cache. */
export function separatorFor(press: Press, spec: SeparatorOptions): Separator {
  const { intent, blackPointCompensation, inkLimitPercent, inks } = spec;
  const inkSaving = spec.inkSaving?.enabled ? spec.inkSaving : undefined;
  const settings = { intent, blackPointCompensation, inkLimitPercent, inks, inkSaving };
  // The id and an absent limit are there because they tell where the limit comes from, which the separator says again.
  const key = [press.sha256, press.id, JSON.stringify(settings)].join(' ');
  return separators.get(key) ?? separators.set(key, openSeparator(press, settings));
}
