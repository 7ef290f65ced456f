import { mmToPx } from '../../config/units.js';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import type { Bitmap, Raster } from '../model/raster.js';
import { type ColourRuns, colourRuns } from './colour-runs.js';
import { flatsPixels } from './flats-pixels.js';
import { type FoundBoxes, noBoxes } from './found-boxes.js';
import { walkGround } from './ground-edges.js';
import { isLineVisible } from './line-visible.js';
import { type LooseColours, sortLoose } from './loose-colours.js';
import { maskPatches, toldPatches, toldSlits } from './mask-patches.js';
import { type NearColours, nearColours } from './near-colours.js';
import { findPatches } from './patches.js';

/** What flats are measured by. */
export interface FlatsLook {
  /** Line over the flats, of their size; undefined where there is none, and nothing is said of what lies beneath it. */
  readonly ink: Bitmap | undefined;
  /** Pixels per inch of the flats at print size. */
  readonly ppi: number;
  /** Patches of at most so many pixels are strays; 0 looks for none. */
  readonly islandPx: number;
  /** Ground as narrow as this between flats, or between a flat and its line, is told; millimetres, 0 looks for none. */
  readonly gapMm: number;
  /** Edges that do not reach beneath the line are told where they are as long as this; millimetres, 0 looks for none. */
  readonly shortMm: number;
  /** Flats that differ by so few levels are told; 0 looks for none. */
  readonly nearLevels: number;
}

/** What a picture of flats is: `painted` and `noisy` are none at all, `withLine` shows the line too. */
export type FlatsKind = 'flats' | 'painted' | 'noisy' | 'withLine';

/** What was measured on flats. Of pictures that are none, only the kind and the share of loose pixels are known. */
export interface FlatsMeasures {
  readonly kind: FlatsKind;
  /** Pixels of colours that fill no area, in percent of all; undefined where there are too many to be counted. */
  readonly loosePercent: number | undefined;
  readonly near: NearColours;
  readonly soft: LooseColours['soft'];
  readonly strays: LooseColours['strays'];
  /** Holes and slits of bare ground. */
  readonly gaps: FoundBoxes & { readonly count: number };
  /** Edges of flats that do not reach beneath the line, and how long they are together. */
  readonly shorts: FoundBoxes & { readonly count: number; readonly lengthPx: number };
}

/** A picture is painted where more of it than this is in colours that fill no area. Own choice; soft edges all over a page are 3 %. */
export const mostLoosePercent = 10;

/** And noisy where this much is loose, and this share of it stands out from its neighbours; a soft edge leaves a tenth at most. */
export const noisyFromPercent = 0.5;
const noisyShare = 0.25;
/** In no fewer colours than this: thin strokes of one colour are no noise. */
const leastNoiseColours = 64;
/** As many tiny patches that take as much are no strays but a dither. Own choice. */
const leastSpecks = 1000;

/**
 * Measures a picture of flats.
 * @param flats of any model and depth; rgb of 8 bit is not copied
 */
export function measureFlats(flats: Raster, look: FlatsLook, memory: KernelMemory): FlatsMeasures {
  const pixels = flatsPixels(flats);
  const runs = colourRuns(pixels, memory);
  if (runs === undefined) return noFlats('painted', undefined);
  const patches = findPatches(runs);
  const loose = sortLoose(pixels, runs, patches, look.ink, look.islandPx);
  const percentOf = (px: number) => (100 * px) / (runs.width * runs.height);
  const loosePercent = percentOf(loose.loosePx);
  if (look.ink !== undefined && isLineVisible(runs, look.ink)) return noFlats('withLine', loosePercent);
  if (loosePercent > mostLoosePercent) return noFlats('painted', loosePercent);
  if (loosePercent >= noisyFromPercent && isNoise(loose)) return noFlats('noisy', loosePercent);
  const speckPercent = percentOf(loose.strays.px);
  if (speckPercent >= noisyFromPercent && loose.strays.count >= leastSpecks) {
    return noFlats('noisy', loosePercent + speckPercent);
  }
  const near = nearColours(runs, patches, look.nearLevels);
  return {
    kind: 'flats',
    loosePercent,
    near,
    soft: loose.soft,
    strays: loose.strays,
    ...onGround(runs, look, memory),
  };
}

function isNoise({ loosePx, noisePx, noiseColours }: LooseColours): boolean {
  return noisePx > noisyShare * loosePx && noiseColours >= leastNoiseColours;
}

function onGround(
  runs: ColourRuns,
  { ink, ppi, gapMm, shortMm }: FlatsLook,
  memory: KernelMemory,
): Pick<FlatsMeasures, 'gaps' | 'shorts'> {
  const reachPx = Math.round(mmToPx(gapMm, ppi));
  if (runs.ground < 0 || reachPx < 1) return { gaps: noGaps, shorts: noShorts };
  const { shown, slits, shorts } = walkGround(runs, ink, reachPx, memory);
  const gaps = toldSlits(slits, shown);
  if (ink === undefined || shortMm === 0) return { gaps, shorts: noShorts };
  const found = maskPatches(shorts);
  const leastPx = mmToPx(shortMm, ppi);
  const { px, ...told } = toldPatches(found, (patch) => found.patches.areas[patch] >= leastPx);
  return { gaps, shorts: { ...told, lengthPx: px } };
}

const noGaps = { ...noBoxes, count: 0 };
const noShorts = { ...noGaps, lengthPx: 0 };

function noFlats(kind: FlatsKind, loosePercent: number | undefined): FlatsMeasures {
  return {
    kind,
    loosePercent,
    near: { ...noBoxes, flats: 0, pairs: [] },
    soft: { ...noBoxes, px: 0 },
    strays: { ...noBoxes, count: 0, px: 0, smallestPx: 0, largestPx: 0 },
    gaps: noGaps,
    shorts: noShorts,
  };
}
