import type { Bitmap } from '../model/raster.js';
import { isSet } from '../model/raster.js';
import { type ColourRuns, endOf } from './colour-runs.js';
import { type FlatsPixels, keyAt } from './flats-pixels.js';
import { BoxGatherer, type FoundBoxes } from './found-boxes.js';
import { isAtEdge, type Patches } from './patches.js';

/** Pixels that are no part of a flat: soft edges, strays, and the noise of a picture that is no flats. */
export interface LooseColours {
  /** Pixels of colours that fill no area anywhere. */
  readonly loosePx: number;
  /** Those of them that stand out from their neighbours, as grain and the noise of compression do. */
  readonly noisePx: number;
  /** How many colours these have. */
  readonly noiseColours: number;
  readonly soft: FoundBoxes & { readonly px: number };
  readonly strays: FoundBoxes & {
    readonly count: number;
    readonly px: number;
    readonly smallestPx: number;
    readonly largestPx: number;
  };
}

/** How far up and down of a pixel another colour is looked for: pictures that were enlarged have each pixel several times. */
const reachPx = 3;

/**
 * Sorts loose pixels and tiny patches.
 * @param ink line over the flats, of their size; strays that lie beneath it do not show
 * @param islandPx patches of at most so many pixels are strays; 0 looks for none
 */
export function sortLoose(
  pixels: FlatsPixels,
  runs: ColourRuns,
  patches: Patches,
  ink: Bitmap | undefined,
  islandPx: number,
): LooseColours {
  const softBoxes = new BoxGatherer(runs);
  const isSoft = new Uint8Array(patches.count);
  const isVisible = new Uint8Array(patches.count);
  const noise = new Set<number>();
  let [loosePx, noisePx, softPx] = [0, 0, 0];
  for (let y = 0; y < runs.height; y++) {
    for (let run = runs.rows[y]; run < runs.rows[y + 1]; run++) {
      const colour = runs.colours[run];
      const patch = patches.ofRun[run];
      const isLoose = patches.fills[colour] === 0;
      if (colour === runs.ground || !(isLoose || patches.areas[patch] <= islandPx)) continue;
      const [left, end] = [runs.starts[run], endOf(runs, run, y)];
      const width = end - left;
      if (isLoose) loosePx += width;
      if (isBetween(pixels, runs, run, y)) {
        isSoft[patch] = 1;
        softPx += width;
        softBoxes.add({ left, top: y, width, height: 1 }, width);
      } else if (isLoose) {
        noisePx += width;
        noise.add(colour);
      }
      if (isLoose && isAmongLoose(runs, patches, run, y)) isSoft[patch] = 1;
      if (isVisible[patch] === 0 && shows(ink, left, end, y)) isVisible[patch] = 1;
    }
  }
  const strays = straysAmong(runs, patches, (patch) => {
    return patches.areas[patch] <= islandPx && isSoft[patch] === 0 && isVisible[patch] === 1;
  });
  return {
    loosePx,
    noisePx,
    noiseColours: noise.size,
    soft: { px: softPx, ...softBoxes.found((px) => `${px} px`) },
    strays,
  };
}

function straysAmong(runs: ColourRuns, patches: Patches, isStray: (patch: number) => boolean) {
  const boxes = new BoxGatherer(runs);
  let [count, px, smallestPx, largestPx] = [0, 0, Number.POSITIVE_INFINITY, 0];
  for (let patch = 0; patch < patches.count; patch++) {
    if (!isStray(patch) || isAtEdge(patches, patch, runs)) continue;
    count++;
    px += patches.areas[patch];
    smallestPx = Math.min(smallestPx, patches.areas[patch]);
    largestPx = Math.max(largestPx, patches.areas[patch]);
    const [left, top] = [patches.lefts[patch], patches.tops[patch]];
    boxes.add({ left, top, width: patches.rights[patch] - left, height: patches.bottoms[patch] - top }, 1);
  }
  return {
    count,
    px,
    smallestPx,
    largestPx,
    ...boxes.found((of) => `${of} ${of === 1 ? 'patch' : 'patches'}`),
  };
}

/** Whether a loose run has another one beside it: where three soft edges meet, some pixels are between no two of them, and no strays. */
function isAmongLoose(
  { rows, colours, ground }: ColourRuns,
  { fills }: Patches,
  run: number,
  y: number,
): boolean {
  const isLoose = (other: number) => fills[colours[other]] === 0 && colours[other] !== ground;
  return (run > rows[y] && isLoose(run - 1)) || (run + 1 < rows[y + 1] && isLoose(run + 1));
}

function shows(ink: Bitmap | undefined, left: number, end: number, y: number): boolean {
  if (ink === undefined) return true;
  for (let x = left; x < end; x++) if (!isSet(ink, x, y)) return true;
  return false;
}

/** Whether a run lies between its neighbours in colour, across or down, or is half transparent: what antialiasing makes. */
function isBetween(pixels: FlatsPixels, runs: ColourRuns, run: number, y: number): boolean {
  const { rows, starts, colours, keys, width, height } = runs;
  const own = keys[colours[run]];
  const alpha = own >>> 24;
  if (pixels.hasAlpha && alpha > 0 && alpha < 255) return true;
  const [start, end] = [starts[run], endOf(runs, run, y)];
  if (
    start > 0 &&
    end < width &&
    run > rows[y] &&
    lies(own, keys[colours[run - 1]], keys[colours[run + 1]])
  ) {
    return true;
  }
  const x = (start + end - 1) >> 1;
  const other = (step: number) => {
    for (let at = y + step, left = reachPx; left > 0 && at >= 0 && at < height; at += step, left--) {
      const key = keyAt(pixels, x, at);
      if (key !== own) return key;
    }
    return own;
  };
  return lies(own, other(-1), other(1));
}

/** Whether a colour is between two others, channel by channel, and neither of them. */
function lies(own: number, one: number, other: number): boolean {
  if (own === one || own === other) return false;
  for (let shift = 0; shift < 24; shift += 8) {
    const [level, a, b] = [(own >>> shift) & 255, (one >>> shift) & 255, (other >>> shift) & 255];
    if (level < Math.min(a, b) || level > Math.max(a, b)) return false;
  }
  return true;
}
