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

/** On a page with so many of its edges in inked tiles, what is in doubt is ink too, down to this share: tones of small dots. */
const mostlyInked = 0.6;
const doubtfulShare = 0.25;

/** Fewer edges than this tell nothing. */
const leastTelling = 12;

/** A page of so many pixels has edges enough on every second row: a megapixel. */
const largePixels = 2 ** 20;

/** How much more a tile counts than each of its eight neighbours, when it is judged. */
const ownWeight = 4;

/** What a tile is taken as. */
export const tileIs = { silent: 0, painted: 1, inked: 2 } as const;

type Tiles = readonly (EdgeCounts | undefined)[];

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

/** The brightest tone that a pixel of ink may have, noise included. */
export function brightestInk(liftTo: number): number {
  return Math.min(mostTone, liftTo + noiseLevels);
}

/**
 * Looks at the edges of what is dark enough, and takes each tile as inked or painted.
 * @param liftTo the brightest tone that ink may have but for noise
 */
export function findInkTiles(tone: Plate, liftTo: number, memory: KernelMemory): InkTiles {
  const columns = Math.ceil(tone.width / tilePx);
  const tiles = new Array<EdgeCounts | undefined>(columns * Math.ceil(tone.height / tilePx)).fill(undefined);
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
  const limit = brightestInk(liftTo);
  const isLarge = tone.data.length >= largePixels;
  lookAtEdges(
    tone,
    bitmapOfLight(tone.data, tone, 255 - limit, memory),
    limit,
    count,
    memory,
    isLarge ? 2 : 1,
  );
  return judge(tiles, columns, peakOf(rough / Math.max(1, flat), liftTo + toleratedLevels));
}

function judge(tiles: Tiles, columns: number, peak: Peak): InkTiles {
  const shares = sharesOf(tiles, columns, peak);
  const told = (least: number) =>
    tiles.reduce((sum, own, at) => sum + (own !== undefined && shares[at] >= least ? own.told : 0), 0);
  const edges = told(Number.NEGATIVE_INFINITY);
  const isInkedPage = told(inkedShare) >= mostlyInked * edges;
  const least = isInkedPage ? doubtfulShare : inkedShare;
  const inked = new EdgeCounts();
  for (const [at, own] of tiles.entries()) {
    if (own !== undefined && shares[at] >= inkedShare) inked.addAll(own, 1);
  }
  return {
    columns,
    kinds: Uint8Array.from(shares, (share) =>
      share < 0 ? tileIs.silent : share >= least ? tileIs.inked : tileIs.painted,
    ),
    ink: inked.told === 0 ? undefined : inked.levelOf(peak),
    edges,
    inkEdges: told(least),
    sureEdges: told(surelyInkedShare),
  };
}

/** Share of the edges in and around each tile that are ink's, 0 to 1; -1 where there are too few to tell. */
function sharesOf(tiles: Tiles, columns: number, peak: Peak): Float32Array {
  const near = new EdgeCounts();
  return Float32Array.from(tiles, (_, at) => {
    sumAround(tiles, columns, at, near);
    return near.told < leastTelling ? -1 : near.inkShare(peak);
  });
}

function sumAround(tiles: Tiles, columns: number, tile: number, sum: EdgeCounts): void {
  sum.clear();
  const column = tile % columns;
  for (let row = tile - columns; row <= tile + columns; row += columns) {
    for (let near = row - (column > 0 ? 1 : 0); near <= row + (column < columns - 1 ? 1 : 0); near++) {
      const counts = tiles[near];
      if (counts !== undefined) sum.addAll(counts, near === tile ? ownWeight : 1);
    }
  }
}
