import { channelsOf, type Raster, type RasterInPieces } from '../model/raster.js';
import { tileSide } from './tiles.js';

/** The picture in pieces; undefined for what is not taken apart: 16 bit and cmyk. */
export function inPieces(raster: Raster): RasterInPieces | undefined {
  const { width, height, model, alpha, data } = raster;
  if (model === 'cmyk' || !(data instanceof Uint8Array)) return undefined;
  const pieces: (Uint8Array | undefined)[] = [];
  for (let top = 0; top < height; top += tileSide) {
    for (let left = 0; left < width; left += tileSide) pieces.push(pieceAt(raster, data, left, top));
  }
  return { width, height, model, alpha, pieces };
}

function pieceAt(raster: Raster, data: Uint8Array, left: number, top: number): Uint8Array | undefined {
  const channels = channelsOf(raster);
  const row = raster.width * channels;
  const length = Math.min(tileSide, raster.width - left) * channels;
  const rows = Math.min(tileSide, raster.height - top);
  const first = top * row + left * channels;
  let shows = false;
  for (let y = 0; y < rows && !shows; y++) {
    const from = first + y * row;
    shows = raster.alpha ? hasAlpha(data, from, length, channels) : hasInk(data, from, length);
  }
  if (!shows) return undefined;
  const piece = new Uint8Array(tileSide * tileSide * channels);
  for (let y = 0; y < rows; y++) {
    const from = first + y * row;
    piece.set(data.subarray(from, from + length), y * tileSide * channels);
  }
  return piece;
}

function hasAlpha(data: Uint8Array, from: number, length: number, channels: number): boolean {
  for (let i = from + channels - 1; i < from + length; i += channels) if (data[i] !== 0) return true;
  return false;
}

function hasInk(data: Uint8Array, from: number, length: number): boolean {
  for (let i = from; i < from + length; i++) if (data[i] !== 255) return true;
  return false;
}

/**
 * Puts rows of the picture together; pixels that show nothing are all 0, or white without alpha.
 * @param into receives (bottom - top) x width x channels samples
 */
export function rowsOfPieces(raster: RasterInPieces, top: number, bottom: number, into: Uint8Array): void {
  const channels = channelsOf(raster);
  const { width, pieces } = raster;
  const columns = Math.ceil(width / tileSide);
  into.fill(raster.alpha ? 0 : 255, 0, (bottom - top) * width * channels);
  for (let y = top; y < bottom; y++) {
    const first = Math.floor(y / tileSide) * columns;
    const from = (y % tileSide) * tileSide * channels;
    for (let column = 0; column < columns; column++) {
      const piece = pieces[first + column];
      if (piece === undefined) continue;
      const length = Math.min(tileSide, width - column * tileSide) * channels;
      const to = ((y - top) * width + column * tileSide) * channels;
      into.set(piece.subarray(from, from + length), to);
    }
  }
}

/** All of the picture. */
export function wholeOfPieces(raster: RasterInPieces): Raster {
  const { width, height, model, alpha } = raster;
  const data = new Uint8Array(width * height * channelsOf(raster));
  rowsOfPieces(raster, 0, height, data);
  return { width, height, model, alpha, data };
}
