import type { Raster } from '../model/raster.js';
import { type Canvas, markGone, onWhite, openBoth } from './canvas.js';
import { placeOverTiles } from './page-place.js';
import { isOpaque, type LineTile } from './tile-pool.js';
import { type Box, type StoredTile, type Tile, tileBox, tileSide, tilesOfRow } from './tiles.js';

/**
 * Writes the finished tiles of a page onto white paper: the bare page where line stays, the full page everywhere else. A
 * row of tiles is put together apart, and its tiles are given up.
 */
export class PaperRows {
  /** In the arena, beyond its scope, where there is memory left. */
  readonly colour: Raster;
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
    const { grid, full, bare } = this.canvas;
    for (const index of tilesOfRow(grid, row)) {
      this.write(index);
      full[index] = undefined;
      bare[index] = undefined;
    }
    const from = row * tileSide * grid.width * 3;
    const samples = Math.min(tileSide * grid.width * 3, this.colour.data.length - from);
    this.colour.data.set(this.rows.subarray(0, samples), from);
  }

  private write(index: number): void {
    const line = this.canvas.lines[index];
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
