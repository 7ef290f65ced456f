import type { SizePx } from '../../config/units.js';
import { channelsOf, maxOf, type Raster } from '../model/raster.js';
import { cellPx, type EdgeMap } from './edge-maps.js';

/** A part of a page before it is laid on the others: its picture, and where trim plus bleed lies in it, in its own pixels. */
export interface PagePart {
  readonly raster: Raster;
  readonly crop: {
    readonly left: number;
    readonly top: number;
    readonly width: number;
    readonly height: number;
  };
}

/** How dark a part is, in every second pixel of the page across and down. */
export interface DarkPlane extends SizePx {
  /** 0 for paper and what is transparent, to 255. */
  readonly dark: Uint8Array;
  /** 1 where something light covers what is beneath, as a balloon does. */
  readonly backed: Uint8Array;
}

/** From here on a pixel is ink, of 255. */
export const inkLevel = 128;

/** Looks at a part as it lies on a page of such a size. */
export function darkPlane({ raster, crop }: PagePart, page: SizePx): DarkPlane {
  const [width, height] = [page.width >> 1, page.height >> 1];
  const dark = new Uint8Array(width * height);
  const backed = new Uint8Array(width * height);
  const channels = channelsOf(raster);
  const look = lookerOf(raster);
  const columnAt = Int32Array.from(
    { length: width },
    (_, x) => nearest(crop.left + ((x + 0.5) * crop.width) / width, raster.width) * channels,
  );
  for (let y = 0, i = 0; y < height; y++) {
    const row =
      nearest(crop.top + ((y + 0.5) * crop.height) / height, raster.height) * raster.width * channels;
    for (let x = 0; x < width; x++, i++) {
      const seen = look(row + columnAt[x]);
      dark[i] = seen & 255;
      backed[i] = seen >> 8;
    }
  }
  return { width, height, dark, backed };
}

function nearest(place: number, length: number): number {
  return Math.max(0, Math.min(length - 1, Math.floor(place)));
}

/** What is at an index of the samples: how dark, 0 to 255, and 256 more where it is light and covers. */
function lookerOf({ data, model, alpha }: Raster): (at: number) => number {
  const colours = model === 'grey' ? 1 : model === 'rgb' ? 3 : 4;
  const shift = maxOf({ data }) === 255 ? 0 : 8;
  const lightest = (at: number) => {
    let most = 0;
    for (let c = 0; c < colours; c++) most = Math.max(most, data[at + c]);
    return most >> shift;
  };
  const darkest =
    model === 'cmyk' ? (at: number) => data[at + 3] >> shift : (at: number) => 255 - lightest(at);
  if (!alpha) return darkest;
  return (at) => {
    const cover = data[at + colours] >> shift;
    if (cover === 0) return 0;
    const dark = Math.round((darkest(at) * cover) / 255);
    return cover >= inkLevel && dark < inkLevel ? dark | 256 : dark;
  };
}

/** Where ink begins or ends on the way across and down, in cells of a page. */
export function darkEdges({ width, height, dark }: DarkPlane, page: SizePx): EdgeMap {
  const [columns, rows] = [Math.ceil(page.width / cellPx), Math.ceil(page.height / cellPx)];
  const map = {
    columns,
    rows,
    across: new Float32Array(columns * rows),
    down: new Float32Array(columns * rows),
  };
  const half = cellPx >> 1;
  const columnOf = Uint16Array.from({ length: width }, (_, x) => Math.min(columns - 1, Math.floor(x / half)));
  for (let y = 0; y + 1 < height; y++) {
    const row = Math.min(rows - 1, Math.floor(y / half)) * columns;
    for (let x = 0, i = y * width; x + 1 < width; x++, i++) {
      const isInk = dark[i] >= inkLevel;
      if (isInk !== dark[i + 1] >= inkLevel) map.across[row + columnOf[x]]++;
      if (isInk !== dark[i + width] >= inkLevel) map.down[row + columnOf[x]]++;
    }
  }
  return map;
}

/** Writes how dark a square of the page is, by its upper left corner and its side in pixels of the plane. */
export function seeDark(
  { width, height, dark }: DarkPlane,
  { left, top, side }: { left: number; top: number; side: number },
  into: Float64Array,
): void {
  into.fill(0);
  for (let y = Math.max(0, -top); y < side && top + y < height; y++) {
    const from = (top + y) * width + left;
    for (let x = Math.max(0, -left); x < side && left + x < width; x++) into[y * side + x] = dark[from + x];
  }
}
