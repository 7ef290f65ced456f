import { PlatehandError } from '../../config/errors.js';
import type { SizePx } from '../../config/units.js';
import { colourChannels, maxOf, type Raster } from '../model/raster.js';

/**
 * A page in tiles of 32 x 32 pixels: interleaved red, green, blue and straight alpha, 16 bit. Empty tiles take no
 * memory, and two versions of a page share the tiles in which they agree.
 */

/**
 * Side of a tile in pixels. Small tiles let a page share more of them and stay in the processor's cache; measured on a
 * dense page, 32 took a seventh less memory than 64 and no more time.
 */
export const tileSide = 32;
export const tilePixels = tileSide * tileSide;
export const tileSamples = tilePixels * 4;

export type Tile = Uint16Array;

/** As a tile is stored: as it is, or without its alpha where that is full all over, as most of a page is. */
export type StoredTile = Uint16Array;

/** Samples of a tile that is stored without its alpha. */
export const opaqueSamples = tilePixels * 3;

/** How a page is cut into tiles. The tiles of the last column and row reach past the page. */
export interface TileGrid {
  readonly width: number;
  readonly height: number;
  readonly columns: number;
  readonly rows: number;
}

export function tileGrid(width: number, height: number): TileGrid {
  return { width, height, columns: Math.ceil(width / tileSide), rows: Math.ceil(height / tileSide) };
}

/** A rectangle in pixels, its right and bottom side excluded. */
export interface Box {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

/** The part of a tile that lies on the page. */
export function tileBox(grid: TileGrid, index: number): Box {
  const left = (index % grid.columns) * tileSide;
  const top = Math.floor(index / grid.columns) * tileSide;
  return {
    left,
    top,
    right: Math.min(left + tileSide, grid.width),
    bottom: Math.min(top + tileSide, grid.height),
  };
}

/** The tiles of one row of a page's, in order. */
export function tilesOfRow({ columns }: TileGrid, row: number): number[] {
  return Array.from({ length: columns }, (_, column) => row * columns + column);
}

/** The tiles that a box of the page touches, in order. */
export function tilesUnder(grid: TileGrid, box: Box): number[] {
  const tiles: number[] = [];
  if (box.left >= box.right) return tiles;
  for (let row = Math.floor(box.top / tileSide); row * tileSide < box.bottom; row++) {
    for (let column = Math.floor(box.left / tileSide); column * tileSide < box.right; column++) {
      tiles.push(row * grid.columns + column);
    }
  }
  return tiles;
}

/** A layer's pixels with the place of their top left corner on the page and its opacity, 0 to 1. */
export interface Placed<Pixels extends SizePx> {
  readonly raster: Pixels;
  readonly x: number;
  readonly y: number;
  readonly opacity: number;
}

/** The part of the page that a layer covers. */
export function placedBox({ width, height }: TileGrid, placed: Placed<SizePx>): Box {
  return coveredPart({ left: 0, top: 0, right: width, bottom: height }, placed);
}

/** The part of a box of the page that a layer covers; its sides are the wrong way round where that is nothing. */
export function coveredPart(box: Box, { raster, x, y }: Placed<SizePx>): Box {
  return {
    left: Math.max(box.left, x),
    top: Math.max(box.top, y),
    right: Math.min(box.right, x + raster.width),
    bottom: Math.min(box.bottom, y + raster.height),
  };
}

/**
 * Copies the piece of a layer under a box of the page into 16-bit pixels, opacity taken into their alpha; what lies
 * outside the layer is transparent.
 *
 * @param box on the page; its left top pixel becomes the first of `out`
 * @param out rows of `stride` pixels, wholly overwritten
 * @returns whether any pixel shows
 * @throws PlatehandError picture-unsupported for cmyk layers, for which no blend mode is defined
 */
export function gather(placed: Placed<Raster>, box: Box, out: Uint16Array, stride: number): boolean {
  const { raster, x, y } = placed;
  if (raster.model === 'cmyk') {
    throw new PlatehandError(
      'picture-unsupported',
      'A layer holds CMYK pixels, but layers are blended as RGB',
      'Export the layered page in RGB, or export it flat.',
    );
  }
  out.fill(0);
  const { left, top, right, bottom } = coveredPart(box, placed);
  let shows = 0;
  for (let row = top; row < bottom && left < right; row++) {
    const to = ((row - box.top) * stride + left - box.left) * 4;
    const from = (row - y) * raster.width + left - x;
    shows |= gatherRow(placed, from, right - left, out, to);
  }
  return shows !== 0;
}

/** Copies `count` pixels from pixel `from` of a layer; says with a number above 0 whether any shows. */
function gatherRow(
  placed: Placed<Raster>,
  from: number,
  count: number,
  out: Uint16Array,
  to: number,
): number {
  const { raster, opacity } = placed;
  const scale = 65535 / maxOf(raster);
  if (raster.model === 'rgb' && raster.alpha) {
    return gatherRgba(raster.data, from * 4, count, out, to, scale, opacity * scale);
  }
  const colours = colourChannels[raster.model];
  const channels = colours + (raster.alpha ? 1 : 0);
  const green = colours === 3 ? 1 : 0;
  const { data } = raster;
  let shows = 0;
  for (let i = 0, at = from * channels; i < count; i++, at += channels, to += 4) {
    const alpha = raster.alpha ? data[at + colours] * scale : 65535;
    out[to] = data[at] * scale;
    out[to + 1] = data[at + green] * scale;
    out[to + 2] = data[at + green * 2] * scale;
    out[to + 3] = alpha * opacity + 0.5;
    shows |= out[to + 3];
  }
  return shows;
}

/** Takes a group's opacity into a tile's alpha, in place. */
export function fade(tile: Tile, opacity: number): Tile {
  if (opacity < 1) for (let i = 3; i < tileSamples; i += 4) tile[i] = tile[i] * opacity + 0.5;
  return tile;
}

/** The common case by itself, because a page has tens of millions of these. */
function gatherRgba(
  data: Uint8Array | Uint16Array,
  from: number,
  count: number,
  out: Uint16Array,
  to: number,
  scale: number,
  alphaScale: number,
): number {
  let shows = 0;
  const end = from + count * 4;
  for (let i = from, o = to; i < end; i += 4, o += 4) {
    const alpha = data[i + 3];
    if (alpha === 0) continue;
    shows |= alpha;
    out[o] = data[i] * scale;
    out[o + 1] = data[i + 1] * scale;
    out[o + 2] = data[i + 2] * scale;
    out[o + 3] = alpha * alphaScale + 0.5;
  }
  return shows;
}
