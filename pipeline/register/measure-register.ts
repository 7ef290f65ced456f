import { mmToPx } from '../../config/units.js';
import type { Bitmap, Raster } from '../model/raster.js';
import { cellPx } from './edge-maps.js';
import { liesOnEdges } from './edges-beneath.js';
import { type Likeness, likenessOf } from './likeness.js';
import { isMadeOfShapes, keepsToPanels } from './manner.js';
import { type SeenPart, seenColour, seenLine } from './page-traces.js';
import { phaseCorrelation } from './phase-correlation.js';
import {
  type Fit,
  fitMovement,
  type Movement,
  mostDisplacement,
  type Sight,
  still,
  sureMovement,
} from './similarity.js';
import {
  type ColourTrait,
  chooseWindows,
  fade,
  pairOf,
  seeColour,
  seeLine,
  type Window,
  windowPx,
} from './windows.js';

/** `fits` also where it is off: how far is in the movement. `apart`: line and colour are of two pages. */
export type RegisterVerdict = 'fits' | 'apart' | 'unknown';

/** How line lies on colour, and how sure that is. Its pixels are those of the colour, or of a colour brought near 300 ppi. */
export interface Register {
  /** Pixels per inch of these figures. */
  readonly ppi: number;

  readonly verdict: RegisterVerdict;
  /** Where the line lies beside its place, in pixels; undefined where that cannot be told. */
  readonly movement: Movement | undefined;
  /** What of it is beyond doubt, the rest 0: what is told and put right. */
  readonly sureMovement: Movement;
  /** The farthest that `sureMovement` brings a corner of the page, in pixels. */
  readonly displacementPx: number;
  /** Windows that were looked into, and those that agree. */
  readonly windows: number;
  readonly agreeing: number;
  /** How far they are off what they agree on, in pixels (standard deviation). */
  readonly scatterPx: number;
  /** How alike the edges of line and colour are all over the page, -1 to 1. */
  readonly likeness: number;
  /** The colour keeps to panels: where it is apart from the line, these are another page's. */
  readonly keepsToPanels: boolean;
  /** Both, as they were looked at. */
  readonly seen: { readonly colour: SeenPart<Raster>; readonly line: SeenPart<Bitmap> };
}

/** Softness of what is compared: lines of some pixels and the edge of a colour beneath them are one ridge. */
const softnessPx = 2;

/** Line and colour fit each other where at least so many windows, and this share of all, agree. */
const leastAgreeing = 3;
const agreeingShare = 0.5;
/** Of a page whose likeness is sure so many are enough: the rest shows shading, effects, line without colour. */
const sureAgreeingShare = 0.3;

/** Where fewer agree it is looked whether the line lies on them as it is. */
const plainShare = 0.75;
/** Half of the narrowest rule that can mislead so, in pixels; our own choice. */
const leastRulePx = 2;

/** Line and colour that are this alike all over the page need no second look. */
const sureLikeness = 0.2;

/** They are of two pages where so many windows at least were looked into, no more than this share agrees, and no likeness is left. */
const leastForApart = 6;
const apartShare = 0.55;
/** Drawn pages with their own line have 0.35 and more, once it is laid in place; with another page's up to 0.11. */
const apartLikeness = 0.15;

/** Cells to each side that are searched for a line that lies far off: 16 mm at 300 ppi. */
const farCells = 12;

/**
 * Measures how line lies on colour: phase correlation in windows all over the page, and one movement that explains what they show.
 * @param whole colour at its print size
 * @param line over the same area, at any resolution from the colour's on
 * @param colourPpi of the colour; from 450 on it is brought near 300 first
 */
export function measureRegister(whole: Raster, line: Bitmap, colourPpi: number): Register {
  const seenPage = seenColour(whole, colourPpi);
  const { pixels: colour, ppi } = seenPage;
  const parts = { colour: seenPage, line: seenLine(line, seenPage.page, ppi) };
  const reliefs = { colour: seenPage.relief, line: parts.line.relief };
  const maps = [
    { map: seenPage.map, isLine: false },
    { map: parts.line.map, isLine: true },
  ];
  const windows = chooseWindows(maps, colour);
  const look = (offset: Offset, withoutUprights: boolean) =>
    fitIn(windows, { colour, line, offset, withoutUprights });
  const near = likenessOf(reliefs.colour, reliefs.line, 1);
  const inPanels = keepsToPanels(seenPage.map);
  const seen = { colour, line, seen: parts, windows: windows.length, ppi, keepsToPanels: inPanels };
  const fit = look(inPlace, false);
  if (near.value >= sureLikeness && isAgreed(fit, windows, sureAgreeingShare)) return agreed(fit, near, seen);
  const far = likenessOf(reliefs.colour, reliefs.line, farCells);
  const isAlike = far.value >= apartLikeness;
  if (isAlike) {
    const moved = look({ dx: far.columns * cellPx, dy: far.rows * cellPx }, true);
    if (isAgreed(moved, windows)) return agreed(moved, far, seen);
  }
  // Windows cost the most, and are looked into last.
  const isApart =
    !isAlike &&
    windows.length >= leastForApart &&
    isMadeOfShapes(colour, windows) &&
    shareOf(look(inPlace, true), windows) <= apartShare;
  // What is left may still agree by its panels, or be too little to be alike.
  if (!isApart && isAgreed(fit, windows)) return agreed(fit, near, seen);
  return {
    ppi,
    keepsToPanels: inPanels,
    seen: parts,
    windows: windows.length,
    verdict: isApart ? 'apart' : 'unknown',
    movement: undefined,
    sureMovement: still,
    displacementPx: 0,
    agreeing: fit.fit?.agreeing.length ?? 0,
    scatterPx: fit.fit?.scatterPx ?? 0,
    likeness: far.value,
  };
}

