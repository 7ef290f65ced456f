import { channelsOf, type Raster, type RasterInPieces } from '../model/raster.js';
import type { LayerRows } from '../model/working-page.js';
import { rowsOfPieces, wholeOfPieces } from './pieces.js';
import type { TilePool } from './tile-pool.js';
import { type Box, coveredPart, gather, type Placed } from './tiles.js';

/** What 8 bit can hold. */
const sampleCount = 256;
/** 255 x 257 is 65535. */
const to16 = 257;

/** Bytes of a pixel of a tile. */
const pixelBytes = 8;

/** What a layer's pixels come from. */
export type LayerSource = Raster | RasterInPieces | LayerRows;

/**
 * Reads a layer piece by piece, as `gather` does, and faster where it has 8 bit: the rows that pieces beside each other
 * have in common are brought to the arena once, where a kernel spreads them. Pieces are read from the top.
 */
export class LayerReader {
  private readonly alphas: Uint16Array;
  private whole: Placed<Raster> | undefined;
  private rows: Uint8Array = new Uint8Array(0);
  private top = 0;
  private bottom = 0;

  constructor(
    private readonly placed: Placed<LayerSource>,
    private readonly pool: TilePool,
  ) {
    this.alphas = pool.pixels(sampleCount / 4);
    // Factors are taken in the same order as by `gather`, so that both round alike.
    const { raster, opacity } = placed;
    const straight = 'next' in raster || (raster.alpha && raster.model === 'rgb');
    for (let alpha = 0; alpha < sampleCount; alpha++) {
      this.alphas[alpha] = (straight ? alpha * (opacity * to16) : alpha * to16 * opacity) + 0.5;
    }
  }

  /**
   * Brings rows of the page that are read next. Those of a layer that is decoded row by row are there until the next are brought; what
   * is brought begins no higher than what was brought before.
   * @throws PlatehandError `picture-unreadable`
   */
  async bring(top: number, bottom: number): Promise<void> {
    const { raster, y } = this.placed;
    if (!('next' in raster)) return;
    const from = Math.max(0, top - y);
    const to = Math.min(raster.height, bottom - y);
    if (from >= to) return;
    const row = raster.width * channelsOf(raster);
    const most = bottom - top;
    if (this.rows.length < most * row) this.grow(most * row);
    // What lies above is passed over; what was brought already is kept.
    while (this.bottom < from) await this.pull(raster, Math.min(most, from - this.bottom), 0);
    const kept = this.bottom - from;
    if (kept > 0) this.rows.copyWithin(0, (from - this.top) * row, (this.bottom - this.top) * row);
    if (to > this.bottom) await this.pull(raster, to - this.bottom, kept * row);
    this.top = from;
  }

  private grow(bytes: number): void {
    const { rows } = this;
    this.rows = this.pool.acquireRows(bytes);
    this.rows.set(rows);
    this.pool.releaseRows(rows);
  }

  private async pull(raster: LayerRows, rows: number, at: number): Promise<void> {
    await raster.next(rows, this.rows.subarray(at));
    this.bottom += rows;
  }

  /**
   * Ends reading.
   * @throws PlatehandError `picture-unreadable` where what was not read is damaged
   */
  async end(): Promise<void> {
    this.pool.releaseRows(this.rows);
    this.rows = new Uint8Array(0);
    const { raster } = this.placed;
    if ('next' in raster) await raster.end();
  }

  /**
   * Copies the piece of the layer under a box of the page; see `gather`, which takes and gives the same.
   * @returns whether any pixel shows
   */
  read(box: Box, out: Uint16Array, stride: number): boolean {
    const { raster, x, y } = this.placed;
    const isSimple = !('data' in raster) || (raster.data instanceof Uint8Array && raster.model !== 'cmyk');
    if (!isSimple || !this.isInArena(out)) return gather(this.gathered(), box, out, stride);
    const { left, top, right, bottom } = coveredPart(box, this.placed);
    const [width, rows] = [right - left, bottom - top];
    if (width < stride || rows * stride * 4 < out.length) out.fill(0);
    if (width <= 0 || rows <= 0) return false;
    this.putRows(top - y, top - y + rows);
    if (!this.isInArena(this.rows)) return gather(this.gathered(), box, out, stride);
    const channels = channelsOf(raster);
    const row = raster.width * channels;
    const from = this.rows.byteOffset + (top - y - this.top) * row + (left - x) * channels;
    const to = out.byteOffset + ((top - box.top) * stride + left - box.left) * pixelBytes;
    const { kernels } = this.pool.arena;
    const alphas = this.placed.opacity === 1 ? 0 : this.alphas.byteOffset;
    return kernels.spreadTile(from, row, width, rows, channels, alphas, to, stride * pixelBytes) !== 0;
  }

  /** For a very large page there may be no memory left. */
  private isInArena(samples: Uint8Array | Uint16Array): boolean {
    const { arena } = this.pool;
    return arena.has(samples) && arena.has(this.alphas);
  }

  /** The layer as one picture, as far as it was brought, for what is not read in the arena. */
  private gathered(): Placed<Raster> {
    const { raster } = this.placed;
    if ('next' in raster) return this.brought(raster);
    this.whole ??= { ...this.placed, raster: 'pieces' in raster ? wholeOfPieces(raster) : raster };
    return this.whole;
  }

  private brought({ width, model, alpha }: LayerRows): Placed<Raster> {
    const { placed, top, bottom } = this;
    const raster = { width, height: bottom - top, model, alpha, data: this.rows };
    return { ...placed, raster, y: placed.y + top };
  }

  /** Brings rows of the layer to the arena, unless they are there. */
  private putRows(top: number, bottom: number): void {
    if (this.top <= top && bottom <= this.bottom) return;
    const { raster } = this.placed;
    if ('next' in raster) throw new Error('rows of a layer are read that were not brought');
    const row = raster.width * channelsOf(raster);
    if (this.rows.length < (bottom - top) * row) this.grow((bottom - top) * row);
    if ('pieces' in raster) rowsOfPieces(raster, top, bottom, this.rows);
    else this.rows.set(raster.data.subarray(top * row, bottom * row));
    this.top = top;
    this.bottom = bottom;
  }
}
