import { desk } from '../kernels/page-arena.js';
import { full16 } from './blend.js';
import { type KeptTile, opaqueSamples, type Tile, type TileGrid, tilePixels, tileSamples } from './tiles.js';

/** Tiles are taken from the shelf so many at a time: half a megabyte. */
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
 * Where the tiles of one page lie while it is flattened: on the desk's shelf, where kernels work on them. Tiles that are
 * opaque are kept without their alpha, in three quarters of the room, and opened to be worked on. What is given back is used
 * again. Use it within `desk().during`, which clears all of it away but the finished page.
 */
export class TileRoom {
  private readonly free: Tile[] = [];
  private readonly freeOpaque: KeptTile[] = [];
  private readonly freeLines: LineTile[] = [];
  private rows: Uint8Array = new Uint8Array(0);
  /** Room for whatever is computed on the way. */
  readonly scratch: Tile;
  /** Room for kept tiles that are opened: what lies beneath, with and without its line, and what is laid over it. */
  readonly opened: { readonly full: Tile; readonly bare: Tile; readonly over: Tile; readonly overBare: Tile };
  /** A tile on which nothing lies; not to be written. */
  readonly nothing: Tile;
  /** From here on the finished page may lie over the opaque tiles that it is made from; see `placeOverTiles`. */
  readonly start: number;

  constructor({ rows, columns }: Pick<TileGrid, 'rows' | 'columns'>) {
    // Those that reach past the page are never opaque. They lie before the rest, which then follows the order of the page.
    this.makeTiles(this.free, tileSamples, rows + columns + tilesAtATime);
    this.scratch = this.take();
    this.opened = { full: this.take(), bare: this.take(), over: this.take(), overBare: this.take() };
    this.nothing = this.takeEmpty();
    this.start = desk().shelfPlace();
    // A page of 16 bit takes as much as its opaque tiles, and a little more for its right edge.
    this.pixels(rows * tilePixels);
  }

  /** A tile that holds whatever was there before. */
  take(): Tile {
    return this.taken(this.free, tileSamples);
  }

  /** A tile on which nothing lies. */
  takeEmpty(): Tile {
    return this.take().fill(0);
  }

  copyOf(kept: KeptTile): KeptTile {
    const copy = isOpaque(kept) ? this.taken(this.freeOpaque, opaqueSamples) : this.take();
    copy.set(kept);
    return copy;
  }

  /** Keeps a copy of a tile. */
  keep(tile: Tile): KeptTile {
    const kept = this.taken(this.freeOpaque, opaqueSamples);
    if (shut(tile, kept)) return kept;
    this.giveBack(kept);
    return this.copyOf(tile);
  }

  /** A kept tile with its alpha: itself, or put together at a place; `nothing` where none is kept. */
  open(kept: KeptTile | undefined, place: Tile): Tile {
    if (kept === undefined) return this.nothing;
    if (!isOpaque(kept)) return kept;
    const on = desk();
    if (on.has(kept) && on.has(place)) on.kernels.openTile(kept.byteOffset, place.byteOffset, tilePixels);
    else {
      for (let from = 0, to = 0; from < opaqueSamples; from += 3, to += 4) {
        place.set(kept.subarray(from, from + 3), to);
        place[to + 3] = full16;
      }
    }
    return place;
  }

  /** Lays a tile over a kept one that is opaque, in source over and without opening it; false where that cannot be. */
  layOn(kept: KeptTile, over: Tile): boolean {
    const on = desk();
    if (!isOpaque(kept) || !on.has(kept) || !on.has(over)) return false;
    on.kernels.layOnShut(kept.byteOffset, over.byteOffset, over.byteOffset, tilePixels);
    return true;
  }

  /** Keeps a tile that was opened and changed; the kept one that it was opened from is used up. */
  close(kept: KeptTile, opened: Tile): KeptTile {
    if (kept === opened || shut(opened, kept)) return kept;
    this.giveBack(kept);
    return this.copyOf(opened);
  }

  /** Takes tiles back that nobody uses any more, each once. */
  giveBack(...tiles: readonly (KeptTile | undefined)[]): void {
    for (const tile of new Set(tiles)) {
      if (tile !== undefined) (isOpaque(tile) ? this.freeOpaque : this.free).push(tile);
    }
  }

  /** A tile without any line. */
  takeLine(): LineTile {
    const line = this.freeLines.pop() ?? makeLine();
    line.amount.fill(0);
    line.marks.fill(0);
    line.overlaid = false;
    return line;
  }

  giveLineBack(line: LineTile): void {
    this.freeLines.push(line);
  }

  /** Pixels beside the tiles, such as a row of them: count x 4, 16 bit. */
  pixels(count: number): Uint16Array {
    const { buffer, byteOffset } = desk().hold(count * 8);
    return new Uint16Array(buffer, byteOffset, count * 4);
  }

  /** Room for so many bytes of a layer, used again for each. */
  layerRows(bytes: number): Uint8Array {
    if (this.rows.length < bytes) this.rows = desk().hold(bytes);
    return this.rows;
  }

  private taken(free: KeptTile[], samples: number): KeptTile {
    if (free.length === 0) this.makeTiles(free, samples, tilesAtATime);
    const tile = free.pop();
    if (tile === undefined) throw new Error('no tile was made');
    return tile;
  }

  /** Makes tiles that are taken in the order in which they lie. */
  private makeTiles(free: KeptTile[], samples: number, count: number): void {
    const many = this.pixels((count * samples) / 4);
    for (let end = many.length; end > 0; end -= samples) free.push(many.subarray(end - samples, end));
  }
}

export function isOpaque(kept: KeptTile): boolean {
  return kept.length === opaqueSamples;
}

/** Puts a tile at a place without its alpha; false where that is not full all over, and the place then holds nothing. */
function shut(tile: Tile, place: KeptTile): boolean {
  const on = desk();
  if (on.has(tile) && on.has(place)) {
    return on.kernels.shutTile(tile.byteOffset, place.byteOffset, tilePixels) !== 0;
  }
  for (let from = 0, to = 0; from < tileSamples; from += 4, to += 3) {
    if (tile[from + 3] !== full16) return false;
    place.set(tile.subarray(from, from + 3), to);
  }
  return true;
}

function makeLine(): LineTile {
  const { buffer, byteOffset } = desk().hold(tilePixels * 3);
  const amount = new Uint16Array(buffer, byteOffset, tilePixels);
  return {
    amount,
    marks: new Uint8Array(buffer, byteOffset + amount.byteLength, tilePixels),
    overlaid: false,
  };
}
