import type { KernelMemory } from '../kernels/kernel-memory.js';
import type { PageArena } from '../kernels/page-arena.js';
import { full16 } from './blend.js';
import {
  opaqueSamples,
  type StoredTile,
  type Tile,
  type TileGrid,
  tilePixels,
  tileSamples,
} from './tiles.js';

/** Tiles are allocated so many at a time: half a megabyte. */
const tilesAtATime = 64;

/** Black line on one tile, one value for each pixel. */
export interface LineTile {
  /** Amount of line that is still to be judged, 0 to 65535. */
  readonly amount: Uint16Array;
  /** What became of the pixel: `markLine`, `markHeld`. */
  readonly marks: Uint8Array;
  /** Whether something else was laid over since the line was last judged. */
  overlaid: boolean;
}

/**
 * The tiles of one page while it is flattened, in the arena, where kernels work on them. Tiles that are opaque are stored
 * without their alpha, in three quarters of the memory, and opened to be worked on. What is released is used again. Use it
 * within a scope of the arena, at the end of which all of it is free but the finished page.
 */
export class TilePool {
  private readonly free: Tile[] = [];
  private readonly freeOpaque: StoredTile[] = [];
  private readonly freeLines: LineTile[] = [];
  private readonly freeRows: Uint8Array[] = [];
  /** For whatever is computed on the way. */
  readonly scratch: Tile;
  /** For stored tiles that are opened: what lies beneath, with and without its line, and what is laid over it. */
  readonly opened: { readonly full: Tile; readonly bare: Tile; readonly over: Tile; readonly overBare: Tile };
  /** A tile on which nothing lies; not to be written. */
  readonly nothing: Tile;
  /** From here on the finished page may lie over the opaque tiles that it is made from; see `placeOverTiles`. */
  readonly start: number;

  constructor(
    { rows, columns }: Pick<TileGrid, 'rows' | 'columns'>,
    readonly arena: PageArena,
  ) {
    // Those that reach past the page are never opaque. They lie before the rest, which then follows the order of the page.
    this.makeTiles(this.free, tileSamples, rows + columns + tilesAtATime);
    this.scratch = this.acquire();
    this.opened = {
      full: this.acquire(),
      bare: this.acquire(),
      over: this.acquire(),
      overBare: this.acquire(),
    };
    this.nothing = this.acquireEmpty();
    this.start = arena.nextAddress();
    // A page of 16 bit takes as much as its opaque tiles, and a little more for its right edge.
    this.pixels(rows * tilePixels);
  }

  /** A tile that holds whatever was there before. */
  acquire(): Tile {
    return this.taken(this.free, tileSamples);
  }

  /** A tile on which nothing lies. */
  acquireEmpty(): Tile {
    return this.acquire().fill(0);
  }

  copyOf(stored: StoredTile): StoredTile {
    const copy = isOpaque(stored) ? this.taken(this.freeOpaque, opaqueSamples) : this.acquire();
    copy.set(stored);
    return copy;
  }

  /** Stores a copy of a tile. */
  store(tile: Tile): StoredTile {
    const stored = this.taken(this.freeOpaque, opaqueSamples);
    if (shut(tile, stored, this.arena)) return stored;
    this.release(stored);
    return this.copyOf(tile);
  }

  /** A stored tile with its alpha: itself, or put together at a place; `nothing` where none is stored. */
  open(stored: StoredTile | undefined, place: Tile): Tile {
    if (stored === undefined) return this.nothing;
    if (!isOpaque(stored)) return stored;
    const { arena } = this;
    if (arena.has(stored) && arena.has(place)) {
      arena.kernels.openTile(stored.byteOffset, place.byteOffset, tilePixels);
    } else {
      for (let from = 0, to = 0; from < opaqueSamples; from += 3, to += 4) {
        place.set(stored.subarray(from, from + 3), to);
        place[to + 3] = full16;
      }
    }
    return place;
  }

  /** Lays a tile over a stored one that is opaque, in source over and without opening it; false where that cannot be. */
  layOn(stored: StoredTile, over: Tile): boolean {
    const { arena } = this;
    if (!isOpaque(stored) || !arena.has(stored) || !arena.has(over)) return false;
    arena.kernels.layOnShut(stored.byteOffset, over.byteOffset, over.byteOffset, tilePixels);
    return true;
  }

  /** Stores a tile that was opened and changed; the stored one that it was opened from is used up. */
  close(stored: StoredTile, opened: Tile): StoredTile {
    if (stored === opened || shut(opened, stored, this.arena)) return stored;
    this.release(stored);
    return this.copyOf(opened);
  }

  /** Takes tiles back that nobody uses any more, each once. */
  release(...tiles: readonly (StoredTile | undefined)[]): void {
    for (const tile of new Set(tiles)) {
      if (tile !== undefined) (isOpaque(tile) ? this.freeOpaque : this.free).push(tile);
    }
  }

  /** A tile without any line. */
  acquireLine(): LineTile {
    const line = this.freeLines.pop() ?? makeLine(this.arena);
    line.amount.fill(0);
    line.marks.fill(0);
    line.overlaid = false;
    return line;
  }

  releaseLine(line: LineTile): void {
    this.freeLines.push(line);
  }

  /** Pixels beside the tiles, such as a row of them: count x 4, 16 bit. */
  pixels(count: number): Uint16Array {
    const { buffer, byteOffset } = this.arena.allocate(count * 8);
    return new Uint16Array(buffer, byteOffset, count * 4);
  }

  /** So many bytes for rows of a layer. */
  acquireRows(bytes: number): Uint8Array {
    const at = this.freeRows.findIndex((rows) => rows.length >= bytes);
    return at < 0 ? this.arena.allocate(bytes) : this.freeRows.splice(at, 1)[0];
  }

  releaseRows(rows: Uint8Array): void {
    if (rows.length > 0) this.freeRows.push(rows);
  }

  private taken(free: StoredTile[], samples: number): StoredTile {
    if (free.length === 0) this.makeTiles(free, samples, tilesAtATime);
    const tile = free.pop();
    if (tile === undefined) throw new Error('no tile was made');
    return tile;
  }

  /** Makes tiles that are acquired in the order in which they lie. */
  private makeTiles(free: StoredTile[], samples: number, count: number): void {
    const many = this.pixels((count * samples) / 4);
    for (let end = many.length; end > 0; end -= samples) free.push(many.subarray(end - samples, end));
  }
}

export function isOpaque(stored: StoredTile): boolean {
  return stored.length === opaqueSamples;
}

/** Puts a tile at a place without its alpha; false where that is not full all over, and the place then holds nothing. */
function shut(tile: Tile, place: StoredTile, memory: KernelMemory): boolean {
  if (memory.has(tile) && memory.has(place)) {
    return memory.kernels.shutTile(tile.byteOffset, place.byteOffset, tilePixels) !== 0;
  }
  for (let from = 0, to = 0; from < tileSamples; from += 4, to += 3) {
    if (tile[from + 3] !== full16) return false;
    place.set(tile.subarray(from, from + 3), to);
  }
  return true;
}

function makeLine(arena: PageArena): LineTile {
  const { buffer, byteOffset } = arena.allocate(tilePixels * 3);
  const amount = new Uint16Array(buffer, byteOffset, tilePixels);
  return {
    amount,
    marks: new Uint8Array(buffer, byteOffset + amount.byteLength, tilePixels),
    overlaid: false,
  };
}
