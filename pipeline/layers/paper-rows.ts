import type { Raster } from '../model/raster.js';
import { type Canvas, markGone, onWhite, openBoth } from './canvas.js';
import type { PagePlaces, PageRows } from './page-rows.js';
import { isOpaque, type LineTile } from './tile-pool.js';
import { type Box, type StoredTile, type Tile, tileBox, tileSide, tilesOfRow } from './tiles.js';

type Samples = Raster['data'];

/**
 * Writes the finished tiles of a page onto white paper: the bare page where line stays, the full page everywhere else; and,
 * where there is line, once more as the page looks with it.
 */
export class PaperRows {
  /** The page with its line; undefined while no tile has had any. */
  private withLine: PageRows | undefined;

  constructor(
    private readonly canvas: Canvas,
    private readonly places: PagePlaces,
  ) {}

  get colour(): Raster {
    return this.places.colour.raster();
  }

  get painted(): Raster | undefined {
    return this.withLine?.raster();
  }

  /** Rows come in order. */
  writeRow(row: number): void {
    const { grid, lines } = this.canvas;
    const { colour } = this.places;
    const indexes = tilesOfRow(grid, row);
    const count = Math.min(tileSide, grid.height - row * tileSide);
    const inked = indexes.filter((index) => lines[index] !== undefined);
    if (inked.length > 0) this.withLine ??= this.places.painted();
    const rows = colour.begin(count);
    for (const index of indexes) this.write(rows, index, lines[index]);
    if (this.withLine !== undefined) {
      const looks = this.withLine.begin(count);
      looks.set(rows);
      for (const index of inked) this.write(looks, index, undefined);
      this.withLine.end(count);
    }
    // Last: the colour may come to stand over these very tiles.
    colour.end(count);
  }

  /** @param line where it stays, the page beneath it is written; undefined writes the page as it looks */
  private write(rows: Samples, index: number, line: LineTile | undefined): void {
    const box = tileBox(this.canvas.grid, index);
    const stored = this.bothShut(index, box);
    const shut = stored && this.placesOf(rows, stored, line, box);
    const height = box.bottom - box.top;
    if (shut !== undefined) {
      const { whole, beneath, amount, marks, to, toRow } = shut;
      this.canvas.pool.arena.kernels.paperOfShut(whole, beneath, amount, marks, markGone, height, to, toRow);
      return;
    }
    const sides = openBoth(this.canvas, index);
    const opened = this.placesOf(rows, sides, line, box);
    if (opened !== undefined) {
      const { whole, beneath, amount, marks, to, toRow } = opened;
      const width = box.right - box.left;
      this.canvas.pool.arena.kernels.paperTile(
        whole,
        beneath,
        amount,
        marks,
        markGone,
        width,
        height,
        to,
        toRow,
      );
    } else this.writePixels(rows, box, sides.full, sides.bare, line);
  }

  /** Both sides of a tile as they are stored, if they are stored without alpha and all of their width lies on the page. */
  private bothShut(index: number, { left, right }: Box): { full: StoredTile; bare: StoredTile } | undefined {
    const [full, bare] = [this.canvas.full[index], this.canvas.bare[index]];
    if (full === undefined || bare === undefined || right - left < tileSide) return undefined;
    return isOpaque(full) && isOpaque(bare) ? { full, bare } : undefined;
  }

  /** Where a kernel finds a tile and its line, and where it writes; undefined where not all of it is in the arena. */
  private placesOf(
    rows: Samples,
    { full, bare }: { full: StoredTile; bare: StoredTile },
    line: LineTile | undefined,
    box: Box,
  ) {
    const pieces = [rows, full, bare, line?.amount ?? full];
    const { arena } = this.canvas.pool;
    if (!(rows instanceof Uint8Array) || !pieces.every((one) => arena.has(one))) return undefined;
    return {
      whole: full.byteOffset,
      beneath: bare.byteOffset,
      amount: line?.amount.byteOffset ?? 0,
      marks: line?.marks.byteOffset ?? 0,
      to: rows.byteOffset + box.left * 3,
      toRow: this.canvas.grid.width * 3,
    };
  }

  private writePixels(rows: Samples, box: Box, whole: Tile, beneath: Tile, line: LineTile | undefined): void {
    const scale = rows instanceof Uint8Array ? 255 / 65535 : 1;
    for (let y = 0; y < box.bottom - box.top; y++) {
      let pixel = y * tileSide;
      let to = (y * this.canvas.grid.width + box.left) * 3;
      for (let x = box.left; x < box.right; x++, pixel++, to += 3) {
        const stays = line !== undefined && line.amount[pixel] !== 0 && (line.marks[pixel] & markGone) === 0;
        const tile = stays ? beneath : whole;
        const i = pixel * 4;
        const alpha = tile[i + 3];
        rows[to] = onWhite(tile[i], alpha) * scale + 0.5;
        rows[to + 1] = onWhite(tile[i + 1], alpha) * scale + 0.5;
        rows[to + 2] = onWhite(tile[i + 2], alpha) * scale + 0.5;
      }
    }
  }
}