type Offset = { readonly dx: number; readonly dy: number };

const inPlace: Offset = { dx: 0, dy: 0 };

function isAgreed(fit: WindowsFit, windows: readonly Window[], share = agreeingShare): boolean {
  return (fit.fit?.agreeing.length ?? 0) >= leastAgreeing && shareOf(fit, windows) >= share;
}

function shareOf({ fit }: WindowsFit, windows: readonly Window[]): number {
  return windows.length === 0 ? 0 : (fit?.agreeing.length ?? 0) / windows.length;
}

/** What windows say together, and what of the colour they went by. */
interface WindowsFit {
  readonly fit: Fit | undefined;
  readonly trait: ColourTrait;
}

/** Windows in which both traits are tried. */
const triedWindows = 4;

/** A window's picture of the colour, and of the line: used again and again. */
const pictures = { colour: new Float64Array(windowPx ** 2), line: new Float64Array(windowPx ** 2) };

/** What windows look at. */
interface View {
  readonly colour: Raster;
  readonly line: Bitmap;
  /** Where the line is looked for, in whole pixels of the colour beside its place. */
  readonly offset: Offset;
  /** Without what runs along rows and columns. */
  readonly withoutUprights: boolean;
}

function fitIn(windows: readonly Window[], { colour, line, offset, withoutUprights }: View): WindowsFit {
  const ratio = line.width / colour.width;
  const seen = (window: Window, trait: ColourTrait): Sight => {
    seeColour(colour, window, trait, pictures.colour);
    seeLine(line, window, ratio, offset, pictures.line);
    fade(pictures.colour);
    fade(pictures.line);
    const shift = phaseCorrelation(pairOf(pictures.colour, pictures.line), { softnessPx, withoutUprights });
    return {
      x: window.left + (windowPx - colour.width) / 2,
      y: window.top + (windowPx - colour.height) / 2,
      dx: shift.dx + offset.dx,
      dy: shift.dy + offset.dy,
      clarity: shift.clarity,
    };
  };
  const first = windows.slice(0, triedWindows);
  const tried = {
    edges: first.map((one) => seen(one, 'edges')),
    darkness: first.map((one) => seen(one, 'darkness')),
  };
  const trait = clarityOf(tried.darkness) > clarityOf(tried.edges) ? 'darkness' : 'edges';
  const rest = windows.slice(triedWindows).map((one) => seen(one, trait));
  return { fit: fitMovement([...tried[trait], ...rest]), trait };
}

function clarityOf(sights: readonly Sight[]): number {
  return sights.reduce((sum, { clarity }) => sum + clarity, 0);
}

/** How far a single window may mislead, in millimetres: colour is carried in under the line, to one side or the other; line painted in is not. */
const misleadingMm = { edges: 0.085, darkness: 0.017 } as const;

/** From so many windows on it shows in their scatter how far they mislead. */
const leastForScatter = 8;

function misleadingPx({ agreeing }: Fit, trait: ColourTrait, ppi: number): number {
  return mmToPx(misleadingMm[agreeing.length < leastForScatter ? trait : 'darkness'], ppi);
}

function agreed(
  { fit, trait }: WindowsFit,
  likeness: Likeness,
  seen: { readonly colour: Raster; readonly line: Bitmap } & Pick<
    Register,
    'windows' | 'seen' | 'ppi' | 'keepsToPanels'
  >,
): Register {
  if (fit === undefined) throw new Error('windows agree on nothing');
  const { scatterPx, agreeing } = fit;
  const isFar = mostDisplacement(fit.movement, seen.colour) >= leastRulePx;
  const isDoubtful = isFar && agreeing.length < plainShare * seen.windows;
  const isInPlace = isDoubtful && liesOnEdges(seen.colour, seen.line, fit.movement);
  const movement = isInPlace ? still : fit.movement;
  const sure = isInPlace ? still : sureMovement(fit, misleadingPx(fit, trait, seen.ppi));
  return {
    ppi: seen.ppi,
    verdict: 'fits',
    movement,
    sureMovement: sure,
    displacementPx: mostDisplacement(sure, seen.colour),
    windows: seen.windows,
    agreeing: agreeing.length,
    scatterPx,
    likeness: likeness.value,
    keepsToPanels: seen.keepsToPanels,
    seen: seen.seen,
  };
}
