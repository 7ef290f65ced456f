import type { KernelMemory } from '../kernels/kernel-memory.js';
import type { Plate } from '../model/raster.js';
import { bitmapOfLight } from './bitmap.js';
import { edge, lookAtEdges } from './black-edges.js';

/**
 * Where on a page its black is ink, and how dark that ink is. Ink is known by edges that are crisp and by a tone of its own: a
 * narrow peak, then few pixels until the colours. Told tile by tile, since a page may be inked here and painted there.
 */

/** Side of a tile, in pixels. Our own choice: a single stroke across it still has a hundred edges. */
export const tilePx = 64;

/** Ink is at most this much brighter than the settings' lifting level where JPEG or a scan added noise. */
const noiseLevels = 14;

/** Tones are counted in bins of so many levels. */
const binLevels = 2;
const bins = 40;

/** How many bins the tones of one ink fill: noise of +-8. */
const inkBins = 8;

/** In a tile: edges that tell something; crisp edges by the tone of their black; those of flat colours once more. */
const toldAt = 0;
const crispAt = 1;
const flatAt = crispAt + bins;
const numbers = flatAt + bins;

/** Share of the telling edges that have to be ink's. */
const leastShare = 0.5;

/** Fewer edges than this tell nothing. */
const leastTelling = 12;

/** What a tile is taken as. */
export const tileIs = { silent: 0, painted: 1, inked: 2 } as const;

/** The tones of a page's ink, 0 to 255. */
export interface InkLevel {
  /** What ink looks like. */
  readonly level: number;
  /** The darkest and the brightest tone that are still at its level. */
  readonly from: number;
  readonly to: number;
}

export interface InkTiles {
  readonly columns: number;
  /** What each tile is, row by row. */
  readonly kinds: Uint8Array;
  /** undefined where no tile is inked. */
  readonly ink: InkLevel | undefined;
  /** Edges that tell something, and how many of them are edges of ink. */
  readonly edges: number;
  readonly inkEdges: number;
}

/**
 * Looks at every edge of what is dark enough, and takes each tile as inked or painted.
 * @param liftTo the brightest tone that ink may have but for noise (`liftMaxLevelPercent`)
 */
export function findInkTiles(tone: Plate, liftTo: number, memory: KernelMemory): InkTiles {
  const columns = Math.ceil(tone.width / tilePx);
  const rows = Math.ceil(tone.height / tilePx);
  const limit = Math.min(bins * binLevels - 1, liftTo + noiseLevels);
  const tiles = new Uint32Array(columns * rows * numbers);
  const count = (x: number, y: number, kind: number, core: number) => {
    const at = (Math.floor(y / tilePx) * columns + Math.floor(x / tilePx)) * numbers;
    const bin = Math.floor(core / binLevels);
    tiles[at + toldAt]++;
    if (kind !== edge.paint) tiles[at + crispAt + bin]++;
    if (kind === edge.crispFlat) tiles[at + flatAt + bin]++;
  };
  lookAtEdges(tone, bitmapOfLight(tone.data, tone, 255 - limit, memory), limit, count, memory);
  return judge(tiles, columns, rows, Math.floor(liftTo / binLevels));
}

function judge(tiles: Uint32Array, columns: number, rows: number, lastBin: number): InkTiles {
  const kinds = new Uint8Array(columns * rows);
  const inked = new Uint32Array(numbers);
  let [edges, inkEdges] = [0, 0];
  const near = new Uint32Array(numbers);
  for (let tile = 0; tile < kinds.length; tile++) {
    const own = tiles.subarray(tile * numbers, (tile + 1) * numbers);
    edges += own[toldAt];
    sumAround(tiles, columns, rows, tile, near);
    if (near[toldAt] < leastTelling) continue;
    const isInked = inkShare(near, lastBin) >= leastShare;
    kinds[tile] = isInked ? tileIs.inked : tileIs.painted;
    if (!isInked) continue;
    for (let i = 0; i < numbers; i++) inked[i] += own[i];
    inkEdges += own[toldAt];
  }
  return { columns, kinds, ink: inkEdges === 0 ? undefined : levelOf(inked, lastBin), edges, inkEdges };
}

/** How much more a tile counts than each of its eight neighbours, when it is judged. */
const ownWeight = 4;

function sumAround(tiles: Uint32Array, columns: number, rows: number, tile: number, sum: Uint32Array): void {
  sum.fill(0);
  const column = tile % columns;
  const row = (tile - column) / columns;
  for (let v = Math.max(0, row - 1); v <= Math.min(rows - 1, row + 1); v++) {
    for (let u = Math.max(0, column - 1); u <= Math.min(columns - 1, column + 1); u++) {
      const at = (v * columns + u) * numbers;
      if (tiles[at + toldAt] === 0) continue;
      const weight = u === column && v === row ? ownWeight : 1;
      for (let i = 0; i < numbers; i++) sum[i] += tiles[at + i] * weight;
    }
  }
}

/** Share of the edges that are ink's: crisp, and with black of one tone. One dark colour of flat fills does not count against it. */
function inkShare(counts: Uint32Array, lastBin: number): number {
  const [first, ink] = densest(counts, lastBin);
  let flat = 0;
  for (let bin = first + inkBins + 1; bin < bins - 1; bin++) {
    flat = Math.max(flat, counts[flatAt + bin - 1] + counts[flatAt + bin] + counts[flatAt + bin + 1]);
  }
  return ink / Math.max(1, counts[toldAt] - flat);
}

/** The bin in which the window begins that holds the most crisp edges, and how many they are. */
function densest(counts: Uint32Array, lastBin: number): readonly [first: number, edges: number] {
  let [best, first] = [-1, 0];
  for (let bin = 0; bin <= lastBin; bin++) {
    const held = sumOf(counts, crispAt + bin);
    if (held > best) [best, first] = [held, bin];
  }
  return [first, best];
}

function sumOf(counts: Uint32Array, from: number): number {
  let sum = 0;
  for (let i = 0; i < inkBins; i++) sum += counts[from + i];
  return sum;
}

/** Where a peak ends: this share of its edges lies outside, half on either side. */
const outside = 0.05;

function levelOf(counts: Uint32Array, lastBin: number): InkLevel {
  const [first, held] = densest(counts, lastBin);
  let [below, weighted, from, to] = [0, 0, -1, first];
  for (let bin = first; bin < first + inkBins; bin++) {
    const edges = counts[crispAt + bin];
    below += edges;
    weighted += edges * (bin + 0.5);
    if (from < 0 && below > (outside / 2) * held) from = bin;
    if (below - edges < (1 - outside / 2) * held) to = bin;
  }
  return {
    level: Math.max(0, Math.round((weighted / held) * binLevels - 1)),
    from: from * binLevels,
    to: (to + 2) * binLevels - 1,
  };
}
