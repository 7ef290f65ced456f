import { desk } from '../kernels/desk.js';
import type { Raster } from '../raster.js';
import { type Canvas, markGone, onWhite, openBoth } from './canvas.js';
import { placeOverTiles } from './page-place.js';
import { isOpaque, type LineTile } from './tile-room.js';
import { type Box, type Tile, tileBox, tileSide, tilesOfRow } from './tiles.js';

/**
 * Writes the finished tiles of a page onto white paper: the bare page where line stays, the full page everywhere else. A
 * row of tiles is put together on the desk, and its tiles are given up.
 */
export class PaperRows {
  /** On the shelf, where there is room. */
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
    this.rows = sixteenBit ? new Uint16Array(rowSamples) : desk().hold(rowSamples);
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
    const { grid, lines } = this.canvas;
    const line = lines[index];
    const box = tileBox(grid, index);
    if (this.writeShut(index, box)) return;
    const { full: whole, bare: beneath } = openBoth(this.canvas, index);
    const pieces = [this.rows, whole, beneath, line?.amount ?? whole];
    if (this.rows instanceof Uint8Array && pieces.every((one) => desk().has(one))) {
      const stays = line === undefined ? [0, 0] : [line.amount.byteOffset, line.marks.byteOffset];
      const to = this.rows.byteOffset + box.left * 3;
      const size = [box.right - box.left, box.bottom - box.top] as const;
      const { kernels } = desk();
      kernels.paperTile(
        whole.byteOffset,
        beneath.byteOffset,
        stays[0],
        stays[1],
        markGone,
        ...size,
        to,
        grid.width * 3,
      );
    } else this.writePixels(box, whole, beneath, line);
  }

  /** Writes a tile that is opaque, and beneath its line as well, without opening it; false where that cannot be. */
  private writeShut(index: number, { left, right, top, bottom }: Box): boolean {
    const { grid, full, bare, lines } = this.canvas;
    const [whole, beneath, line] = [full[index], bare[index], lines[index]];
    if (whole === undefined || beneath === undefined || !isOpaque(whole) || !isOpaque(beneath)) return false;
    const pieces = [this.rows, whole, beneath, line?.amount ?? whole];
    if (!(this.rows instanceof Uint8Array) || !pieces.every((one) => desk().has(one))) return false;
    if (right - left < tileSide) return false;
    const [amount, marks] = line === undefined ? [0, 0] : [line.amount.byteOffset, line.marks.byteOffset];
    const to = this.rows.byteOffset + left * 3;
    const { kernels } = desk();
    const [from, below] = [whole.byteOffset, beneath.byteOffset];
    kernels.paperOfShut(from, below, amount, marks, markGone, bottom - top, to, grid.width * 3);
    return true;
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
