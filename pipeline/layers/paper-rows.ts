import type { Raster } from '../model/raster.js';
import { type Canvas, markGone, onWhite, openBoth } from './canvas.js';
import { placeOverTiles } from './page-place.js';
import { isOpaque, type LineTile } from './tile-pool.js';
import { type Box, type StoredTile, type Tile, tileBox, tileSide, tilesOfRow } from './tiles.js';

/**
 * Writes the finished tiles of a page onto white paper: the bare page where line stays, the full page everywhere else; and,
 * where there is line, once more as the page looks with it. A row of tiles is put together apart, and its tiles are given up.
 */
export class PaperRows {
  /** In the arena, beyond its scope, where there is memory left. */
  readonly colour: Raster;
  /** The page with its line; undefined while no tile has had any. Apart from the arena. */
  painted: Raster | undefined;
  private readonly rows: Uint8Array | Uint16Array;

  constructor(
    private readonly canvas: Canvas,
    sixteenBit: boolean,
  ) {
    const { width, height } = canvas.grid;
    const samples = width * height * 3;
    const sampleBytes = sixteenBit ? 2 : 1;
    const rowSamples = tileSide * width * 3;
    const place = placeOverTiles(canvas, samples * sampleBytes, rowSamples * sampleBytes);
    const data = sixteenBit
      ? new Uint16Array(place.buffer, place.byteOffset, samples)
      : new Uint8Array(place.buffer, place.byteOffset, samples);
    this.colour = { width, height, model: 'rgb', alpha: false, data };
    this.rows = sixteenBit ? new Uint16Array(rowSamples) : canvas.pool.arena.allocate(rowSamples);
  }

  /** Rows come in order. */
  writeRow(row: number): void {
    const { grid, full, bare, lines } = this.canvas;
    const indexes = tilesOfRow(grid, row);
    for (const index of indexes) this.write(index, lines[index]);
    const from = row * tileSide * grid.width * 3;
    const samples = Math.min(tileSide * grid.width * 3, this.colour.data.length - from);
    const drawn = this.rows.subarray(0, samples);
    this.colour.data.set(drawn, from);
    const inked = indexes.filter((index) => lines[index] !== undefined);
    if (inked.length > 0) this.painted ??= this.begun(from);
    for (const index of inked) this.write(index, undefined);
    this.painted?.data.set(drawn, from);
    for (const index of indexes) {
      full[index] = undefined;
      bare[index] = undefined;
    }
  }

  /** The page as it is so far: without line, it is the colour. */
  private begun(samples: number): Raster {
    const { data } = this.colour;
    const painted = data instanceof Uint8Array ? new Uint8Array(data.length) : new Uint16Array(data.length);
    painted.set(data.subarray(0, samples));
    return { ...this.colour, data: painted };
  }

  /** @param line where it stays, the page beneath it is written; undefined writes the page as it looks */
  private write(index: number, line: LineTile | undefined): void {
    const box = tileBox(this.canvas.grid, index);
    const stored = this.bothShut(index, box);
    const shut = stored && this.placesOf(stored, line, box);
    const rows = box.bottom - box.top;
    if (shut !== undefined) {
      const { whole, beneath, amount, marks, to, toRow } = shut;
      this.canvas.pool.arena.kernels.paperOfShut(whole, beneath, amount, marks, markGone, rows, to, toRow);
      return;
    }
    const sides = openBoth(this.canvas, index);
    const opened = this.placesOf(sides, line, box);
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
        rows,
        to,
        toRow,
      );
    } else this.writePixels(box, sides.full, sides.bare, line);
  }

  /** Both sides of a tile as they are stored, if they are stored without alpha and all of their width lies on the page. */
  private bothShut(index: number, { left, right }: Box): { full: StoredTile; bare: StoredTile } | undefined {
    const [full, bare] = [this.canvas.full[index], this.canvas.bare[index]];
    if (full === undefined || bare === undefined || right - left < tileSide) return undefined;
    return isOpaque(full) && isOpaque(bare) ? { full, bare } : undefined;
  }

  /** Where a kernel finds a tile and its line, and where it writes; undefined where not all of it is in the arena. */
  private placesOf(
    { full, bare }: { full: StoredTile; bare: StoredTile },
    line: LineTile | undefined,
    box: Box,
  ) {
    const pieces = [this.rows, full, bare, line?.amount ?? full];
    const { arena } = this.canvas.pool;
    if (!(this.rows instanceof Uint8Array) || !pieces.every((one) => arena.has(one))) return undefined;
    return {
      whole: full.byteOffset,
      beneath: bare.byteOffset,
      amount: line?.amount.byteOffset ?? 0,
      marks: line?.marks.byteOffset ?? 0,
      to: this.rows.byteOffset + box.left * 3,
      toRow: this.canvas.grid.width * 3,
    };
  }

  private writePixels(box: Box, whole: Tile, beneath: Tile, line: LineTile | undefined): void {
    const { rows } = this;
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
