import { mostPlaces } from '../model/findings.js';
import type { MeasuredBox } from '../model/places.js';
import type { ColourRuns } from './colour-runs.js';
import { hexOf } from './flats-pixels.js';
import type { FoundBoxes } from './found-boxes.js';
import type { Patches } from './patches.js';

/** Flats that hardly differ: surely one colour that was picked twice. */
export interface NearColours extends FoundBoxes {
  /** Flats of the picture, ground left out. */
  readonly flats: number;
  /** The colour that fills less, the one that fills more, and the most that a channel differs, the least alike first. */
  readonly pairs: readonly { readonly less: string; readonly more: string; readonly levels: number }[];
}

/** More flats than this are not held beside each other. Own choice: far more than anybody picks. */
const mostFlats = 4096;

interface Flat {
  readonly colour: number;
  px: number;
  /** Its largest patch. */
  patch: number;
}

/**
 * Finds flats that differ from a larger one by so few levels in every channel.
 * @param levels of 255, 1 to 8; 0 looks for none
 */
export function nearColours(runs: ColourRuns, patches: Patches, levels: number): NearColours {
  const flats = flatsOf(runs, patches);
  const count = flats.size - (flats.has(runs.keys[runs.ground]) ? 1 : 0);
  if (levels === 0 || flats.size > mostFlats) return { flats: count, pairs: [], boxes: [], inAll: 0 };
  const found = [...flats.values()].flatMap((flat) => {
    if (flat.colour === runs.ground) return [];
    const near = nearestLarger(flat, flats, runs.keys, levels);
    return near === undefined ? [] : [{ ...near, flat }];
  });
  found.sort((a, b) => b.flat.px - a.flat.px);
  const pairs = found.map(({ flat, more, levels: by }) => {
    return { less: hexOf(runs.keys[flat.colour]), more: hexOf(runs.keys[more.colour]), levels: by };
  });
  const boxes = found
    .slice(0, mostPlaces)
    .map(({ flat, more }) =>
      boxOf(patches, flat.patch, hexOf(runs.keys[flat.colour]), hexOf(runs.keys[more.colour])),
    );
  return { flats: count, pairs, boxes, inAll: found.length };
}

function flatsOf({ keys }: ColourRuns, patches: Patches): Map<number, Flat> {
  const flats = new Map<number, Flat>();
  for (let patch = 0; patch < patches.count; patch++) {
    const colour = patches.colours[patch];
    if (patches.fills[colour] === 0) continue;
    const known = flats.get(keys[colour]);
    if (known === undefined) {
      flats.set(keys[colour], { colour, px: patches.areas[patch], patch });
      continue;
    }
    known.px += patches.areas[patch];
    if (patches.areas[patch] > patches.areas[known.patch]) known.patch = patch;
  }
  return flats;
}

/** The most alike of the flats that are larger, or as large and were there first. */
function nearestLarger(
  { colour, px }: Flat,
  flats: ReadonlyMap<number, Flat>,
  keys: Uint32Array,
  levels: number,
): { readonly more: Flat; readonly levels: number } | undefined {
  const own = keys[colour];
  for (let reach = 1; reach <= levels; reach++) {
    for (const key of keysAround(own, reach)) {
      const more = flats.get(key);
      if (more !== undefined && (more.px > px || (more.px === px && more.colour < colour))) {
        return { more, levels: reach };
      }
    }
  }
  return undefined;
}

/** Colours that differ by exactly so many levels in one channel and by no more in the others; as opaque. */
function* keysAround(key: number, reach: number): Generator<number> {
  const levelsOf = (shift: number) => {
    const own = (key >>> shift) & 255;
    const around = Array.from({ length: 2 * reach + 1 }, (_, at) => own - reach + at);
    return around
      .filter((level) => level >= 0 && level <= 255)
      .map((level) => ({ level, by: Math.abs(level - own) }));
  };
  const [reds, greens, blues] = [levelsOf(0), levelsOf(8), levelsOf(16)];
  for (const red of reds) {
    for (const green of greens) {
      for (const blue of blues) {
        if (Math.max(red.by, green.by, blue.by) !== reach) continue;
        yield ((key & 0xff000000) | (blue.level << 16) | (green.level << 8) | red.level) >>> 0;
      }
    }
  }
}

function boxOf(
  { lefts, tops, rights, bottoms }: Patches,
  patch: number,
  less: string,
  more: string,
): MeasuredBox {
  const [left, top] = [lefts[patch], tops[patch]];
  const measured = `${less} beside ${more}`;
  return { left, top, width: rights[patch] - left, height: bottoms[patch] - top, measured };
}
