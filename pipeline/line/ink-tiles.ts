import type { KernelMemory } from '../kernels/kernel-memory.js';
import type { Plate } from '../model/raster.js';
import { bitmapOfLight } from './bitmap.js';
import { edge, lookAtEdges } from './black-edges.js';
import { EdgeCounts, type InkLevel, mostTone, type Peak, peakOf } from './edge-counts.js';

/**
 * Where on a page its black is ink, and how dark that ink is. Ink is known by edges that are crisp and by a tone of its own: a
 * narrow peak, then few pixels until the colours. Told tile by tile, since a page may be inked here and painted there.
 * Lengths and shares are our own choice, tried on drawn, painted and photographed pages.
 */

/** Side of a tile, in pixels: a single stroke across it still has a hundred edges. */
const tilePx = 64;

/** Black is looked at that is brighter than the settings' lifting level by so much: JPEG and scans add noise. */
const noiseLevels = 14;

/** The middle of an ink's tones may lie so much above that level. */
const toleratedLevels = 2;

/** Of the telling edges of an inked tile at least this share is ink's; where there is no doubt, this one. */
const inkedShare = 0.5;
const surelyInkedShare = 0.7;

/** Fewer edges than this tell nothing. */
const leastTelling = 12;

/** How much more a tile counts than each of its eight neighbours, when it is judged. */
const ownWeight = 4;

/** What a tile is taken as. */
export const tileIs = { silent: 0, painted: 1, inked: 2 } as const;

export interface InkTiles {
  readonly columns: number;
  /** What each tile is, row by row. */
  readonly kinds: Uint8Array;
  /** undefined where no tile is inked. */
  readonly ink: InkLevel | undefined;
  /** Edges that tell something, how many of them lie in inked tiles, and how many in those of which there is no doubt. */
  readonly edges: number;
  readonly inkEdges: number;
  readonly sureEdges: number;
}

/** What the tile is that a pixel lies in. */
export function kindAt({ columns, kinds }: InkTiles, x: number, y: number): number {
  return kinds[Math.floor(y / tilePx) * columns + Math.floor(x / tilePx)];
}

/** Whether a pixel lies in an inked tile. */
export function isInkedAt(tiles: InkTiles, x: number, y: number): boolean {
  return kindAt(tiles, x, y) === tileIs.inked;
}

/**
 * Looks at the edges of what is dark enough, and takes each tile as inked or painted.
 * @param liftTo the brightest tone that ink may have but for noise
 */
export function findInkTiles(tone: Plate, liftTo: number, memory: KernelMemory): InkTiles {
  const columns = Math.ceil(tone.width / tilePx);
  const tiles: (EdgeCounts | undefined)[] = new Array(columns * Math.ceil(tone.height / tilePx));
  tiles.fill(undefined);
  let [rough, flat] = [0, 0];
  const count = (x: number, y: number, kind: number, core: number, noise: number) => {
    const at = Math.floor(y / tilePx) * columns + Math.floor(x / tilePx);
    const tile = tiles[at] ?? new EdgeCounts();
    tiles[at] = tile;
    tile.add(core, kind !== edge.paint, kind === edge.crispFlat);
    if (kind !== edge.crispFlat) return;
    rough += noise;
    flat++;
  };
  const limit = Math.min(mostTone, liftTo + noiseLevels);
  lookAtEdges(tone, bitmapOfLight(tone.data, tone, 255 - limit, memory), limit, count, memory);
  return judge(tiles, columns, peakOf(rough / Math.max(1, flat), liftTo + toleratedLevels));
}

function judge(tiles: readonly (EdgeCounts | undefined)[], columns: number, peak: Peak): InkTiles {
  const kinds = new Uint8Array(tiles.length);
  const inked = new EdgeCounts();
  let [edges, sureEdges] = [0, 0];
  const near = new EdgeCounts();
  for (let at = 0; at < kinds.length; at++) {
    const own = tiles[at];
    edges += own?.told ?? 0;
    sumAround(tiles, columns, at, near);
    if (near.told < leastTelling) continue;
    const share = near.inkShare(peak);
    kinds[at] = share >= inkedShare ? tileIs.inked : tileIs.painted;
    if (share < inkedShare || own === undefined) continue;
    inked.addAll(own, 1);
    if (share >= surelyInkedShare) sureEdges += own.told;
  }
  const inkEdges = inked.told;
  return { columns, kinds, ink: inkEdges === 0 ? undefined : inked.levelOf(peak), edges, inkEdges, sureEdges };
}

function sumAround(
  tiles: readonly (EdgeCounts | undefined)[],
  columns: number,
  tile: number,
  sum: EdgeCounts,
): void {
  sum.clear();
  const column = tile % columns;
  for (let row = tile - columns; row <= tile + columns; row += columns) {
    for (let near = row - (column > 0 ? 1 : 0); near <= row + (column < columns - 1 ? 1 : 0); near++) {
      const counts = tiles[near];
      if (counts !== undefined) sum.addAll(counts, near === tile ? ownWeight : 1);
    }
  }
}
