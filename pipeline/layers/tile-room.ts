import { desk } from '../kernels/desk.js';
import { type Tile, tilePixels, tileSamples } from './tiles.js';

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
 * Where the tiles of one page lie while it is flattened: on the desk's shelf, where kernels work on them in place. Tiles
 * that are given back are used again. Use it within `desk().during`, which clears all of it away but the finished page.
 */
export class TileRoom {
  private readonly free: Tile[] = [];
  private readonly freeLines: LineTile[] = [];
  private rows: Uint8Array = new Uint8Array(0);
  /** Room for whatever is computed on the way. */
  readonly scratch = this.take();
  /** A tile on which nothing lies; not to be written. */
  readonly nothing = this.takeEmpty();
  /** Where on the desk nothing lies but what the page is made of. */
  readonly start = desk().shelfPlace();

  /** A tile that holds whatever was there before. */
  take(): Tile {
    if (this.free.length === 0) this.makeTiles();
    const tile = this.free.pop();
    if (tile === undefined) throw new Error('no tile was made');
    return tile;
  }

  /** A tile on which nothing lies. */
  takeEmpty(): Tile {
    return this.take().fill(0);
  }

  copyOf(tile: Tile): Tile {
    const copy = this.take();
    copy.set(tile);
    return copy;
  }

  /** Takes tiles back that nobody uses any more, each once. */
  giveBack(...tiles: readonly (Tile | undefined)[]): void {
    for (const tile of new Set(tiles)) if (tile !== undefined) this.free.push(tile);
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

  private makeTiles(): void {
    const samples = this.pixels(tilesAtATime * tilePixels);
    for (let start = 0; start < samples.length; start += tileSamples) {
      this.free.push(samples.subarray(start, start + tileSamples));
    }
  }
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
