import { bleedBoxPx, type PrintSpec } from '../config/print-spec.js';
import type { SizePx } from '../config/units.js';
import { noticeColoured } from './checks/coloured.js';
import type { CleanedLine } from './clean-line.js';
import { measureGamut, type PaintedPage } from './colour-faults/gamut.js';
import { measureNearBlack, type NearBlack } from './colour-faults/near-black.js';
import { meetLight } from './inks/black-meets-light.js';
import { measureFidelity } from './inks/fidelity.js';
import { limitBeneathBlack } from './inks/ink-limit.js';
import { measureSaving } from './inks/saved-ink.js';
import type { Separator } from './inks/separator.js';
import { addSupportInk } from './inks/support-ink.js';
import type { PageArena } from './kernels/page-arena.js';
import type { ArtFacts } from './layers/page-art.js';
import type { InkedLine } from './line-art.js';
import type { Fidelity } from './model/fidelity.js';
import type { Noticed } from './model/findings.js';
import type { InkSaved } from './model/page-result.js';
import type { PagePalette } from './model/palette.js';
import type { HeatMap } from './model/places.js';
import type { Bitmap, Raster } from './model/raster.js';
import {
  type ExtraPlate,
  processPlanes,
  type Separation,
  separationOf,
  withPlane,
} from './model/separation.js';
import { measurePalette } from './palette/measure-palette.js';

/** A page as inks, at the sizes of the print spec. The plates stand in the arena that they were separated in. */
export interface PageInks {
  /** The inks at the colour ppi, without the line that has its own plate. */
  readonly separation: Separation;
  /** The page as it prints, line included: 100 % black over the colour beneath. */
  readonly composite: Separation;
  /** Ink or paper at the line ppi; undefined for a page without line. */
  readonly line: Bitmap | undefined;
  /** The most C+M+Y+K as the profile alone would have it, in percent. */
  readonly inkBeforePercent: number;
  /** Share of the line that moved to the colour plates, in percent of its area. */
  readonly heldPercent: number;
  /** How near print comes to the page as painted; undefined for colour that came as CMYK. */
  readonly fidelity: Fidelity | undefined;
  /** How far the press misses each spot of the page as painted, CIEDE2000; undefined where no colour could be missed. */
  readonly gamut: HeatMap | undefined;
  /** What is almost black beside true black, as painted; undefined where there is none. */
  readonly nearBlack: NearBlack | undefined;
  /** What ink saving did to the colour; undefined where there is none. */
  readonly inkSaved: InkSaved | undefined;
  /** What colours it was painted in, line and lettering left out; undefined for a page without colour. */
  readonly palette: PagePalette | undefined;
  /** The page as painted, line included, for a page that differs from it somewhere. */
  readonly painted: Raster | undefined;
  /** Its embedded profile; undefined where it is untagged. */
  readonly profile: Uint8Array | undefined;
  readonly noticed: readonly Noticed[];
  /** Inks beside the process inks, as they print over the rest; undefined for a page without any. */
  readonly extras?: readonly ExtraPlate[];
  /** What was cleaned off the line; undefined where nothing was. */
  readonly cleaned?: CleanedLine | undefined;
}

/**
 * Separates the colour, and lays the line over it within the ink limit: support ink beneath large blacks, and C, M and Y
 * lowered to what the limit leaves beside 100 % black.
 * @param inked its colour is used up, and free in the arena
 * @param arena where the plates are allocated
 */
