import { findChanges, wordsOf } from '../line/bitmap.js';
import type { Bitmap } from '../model/raster.js';
import { type ColourRuns, endOf } from './colour-runs.js';
import { BoxGatherer, type FoundBoxes } from './found-boxes.js';
import { findPatches, isAtEdge, type Patches } from './patches.js';

/** Masks in patches, as pictures are. */

/** The number of what is set in the runs of a mask. */
const setColour = 1;

/** A mask as runs of two colours: 0 not set, 1 set. */
function maskRuns(mask: Bitmap): ColourRuns {
  const { width, height } = mask;
  const words = wordsOf(mask);
  const inRow = mask.rowBytes >> 2;
  const changes = new Uint32Array(width + 2);
  const rows = new Uint32Array(height + 1);
  const starts: number[] = [];
  const colours: number[] = [];
  for (let y = 0; y < height; y++) {
    rows[y] = starts.length;
    const count = findChanges(words, y * inRow, inRow, changes);
    if (count === 0 || changes[0] > 0) {
      starts.push(0);
      colours.push(0);
    }
    for (let i = 0; i < count && changes[i] < width; i++) {
      starts.push(changes[i]);
      colours.push(i % 2 === 0 ? setColour : 0);
    }
  }
  rows[height] = starts.length;
  const found = { starts: Uint32Array.from(starts), colours: Uint32Array.from(colours) };
  return { width, height, count: starts.length, rows, ...found, keys: Uint32Array.of(0, 1), ground: -1 };
}

/** What hangs together of a mask. */
export interface MaskPatches {
  readonly runs: ColourRuns;
  readonly patches: Patches;
}

export function maskPatches(mask: Bitmap): MaskPatches {
  const runs = maskRuns(mask);
  return { runs, patches: findPatches(runs) };
}

/** A slit that is open at an end is so many times as long as it is wide, or it is the tip of something pointed. Own choice. */
const slitTimes = 8;

/**
 * Slits that are told: those with nothing but flats around them, and those that are long for their width.
 * @param slits within what is shown
 */
export function toldSlits(slits: Bitmap, shown: Bitmap): FoundBoxes & { readonly count: number } {
  const { runs, patches } = maskPatches(slits);
  const around = maskPatches(shown);
  return toldPatches({ runs, patches }, (patch, x, y) => {
    const [across, down] = [
      patches.rights[patch] - patches.lefts[patch],
      patches.bottoms[patch] - patches.tops[patch],
    ];
    const length = Math.max(across, down);
    if (length >= slitTimes && length * length >= slitTimes * patches.areas[patch]) return true;
    const whole = around.patches.ofRun[runAt(around.runs, x, y)];
    return (
      around.patches.areas[whole] === patches.areas[patch] && !isAtEdge(around.patches, whole, around.runs)
    );
  });
}

/** Patches of a mask for which `isTold`, given one and a pixel of it: how many there are, and their boxes. */
export function toldPatches(
  { runs, patches }: MaskPatches,
  isTold: (patch: number, x: number, y: number) => boolean,
): FoundBoxes & { readonly count: number; readonly px: number } {
  const boxes = new BoxGatherer(runs);
  const told = new Map<number, boolean>();
  let [count, px] = [0, 0];
  for (let y = 0; y < runs.height; y++) {
    for (let run = runs.rows[y]; run < runs.rows[y + 1]; run++) {
      if (runs.colours[run] !== setColour) continue;
      const patch = patches.ofRun[run];
      const left = runs.starts[run];
      if (!told.has(patch)) {
        told.set(patch, isTold(patch, left, y));
        if (told.get(patch)) count++;
      }
      if (!told.get(patch)) continue;
      const width = endOf(runs, run, y) - left;
      boxes.add({ left, top: y, width, height: 1 }, width);
      px += width;
    }
  }
  return { count, px, ...boxes.found((of) => `${of} px`) };
}

/** The run that holds a pixel. */
function runAt({ rows, starts }: ColourRuns, x: number, y: number): number {
  let [low, high] = [rows[y], rows[y + 1] - 1];
  while (low < high) {
    const middle = Math.ceil((low + high) / 2);
    if (starts[middle] <= x) low = middle;
    else high = middle - 1;
  }
  return low;
}
