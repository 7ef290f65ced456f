import type { PixelBox } from '../../config/units.js';
import { cutOut } from '../../pipeline/kernels/edges.js';
import { channelsOf, type Raster } from '../../pipeline/model/raster.js';
import type { FlatPicture } from '../../pipeline/model/working-page.js';
import { drawn } from './rasters.js';

/** A spread of two pages of 50 x 70 mm with 3 mm bleed, 106 x 76 mm in all, at 200 ppi: twice 417 x 299, as it prints at 100. */
export const spreadSize = { width: 834, height: 598 };

/** Columns of each half. */
export const foldX = 417;

/** 3 mm at 200 ppi. */
export const bleedPx = 24;

/** A number that looks like chance and is the same on every run: 0 to 1. */
function chance(x: number, y: number): number {
  const mixed = Math.imul(x * 374761393 + y * 668265263, 1274126177);
  return ((mixed ^ (mixed >>> 13)) >>> 0) / 2 ** 32;
}

/** Brush work: dabs of paint of some 2 mm all over, in colour or as ink on paper. */
export function dabs(model: 'rgb' | 'grey' = 'rgb'): Raster {
  return drawn(spreadSize.width, spreadSize.height, model, (x, y) => {
    const [column, row] = [
      Math.floor((x + 5 * Math.sin(y / 9)) / 17),
      Math.floor((y + 5 * Math.sin(x / 7)) / 13),
    ];
    const light = chance(column, row);
    if (model === 'grey') return [light < 0.4 ? 0 : 255];
    return [60 + 180 * light, 60 + 150 * chance(row, column), 200 - 120 * light].map(Math.round);
  });
}

/** Hatching: lines aslant, a millimetre apart, all over and nothing else. */
export function hatching(): Raster {
  return drawn(spreadSize.width, spreadSize.height, 'grey', (x, y) => [(x + y) % 8 < 3 ? 0 : 255]);
}

/** A part of a picture; beyond it its edge goes on. */
function part(raster: Raster, box: PixelBox): Raster {
  const { width, height } = box;
  return { ...raster, width, height, data: cutOut(raster.data, channelsOf(raster), raster, box) };
}

/** Columns of a spread, of full height. @param down how far the picture lies below its place */
export function columns(raster: Raster, left: number, width: number, down = 0): Raster {
  return part(raster, { left, top: -down, width, height: raster.height });
}

/** A picture with some of its columns white. */
export function whitened(raster: Raster, from: number, to: number): Raster {
  const channels = channelsOf(raster);
  const data = raster.data.slice();
  for (let y = 0; y < raster.height; y++) {
    data.fill(255, (y * raster.width + from) * channels, (y * raster.width + to) * channels);
  }
  return { ...raster, data };
}

/** A raster as a file of 200 ppi without profile. */
export function pictureOf(raster: Raster, change: Partial<FlatPicture> = {}): FlatPicture {
  const { width, height } = raster;
  const facts = { ppi: { x: 200, y: 200 }, profile: undefined, noticed: [], bitsPerSample: 8 };
  return { kind: 'flat', format: 'tiff', width, height, ...facts, raster, ...change };
}
