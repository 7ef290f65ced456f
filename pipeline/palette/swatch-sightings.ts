import { medianOf } from '../../config/figures.js';
import type { Swatch } from '../../config/job.js';
import { ciede2000, type Lab } from '../../config/press/ciede2000.js';
import type { FineColour, OkLab, PagePalette } from '../model/palette.js';
import { labOfOklab } from './cie-lab.js';
import { chromaOf, hueOf, oklabOf, type Rgb, rgbOf } from './oklab.js';
import { onScreen } from './swatch-colours.js';

/**
 * Where swatches appear on pages, and how far they have drifted. Told from a page's few dozen colours, so with care: a colour counts for the
 * swatch that it is nearest to, and of those the nearest counts for the page; what is far off is another colour.
 */

/** A page of an issue with its colours. */
export interface PaintedPage {
  readonly page: string;
  readonly scene: string | undefined;
  readonly palette: PagePalette;
}

/** A swatch on a page. */
export interface Sighting {
  readonly page: string;
  readonly scene: string | undefined;
  readonly swatch: Swatch;
  /** Whether the page is dark on the whole: night, or a cellar, where every colour is another. */
  readonly light: 'light' | 'dark';
  /** The colour that is nearest to the swatch. */
  readonly rgb: Rgb;
  readonly lab: Lab;
  /** Its share of the page's colour, percent. */
  readonly sharePercent: number;
  /** A place where it is, from the top left corner of the trim. */
  readonly xMm: number;
  readonly yMm: number;
  /** From the swatch, CIEDE2000. */
  readonly distanceDe: number;
  /** On a dark page: how much light it has of the swatch's, percent. The rest of the distance is a cast. Undefined on a light one. */
  readonly lightPercent: number | undefined;
  /**
   * `kept`: within the tolerance. `drifted`: beyond, where other pages of the scene agree, and told. `dimmed`: on a dark page, where that is
   * expected. `unsure`: beyond, yet it may be another colour, or the light of the scene.
   */
  readonly verdict: 'kept' | 'drifted' | 'dimmed' | 'unsure';
  /** What it has drifted from: the swatch, or what it is on the other dark pages of its scene; CIEDE2000, where `drifted`. */
  readonly driftDe: number | undefined;
}

/** A page whose colour is darker than this on the mean, by OKLab's lightness, is dark: middle grey (119) is 0.57. Own choice. */
const darkBelow = 0.5;

/** Less of a page is no appearance: specks, and blends between two colours. Percent, own choice. */
const leastSharePercent = 0.3;

/** A colour within twice the tolerance may be a swatch that has drifted, but none farther off than this, CIEDE2000. Own choice. */
const reachTimes = 2;
const mostReachDe = 10;

/** Less chroma than this is too grey to be told from other greys. OKLab, own choice. */
const leastChroma = 0.04;

/** A drift keeps about the hue: another hue is another colour. Degrees, own choice. */
const mostHueDegrees = 12;

/** The next swatch has to be so many times as far off. Own choice. */
const clearTimes = 1.5;

/** Light that a swatch may have on a dark page: the cube of this, 4 % to all of it and a little more. Own choice. */
const dimmest = 0.35;
const brightest = 1.05;

/** So many other pages of a scene have to agree before one is said to be off. Own choice. */
const leastPagesThatAgree = 2;

/** A swatch as it is looked for. */
interface Sought {
  readonly swatch: Swatch;
  readonly oklab: OkLab;
  readonly lab: Lab;
  readonly reachDe: number;
}

/** Looks for swatches on pages. @returns by page in the order given, then by swatch; none for a swatch that is not there */
export function sightSwatches(swatches: readonly Swatch[], pages: readonly PaintedPage[]): Sighting[] {
  const sought = swatches.map((swatch): Sought => {
    const { rgb, lab } = onScreen(swatch.colour);
    return { swatch, oklab: oklabOf(rgb), lab, reachDe: reachOf(swatch) };
  });
  const seen = pages.flatMap((page) => sightOn(page, sought));
  return besideItsScene(seen, new Map(pages.map(({ page, palette }) => [page, palette])));
}

