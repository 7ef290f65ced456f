import type { Canvas } from './canvas.js';
import { tilesOfRow } from './tiles.js';

/**
 * Memory for a finished page, which is written one row of tiles after the other. It lies over the very tiles that it is made
 * from, where each of them is done with before its place is written: a page of 8 bit takes half of what opaque tiles do, one of
 * 16 bit as much, and they mostly lie in the order of the page, since the lowest layer makes them. Else it lies apart.
 *
 * @param bytes of the page
 * @param rowBytes of the page for each row of tiles
 */
export function placeOverTiles(canvas: Canvas, bytes: number, rowBytes: number): Uint8Array {
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
