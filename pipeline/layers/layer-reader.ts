import { channelsOf, type Raster, type RasterInPieces } from '../model/raster.js';
import { rowsOfPieces, wholeOfPieces } from './pieces.js';
import type { TilePool } from './tile-pool.js';
import { type Box, coveredPart, gather, type Placed } from './tiles.js';

/** What 8 bit can hold. */
const sampleCount = 256;
/** 255 x 257 is 65535. */
const to16 = 257;

/** Bytes of a pixel of a tile. */
const pixelBytes = 8;

/**
 * Reads a layer piece by piece, as `gather` does, and faster where it has 8 bit: the rows that pieces beside each other
 * have in common are brought to the arena once, where a kernel spreads them.
 */
export class LayerReader {
  private readonly alphas: Uint16Array;
  private whole: Placed<Raster> | undefined;
  private rows: Uint8Array = new Uint8Array(0);
  private top = 0;
  private bottom = 0;

  constructor(
    private readonly placed: Placed<Raster | RasterInPieces>,
    private readonly pool: TilePool,
  ) {
    this.alphas = pool.pixels(sampleCount / 4);
    // Factors are taken in the same order as by `gather`, so that both round alike.
    const { raster, opacity } = placed;
    const straight = raster.alpha && raster.model === 'rgb';
    for (let alpha = 0; alpha < sampleCount; alpha++) {
      this.alphas[alpha] = (straight ? alpha * (opacity * to16) : alpha * to16 * opacity) + 0.5;
    }
  }

  /**
   * Copies the piece of the layer under a box of the page; see `gather`, which takes and gives the same.
   * @returns whether any pixel shows
   */
  read(box: Box, out: Uint16Array, stride: number): boolean {
    const { raster, x, y } = this.placed;
    const isSimple = 'pieces' in raster || (raster.data instanceof Uint8Array && raster.model !== 'cmyk');
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
    const { alphas } = this;
    const { kernels } = this.pool.arena;
    const toRow = stride * pixelBytes;
    return kernels.spreadTile(from, row, width, rows, channels, alphas.byteOffset, to, toRow) !== 0;
  }

  /** For a very large page there may be no memory left. */
  private isInArena(samples: Uint8Array | Uint16Array): boolean {
    const { arena } = this.pool;
    return arena.has(samples) && arena.has(this.alphas);
  }

  /** The layer as one picture, for what is not read in the arena. */
  private gathered(): Placed<Raster> {
    const { raster } = this.placed;
    this.whole ??= { ...this.placed, raster: 'pieces' in raster ? wholeOfPieces(raster) : raster };
    return this.whole;
  }

  /** Brings rows of the layer to the arena, unless they are there. */
  private putRows(top: number, bottom: number): void {
    if (this.top <= top && bottom <= this.bottom) return;
    const { raster } = this.placed;
    const row = raster.width * channelsOf(raster);
    this.rows = this.pool.layerRows((bottom - top) * row);
    if ('pieces' in raster) rowsOfPieces(raster, top, bottom, this.rows);
    else this.rows.set(raster.data.subarray(top * row, bottom * row));
    this.top = top;
    this.bottom = bottom;
  }
}