/** What is farther off than this is another colour, CIEDE2000. */
function reachOf({ toleranceDe }: Swatch): number {
  return Math.max(toleranceDe, Math.min(toleranceDe * reachTimes, mostReachDe));
}

/** Mean lightness of a page's colour, OKLab; undefined for a page without. */
function lightnessOf({ colours }: PagePalette): number | undefined {
  const area = colours.reduce((sum, { sharePercent }) => sum + sharePercent, 0);
  if (area === 0) return undefined;
  return colours.reduce((sum, { oklab, sharePercent }) => sum + oklab[0] * sharePercent, 0) / area;
}

function sightOn(page: PaintedPage, sought: readonly Sought[]): Sighting[] {
  const lightness = lightnessOf(page.palette);
  if (lightness === undefined) return [];
  const isDark = lightness < darkBelow;
  const colours = page.palette.colours.filter(({ sharePercent }) => sharePercent >= leastSharePercent);
  const claims = colours.flatMap((colour) => claimOf(colour, sought, isDark));
  return sought.flatMap((one) => {
    const own = claims.filter(({ by }) => by === one);
    if (own.length === 0) return [];
    const nearest = own.reduce((least, next) => (next.fitDe < least.fitDe ? next : least));
    return [sighting(page, nearest, isDark)];
  });
}

/** A colour taken for the swatch that it is nearest to. */
interface Claim {
  readonly by: Sought;
  readonly colour: FineColour;
  readonly lab: Lab;
  /** From the swatch; on a dark page from the swatch in less light. */
  readonly fitDe: number;
  /** Of the swatch's lightness and chroma; 1 on a light page. */
  readonly scale: number;
  /** Whether another swatch is nearly as near. */
  readonly isUnsure: boolean;
}

function claimOf(colour: FineColour, sought: readonly Sought[], isDark: boolean): Claim[] {
  const lab = labOfOklab(colour.oklab);
  const fits = sought
    .map((by) => ({
      by,
      ...(isDark ? dimmedFit(colour.oklab, lab, by) : { scale: 1, fitDe: ciede2000(lab, by.lab) }),
    }))
    .sort((a, b) => a.fitDe - b.fitDe);
  const [first, second] = fits;
  if (first === undefined || first.fitDe > first.by.reachDe) return [];
  const isKept = first.fitDe <= first.by.swatch.toleranceDe;
  if (!(isKept && !isDark) && !isOneHue(colour.oklab, first.by.oklab)) return [];
  const isUnsure = second !== undefined && second.fitDe < first.fitDe * clearTimes;
  return [{ ...first, colour, lab, isUnsure }];
}

/**
 * How a colour fits a swatch in less light. Less light of the same kind takes lightness and chroma by one factor in OKLab, whose cube is the
 * share of light.
 */
function dimmedFit(seen: OkLab, lab: Lab, { oklab }: Sought): { scale: number; fitDe: number } {
  const along = seen.reduce((sum, value, i) => sum + value * oklab[i], 0);
  const length = oklab.reduce((sum, value) => sum + value * value, 0);
  const scale = Math.min(brightest, Math.max(dimmest, length === 0 ? 1 : along / length));
  const [l, a, b] = oklab;
  return { scale, fitDe: ciede2000(lab, labOfOklab([l * scale, a * scale, b * scale])) };
}

function isOneHue(one: OkLab, other: OkLab): boolean {
  // In less light the chroma is less too.
  const least = leastChroma * Math.min(1, one[0] / Math.max(other[0], 1e-6));
  if (chromaOf(one) < least || chromaOf(other) < leastChroma) return false;
  const turn = Math.abs(hueOf(one) - hueOf(other));
  return Math.min(turn, 360 - turn) <= mostHueDegrees;
}