export function separatePage(
  inked: InkedLine,
  art: Pick<ArtFacts, 'profile' | 'lineInColour' | 'heldPercent'>,
  spec: PrintSpec,
  separator: Separator,
  arena: PageArena,
): PageInks {
  const { colour, painted, coverage, line } = inked;
  const { profile } = art;
  const separated =
    colour === undefined
      ? blankSheet(bleedBoxPx(spec, spec.colourPpi))
      : separator.separate(colour, profile, arena);
  const { separation, inkBeforePercent } = separated;
  const meant = meanings(separated.noticed, colour, spec);
  const shownAs = painted ?? colour;
  const colouredPercent = shownAs === undefined ? 0 : separator.colouredPercent(shownAs, profile);
  const noticed = [...meant, ...noticeColoured(colouredPercent)];
  // Where the colour's own black ink prints the line already, nothing is laid over it.
  const composite = art.lineInColour
    ? separation
    : overprinted(separation, inked, profile, spec, separator, arena);
  // What line art holds back is of the line that flattening left.
  const heldPercent = art.heldPercent + inked.heldPercent * (1 - art.heldPercent / 100);
  const printed = { colour, painted, profile, coverage, plates: separation, composite };
  const fidelity = measureFidelity(printed, spec, separator, arena);
  const paint = paintOf(shownAs && { raster: shownAs, profile, coverage }, spec, separator);
  const inkSaved = colour && measureSaving(colour, profile, separator, arena);
  const palette = colour && measurePalette({ ...inked, colour, profile }, spec, separator, arena);
  if (colour !== undefined) arena.free(colour.data);
  // Only a page that differs somewhere is shown as it was painted.
  const shown = fidelity === undefined || fidelity.places.length === 0 ? undefined : painted;
  return {
    ...{ separation, composite, line, inkBeforePercent, heldPercent, fidelity },
    ...paint,
    ...{ inkSaved, palette, painted: shown, profile, noticed },
  };
}

/** What is looked at in the page as painted, as long as it is there. */
function paintOf(
  painted: PaintedPage | undefined,
  { colourPpi, checks }: PrintSpec,
  separator: Separator,
): Pick<PageInks, 'gamut' | 'nearBlack'> {
  if (painted === undefined) return { gamut: undefined, nearBlack: undefined };
  return {
    gamut: checks.outOfGamutDe > 0 ? measureGamut(painted, colourPpi, separator) : undefined,
    nearBlack: checks.nearBlackPercent > 0 ? measureNearBlack(painted, colourPpi) : undefined,
  };
}

/** Lays the line over the colour beneath it, which is changed in place: support ink, and the way from black to light. */
function overprinted(
  separation: Separation,
  { colour, painted, coverage, hard }: InkedLine,
  profile: Uint8Array | undefined,
  { support, colourPpi: ppi }: PrintSpec,
  separator: Separator,
  arena: PageArena,
): Separation {
  if (coverage === undefined) return separation;
  const limit = separator.inkLimitPercent;
  addSupportInk(separation, coverage, support, ppi, limit, arena);
  if (painted !== undefined && colour !== undefined) {
    meetLight(separation, coverage, { painted, colour, hard, profile, separator, support, ppi }, arena);
  }
  const [, , , black] = processPlanes(separation);
  const composite = withPlane(separation, 'black', copied(black, arena));
  limitBeneathBlack(composite, coverage.data, limit, arena);
  return composite;
}

function copied(plane: Uint8Array, arena: PageArena): Uint8Array {
  const copy = arena.allocate(plane.length);
  copy.set(plane);
  return copy;
}

/** What its numbers were taken as. */
function meanings(noticed: readonly Noticed[], colour: Raster | undefined, spec: PrintSpec) {
  const isStated = spec.untaggedStated && colour?.model !== 'cmyk';
  return isStated ? noticed.map(asStated) : noticed;
}

/** What job.yaml says of untagged colour is for the record only. */
function asStated(noticed: Noticed): Noticed {
  if (noticed.code !== 'profile-untagged') return noticed;
  return { ...noticed, severity: 'note', remedy: 'Nothing: job.yaml says so.' };
}

/** Paper without ink. */
function blankSheet(size: SizePx) {
  const separation = separationOf(size, () => new Uint8Array(size.width * size.height));
  return { separation, inkBeforePercent: 0, noticed: [] };
}
