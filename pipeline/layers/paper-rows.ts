import { desk } from '../kernels/desk.js';
import type { Raster } from '../raster.js';
import { markGone, onWhite } from './canvas.js';
import type { LineTile, TileRoom } from './tile-room.js';
import { type Box, type Tile, type TileGrid, tileBox, tileSide } from './tiles.js';

/**
 * Writes the finished tiles of a page onto white paper: the bare page where line stays, the full page everywhere else.
 * Tiles come in order; a row of them is put together on the desk.
 */
export class PaperRows {
  readonly colour: Raster;
  private readonly rows: Uint8Array | Uint16Array;
  private readonly nothing: Tile;

  constructor(
    private readonly grid: TileGrid,
    room: TileRoom,
    sixteenBit: boolean,
  ) {
    const { width, height } = grid;
    const samples = width * height * 3;
    const data = sixteenBit ? new Uint16Array(samples) : new Uint8Array(samples);
    this.colour = { width, height, model: 'rgb', alpha: false, data };
    const rowSamples = tileSide * width * 3;
    this.rows = sixteenBit ? new Uint16Array(rowSamples) : desk().hold(rowSamples);
    this.nothing = room.takeEmpty();
  }

  write(index: number, full: Tile | undefined, bare: Tile | undefined, line: LineTile | undefined): void {
    const box = tileBox(this.grid, index);
    const [whole, beneath] = [full ?? this.nothing, bare ?? this.nothing];
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
        this.grid.width * 3,
      );
    } else this.writePixels(box, whole, beneath, line);
    if (box.right < this.grid.width) return;
    const count = (box.bottom - box.top) * this.grid.width * 3;
    this.colour.data.set(this.rows.subarray(0, count), box.top * this.grid.width * 3);
  }

  private writePixels(box: Box, whole: Tile, beneath: Tile, line: LineTile | undefined): void {
    const { rows } = this;
    const scale = rows instanceof Uint8Array ? 255 / 65535 : 1;
    for (let y = 0; y < box.bottom - box.top; y++) {
      let pixel = y * tileSide;
      let to = (y * this.grid.width + box.left) * 3;
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