function sighting({ page, scene }: PaintedPage, claim: Claim, isDark: boolean): Sighting {
  const { by, colour, lab, fitDe, scale, isUnsure } = claim;
  const { swatch } = by;
  const { sharePercent, xMm, yMm } = colour;
  const distanceDe = ciede2000(lab, by.lab);
  const beyond = isUnsure ? 'unsure' : 'drifted';
  const isKept = distanceDe <= swatch.toleranceDe;
  const verdict = isKept ? 'kept' : isDark ? 'dimmed' : beyond;
  return {
    ...{ page, scene, swatch, light: isDark ? 'dark' : 'light', rgb: rgbOf(colour.oklab), lab },
    ...{ sharePercent, xMm, yMm, distanceDe, verdict },
    lightPercent: isDark ? scale ** 3 * 100 : undefined,
    driftDe: verdict === 'drifted' ? fitDe : undefined,
  };
}

/**
 * Holds each swatch against itself on the other pages of its scene, light and dark ones apart: a scene has a light of its own, so only where
 * its other pages agree is it told which page is off. Pages that are in no scene, in an issue that has scenes, stand for themselves.
 */
function besideItsScene(all: readonly Sighting[], palettes: ReadonlyMap<string, PagePalette>): Sighting[] {
  const hasScenes = all.some(({ scene }) => scene !== undefined);
  return all.map((one) => {
    if (one.verdict !== 'drifted' && one.verdict !== 'dimmed') return one;
    const beside = all.filter((other) => isBeside(one, other));
    const isAlone = hasScenes && one.scene === undefined;
    const told = (one.light === 'dark' ? besideDark : besideLight)(one, isAlone ? [] : beside);
    const isOwn = told.verdict === 'drifted' && beside.some((other) => hasBoth(other, one, palettes));
    return isOwn ? unsure(one) : told;
  });
}

function isBeside(one: Sighting, other: Sighting): boolean {
  return (
    other.swatch === one.swatch &&
    other.scene === one.scene &&
    other.light === one.light &&
    other.page !== one.page
  );
}

/**
 * Whether a page has the swatch and, besides, a colour that is nearer to what is said to have drifted: then that is a colour of its own, a
 * cloud beside a face.
 */
function hasBoth(
  { page, lab, swatch }: Sighting,
  drifted: Sighting,
  palettes: ReadonlyMap<string, PagePalette>,
): boolean {
  const nearestDe = Math.min(swatch.toleranceDe, ciede2000(lab, drifted.lab));
  const colours = palettes.get(page)?.colours ?? [];
  return colours.some(({ oklab, sharePercent }) => {
    return sharePercent >= leastSharePercent && ciede2000(labOfOklab(oklab), drifted.lab) < nearestDe;
  });
}

function unsure(one: Sighting): Sighting {
  return { ...one, verdict: 'unsure', driftDe: undefined };
}

/** A light page has drifted from a swatch that other light pages keep. */
function besideLight(one: Sighting, beside: readonly Sighting[]): Sighting {
  const kept = beside.filter(({ verdict }) => verdict === 'kept');
  return kept.length >= leastPagesThatAgree ? one : unsure(one);
}

/** A dark page has drifted from what a swatch is on the other dark pages, where these agree, and if it is still near enough to be it. */
function besideDark(one: Sighting, beside: readonly Sighting[]): Sighting {
  const { toleranceDe } = one.swatch;
  const middle = [0, 1, 2].map((i) => medianOf(beside.map(({ lab }) => lab[i]))) as unknown as Lab;
  const agreeing = beside.filter(({ lab }) => ciede2000(lab, middle) <= toleranceDe);
  if (agreeing.length < leastPagesThatAgree) return one;
  const driftDe = ciede2000(one.lab, middle);
  if (driftDe <= toleranceDe) return one;
  return driftDe <= reachOf(one.swatch) ? { ...one, verdict: 'drifted', driftDe } : unsure(one);
}
