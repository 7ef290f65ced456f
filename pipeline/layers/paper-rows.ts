import type { Raster } from '../model/raster.js';
import { type Canvas, markGone, onWhite, openBoth } from './canvas.js';
import { isOpaque, type LineTile } from './tile-pool.js';
import { type Box, type StoredTile, type Tile, tileBox, tileSide, tilesOfRow } from './tiles.js';

/** Where a page is written, and as it looks with its line: width x height x 3 samples each, of 8 or 16 bit. */
export interface PagePlaces {
  readonly colour: Uint8Array | Uint16Array;
  /** undefined takes memory of its own when the first line comes. */
  readonly painted: Uint8Array | Uint16Array | undefined;
  /** Whether no tile stands there: then nothing need be put together beside it. */
  readonly isApart: boolean;
}

function samplesLike(data: Raster['data']): Raster['data'] {
  return data instanceof Uint8Array ? new Uint8Array(data.length) : new Uint16Array(data.length);
}

/**
 * Writes the finished tiles of a page onto white paper: the bare page where line stays, the full page everywhere else; and,
 * where there is line, once more as the page looks with it. A row of tiles is put together apart.
 */
export class PaperRows {
  readonly colour: Raster;
  /** The page with its line; undefined while no tile has had any. */
  painted: Raster | undefined;
  /** The row of tiles that is being written, and where it is put together if it cannot be written in its place. */
  private rows: Uint8Array | Uint16Array;
  private readonly spare: Uint8Array | Uint16Array;

  constructor(
    private readonly canvas: Canvas,
    private readonly places: PagePlaces,
  ) {
    const { width, height } = canvas.grid;
    const { colour } = places;
    const rowSamples = tileSide * width * 3;
    this.colour = { width, height, model: 'rgb', alpha: false, data: colour };
    const isDeep = colour instanceof Uint16Array;
    this.spare = isDeep ? new Uint16Array(rowSamples) : canvas.pool.arena.allocate(rowSamples);
    this.rows = this.spare;
  }

  /** Rows come in order. */
  writeRow(row: number): void {
    const { grid, lines } = this.canvas;
    const { data } = this.colour;
    const indexes = tilesOfRow(grid, row);
    const from = row * tileSide * grid.width * 3;
    const to = Math.min(from + tileSide * grid.width * 3, data.length);
    this.begin(data, from, to);
    for (const index of indexes) this.write(index, lines[index]);
    this.end(data, from);
    const inked = indexes.filter((index) => lines[index] !== undefined);
    if (inked.length > 0) this.painted ??= this.begun(from);
    if (this.painted === undefined) return;
    const drawn = this.rows;
    this.begin(this.painted.data, from, to);
    this.rows.set(drawn);
    for (const index of inked) this.write(index, undefined);
    this.end(this.painted.data, from);
  }

  /** Where kernels reach a page and no tile stands there, rows are written in their place. */
  private begin(page: Raster['data'], from: number, to: number): void {
    this.rows = this.isDirect(page) ? page.subarray(from, to) : this.spare.subarray(0, to - from);
  }

  private end(page: Raster['data'], from: number): void {
    if (!this.isDirect(page)) page.set(this.rows, from);
  }

  private isDirect(page: Raster['data']): boolean {
    return this.places.isApart && this.canvas.pool.arena.has(page);
  }

  /** The page as it is so far: without line, it is the colour. */
  private begun(samples: number): Raster {
    const { data } = this.colour;
    const painted = this.places.painted ?? samplesLike(data);
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
