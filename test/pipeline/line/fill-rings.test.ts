import { expect, test } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { emptyBitmap } from '../../../pipeline/line/bitmap.js';
import { edgePx, fillBeneath } from '../../../pipeline/line/fill-beneath.js';
import type { Bitmap, Raster } from '../../../pipeline/model/raster.js';
import { seeded } from '../../helpers/rasters.js';

/** The filling against its definition: ring by ring over the whole page, each pixel the mean of the visible ones around it. */

const arena = new PageArena();

/** Blocks of line, two of which bleed, further from each other than their soft edges reach, and all pixels that they hide. */
function blocks(width: number, height: number): { covered: Bitmap; hidden: Uint8Array } {
  const covered = emptyBitmap({ width, height });
  const hidden = new Uint8Array(width * height);
  const [cellWidth, cellHeight] = [Math.floor(width / 3), Math.floor(height / 2)];
  for (let block = 0; block < 6; block++) {
    const left = (block % 3) * cellWidth + (block === 0 ? 0 : 4);
    const top = Math.floor(block / 3) * cellHeight + 4;
    const right = left + Math.min(cellWidth - 8, 200);
    const bottom = block === 4 ? height : top + cellHeight - 8;
    for (let y = Math.max(0, top - edgePx); y < Math.min(height, bottom + edgePx); y++) {
      for (let x = Math.max(0, left - edgePx); x < Math.min(width, right + edgePx); x++) {
        hidden[y * width + x] = 1;
        const isLine = x >= left && x < right && y >= top && y < bottom;
        if (isLine) covered.bits[y * covered.rowBytes + (x >> 3)] |= 1 << (x & 7);
      }
    }
  }
  return { covered, hidden };
}

function filledByDefinition(picture: Raster, hidden: Uint8Array, depthPx: number): number[] {
  const { width, height } = picture;
  const data = Array.from(picture.data);
  const visible = (x: number, y: number) =>
    x >= 0 && y >= 0 && x < width && y < height && hidden[y * width + x] === 0;
  for (let step = 0; step < depthPx; step++) {
    const ring = Array.from(hidden.keys()).filter((i) => {
      const [x, y] = [i % width, Math.floor(i / width)];
      const beside = visible(x - 1, y) || visible(x + 1, y) || visible(x, y - 1) || visible(x, y + 1);
      return hidden[i] === 1 && beside;
    });
    for (const i of ring) {
      const near = [-1, 0, 1].flatMap((dy) =>
        [-1, 0, 1].map((dx) => [(i % width) + dx, Math.floor(i / width) + dy]),
      );
      const seen = near.filter(([x, y]) => visible(x, y)).map(([x, y]) => y * width + x);
      for (let c = 0; c < 3; c++) {
        const sum = seen.reduce((all, from) => all + data[from * 3 + c], 0);
        data[i * 3 + c] = Math.round(sum / seen.length);
      }
    }
    for (const i of ring) hidden[i] = 0;
  }
  const paper = picture.data instanceof Uint8Array ? 255 : 65535;
  return data.map((value, at) => (hidden[Math.floor(at / 3)] === 1 ? paper : value));
}

test.each([
  ['a small picture', 131, 120, 20, 8],
  ['one of 16 bits', 131, 120, 20, 16],
  // Its windows are low, and hold fewer rings than there are to fill.
  ['one that is very wide', 30_000, 40, 18, 8],
])('colour comes in as ring after ring does over the whole page: %s', (_, width, height, depthPx, bits) => {
  const { covered, hidden } = blocks(width, height);
  const random = seeded(4);
  const sample = () => Math.floor(random() * 2 ** bits);
  const length = width * height * 3;
  const data = bits === 8 ? Uint8Array.from({ length }, sample) : Uint16Array.from({ length }, sample);
  const picture: Raster = { width, height, model: 'rgb', alpha: false, data };
  const wanted = filledByDefinition(picture, hidden, depthPx);
  fillBeneath(picture, covered, new Uint8Array(width * height).fill(255), depthPx, arena);
  expect(picture.data.every((value, at) => value === wanted[at])).toBe(true);
});
