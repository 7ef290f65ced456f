import { mmToPx } from '../../config/units.js';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import type { Bitmap, Plate } from '../model/raster.js';
import { bitmapOfLight, both, either, emptyBitmap, without, wordsOf } from './bitmap.js';
import { edge, lookAtEdges } from './black-edges.js';
import { piecesWhere } from './connected.js';
import type { InkLevel } from './edge-counts.js';
import { brightestInk, findInkTiles, type InkTiles, isInkedAt, kindAt, tileIs } from './ink-tiles.js';
import { isConstantWithin } from './ink-within.js';
import { grow, shrink } from './morphology.js';

/** What of a page is ink beyond doubt. */
export interface ProvenInk {
  /** Pixels that are all ink; undefined for a page that is painted, or has no black. */
  readonly core: Bitmap | undefined;
  readonly ink: InkLevel | undefined;
  /** Share of the edges of black that are as ink's are, in percent; undefined where there is no black with edges. */
  readonly crispPercent: number | undefined;
  /** Whether black with edges like ink's was left as it is because it is of many tones within. */
  readonly isOfManyTones: boolean;
}

/**
 * Ink begins where there is no doubt. Where fewer of all edges lie in such tiles, or fewer of those in inked ones, the page is
 * painted and some of it looks like ink by chance; unless nearly all its edges lie in inked tiles. Our own choice.
 */
const leastSureShare = 0.05;
const leastSureOfInked = 0.25;
const nearlyAll = 0.9;

/** Where JPEG or grain makes tones many, paint comes to look like ink in more places: so many edges have to be beyond doubt. */
const leastSureOfRough = 0.25;

/** Fewer edges than this on a page tell nothing: they are less than those of a single letter. */
const leastEdges = 24;

/** Blacks wider than this are judged apart from the strokes that touch them: a millimetre. Our own choice. */
const strokeMm = 1;

/** And no fewer pixels than this. */
const leastStrokePx = 6;

/** Of the edges of a stroke, and of a wide black, this share has to be crisp. Light that was painted over a black softens many. */
const leastOfStroke = 0.5;
const leastOfWide = 0.3;

/** The noise of JPEG is stronger in a stroke than in a wide black: so much more of the ink's own still is its level there. */
const strokesNoisier = 1.5;

/** Within a wide black, pixels made brighter by noise belong to it when they are no further from its own level, in pixels. */
const noisePx = 2;

/** On a clean page noise adds no more levels than these: wide blacks are what is at the ink's own level. */
const cleanLevels = 6;

/** Of a wide black at least this share is at the ink's own level. */
const leastAtLevel = 0.75;

/** In an inked tile a piece has so many edges of ink to begin with: dots of a tone have few, and some tell the wrong thing. */
const presumed = 4;

/**
 * Tells ink from paint.
 * @param liftTo the brightest tone that ink may have but for noise
 * @param ppi of the picture at print size
 */
export function proveInk(tone: Plate, liftTo: number, ppi: number, memory: KernelMemory): ProvenInk {
  const tiles = findInkTiles(tone, liftTo, memory);
  const { ink, edges } = tiles;
  const crispPercent = edges === 0 ? undefined : (100 * tiles.inkEdges) / edges;
  const painted = { core: undefined, ink: undefined, crispPercent, isOfManyTones: false };
  if (ink === undefined || !isInked(tiles, ink) || ink.level > liftTo + 1) return painted;
  if (!isConstantWithin(tone, ink, tiles, memory)) return { ...painted, isOfManyTones: true };
  return { ...painted, core: inkPieces(tone, ink, tiles, { liftTo, ppi }, memory), ink };
}

function isInked({ edges, inkEdges, sureEdges }: InkTiles, ink: InkLevel): boolean {
  if (edges < leastEdges) return false;
  if (inkEdges >= nearlyAll * edges) return true;
  const least = ink.to - ink.level > cleanLevels ? leastSureOfRough : leastSureShare;
  return sureEdges >= least * edges && sureEdges >= leastSureOfInked * inkEdges;
}

/** The blacks at the ink's level, piece by piece: those whose edges are ink's. */
function inkPieces(
  tone: Plate,
  ink: InkLevel,
  tiles: InkTiles,
  { liftTo, ppi }: { readonly liftTo: number; readonly ppi: number },
  memory: KernelMemory,
): Bitmap {
  const noisier = ink.to + Math.round(strokesNoisier * (ink.to - ink.level));
  const strokesTo = Math.max(ink.to, Math.min(noisier, brightestInk(liftTo)));
  const black = bitmapOfLight(tone.data, tone, 255 - strokesTo, memory);
  const { crisp, paint } = markEdges(tone, black, strokesTo, tiles, memory);
  const half = Math.round(Math.max(leastStrokePx, mmToPx(strokeMm, ppi)) / 2);
  const wide = both(grow(shrink(black, half, memory), half + 1, memory), black, memory);
  const chosen = (mask: Bitmap, least: number) =>
    piecesWhere(mask, crisp, paint, (inks, paints, x, y) =>
      isMostlyInk(inks, paints, isInkedAt(tiles, x, y) ? presumed : 0, least),
    );
  const level = bitmapOfLight(tone.data, tone, 255 - ink.to, memory);
  const blacks = chosen(wide, leastOfWide);
  const constant =
    strokesTo > ink.to + cleanLevels
      ? both(constantPieces(blacks, level, memory), grow(level, noisePx, memory), memory)
      : both(blacks, level, memory);
  return either(constant, chosen(without(black, wide, memory), leastOfStroke), memory);
}

/** Wide blacks of which nearly all is at the ink's level: paint that comes as dark in places is of many tones. */
function constantPieces(wide: Bitmap, level: Bitmap, memory: KernelMemory): Bitmap {
  return piecesWhere(
    wide,
    level,
    without(wide, level, memory),
    (at, above) => at >= leastAtLevel * (at + above),
  );
}

/** @param more edges of ink that are presumed */
function isMostlyInk(inks: number, paints: number, more: number, least: number): boolean {
  const all = inks + paints + more;
  return all > 0 && inks + more >= least * all;
}

/** Marks the edges of the blacks at the ink's level. In a painted tile a crisp edge is chance. */
function markEdges(tone: Plate, black: Bitmap, to: number, tiles: InkTiles, memory: KernelMemory) {
  const [crisp, paint] = [emptyBitmap(tone), emptyBitmap(tone)];
  const [crispWords, paintWords] = [wordsOf(crisp), wordsOf(paint)];
  const wordsInRow = black.rowBytes >> 2;
  const mark = (x: number, y: number, kind: number) => {
    const isInk = kind !== edge.paint && kindAt(tiles, x, y) !== tileIs.painted;
    (isInk ? crispWords : paintWords)[y * wordsInRow + (x >> 5)] |= 1 << (x & 31);
  };
  lookAtEdges(tone, black, to, mark, memory);
  return { crisp, paint };
}
