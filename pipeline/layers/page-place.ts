import type { HalvedPart } from '../kernels/halved-rows.js';
import type { PageArena } from '../kernels/page-arena.js';
import { samplesFrom } from '../model/raster.js';
import type { Canvas } from './canvas.js';
import type { LinePlaces } from './line-judge.js';
import { HalfRows, type PagePlaces, WholeRows } from './page-rows.js';
import { type TileGrid, tileSide, tilesOfRow } from './tiles.js';

/** Bytes of the arena that a page takes twice at most, as colour and as it looks: half of it, so that what is made of them has its place. */
const mostTwiceBytes = 200 * 2 ** 20;

/**
 * Where a finished page is written apart from its tiles, in the arena as far as it fits there, where it outlives the scope. Call it
 * before anything else is allocated in the scope.
 * @param hasLine whether the page is also written as it looks with its line
 */
export function placesApart(grid: TileGrid, bits: 8 | 16, hasLine: boolean, arena: PageArena): PagePlaces {
  const bytes = (grid.width * grid.height * 3 * bits) / 8;
  const place = () => arena.outlive(arena.nextAddress(), bytes);
  const colour = new WholeRows(grid, samplesFrom(place() ?? new Uint8Array(bytes), bits), true, arena);
  const painted = hasLine && 2 * bytes <= mostTwiceBytes ? place() : undefined;
  return { colour, painted: () => colour.another(painted && samplesFrom(painted, bits)) };
}

/** The same for a page of 8 bit with line, of which half the size is wanted. */
export function placesHalved(grid: TileGrid, part: HalvedPart, arena: PageArena): PagePlaces {
  const [colour, painted] = [new HalfRows(grid, part, arena), new HalfRows(grid, part, arena)];
  const begun = () => {
    painted.follow(colour);
    return painted;
  };
  return { colour, painted: begun };
}

/**
 * Memory for the line of a page and the light on it, a byte for each pixel, beside each other in the arena; undefined where they do not
 * fit. They outlive the scope, and are free once the line was brought to its print size. Call it as `placesApart`.
 */
export function placesOfLine({ width, height }: TileGrid, arena: PageArena): LinePlaces | undefined {
  const amount = arena.outlive(arena.nextAddress(), width * height);
  const light = amount && arena.outlive(arena.nextAddress(), width * height);
  return light && { amount: amount.fill(0), light };
}

/** Where a finished page is written over its tiles, where that can be. */
export function placesOver(canvas: Canvas, bits: 8 | 16): PagePlaces {
  const { width, height } = canvas.grid;
  const rowBytes = (tileSide * width * 3 * bits) / 8;
  const place = placeOverTiles(canvas, (width * height * 3 * bits) / 8, rowBytes);
  const colour = new WholeRows(canvas.grid, samplesFrom(place, bits), false, canvas.pool.arena);
  return { colour, painted: () => colour.another(undefined) };
}

/**
 * Memory for a finished page, which is written one row of tiles after the other. It lies over the very tiles that it is made
 * from, where each of them is done with before its place is written: a page of 8 bit takes half of what opaque tiles do, one of
 * 16 bit as much, and they mostly lie in the order of the page, since the lowest layer makes them. Else it lies apart.
 *
 * @param bytes of the page
 * @param rowBytes of the page for each row of tiles
 */
function placeOverTiles(canvas: Canvas, bytes: number, rowBytes: number): Uint8Array {
  const { start, arena } = canvas.pool;
  const { tiles, lines } = lowestPlaces(canvas);
  for (let row = 0; row < canvas.grid.rows; row++) {
    const end = start + Math.min(bytes, (row + 1) * rowBytes);
    // The line of a row is asked once more after the row is written.
    if (end > Math.min(tiles[row + 1], lines[row])) return new Uint8Array(bytes);
  }
  return arena.outlive(start, bytes) ?? new Uint8Array(bytes);
}

/** For each row of tiles, the lowest place from the start on that it or any row below it takes. */
function lowestPlaces({ grid, pool, full, bare, lines }: Canvas): { tiles: number[]; lines: number[] } {
  const { start, arena } = pool;
  const lowest = {
    tiles: new Array<number>(grid.rows + 1).fill(Number.POSITIVE_INFINITY),
    lines: new Array<number>(grid.rows + 1).fill(Number.POSITIVE_INFINITY),
  };
  for (let row = grid.rows - 1; row >= 0; row--) {
    const indexes = tilesOfRow(grid, row);
    const placesOf = (pile: readonly (Uint16Array | undefined)[]) =>
      pile.map((tile) =>
        tile === undefined || !arena.has(tile) || tile.byteOffset < start
          ? Number.POSITIVE_INFINITY
          : tile.byteOffset,
      );
    lowest.tiles[row] = Math.min(
      lowest.tiles[row + 1],
      ...placesOf(indexes.map((index) => full[index])),
      ...placesOf(indexes.map((index) => bare[index])),
    );
    lowest.lines[row] = Math.min(
      lowest.lines[row + 1],
      ...placesOf(indexes.map((index) => lines[index]?.amount)),
    );
  }
  return lowest;
}
