import { describe, expect, it } from 'vitest';
import {
  gather,
  tileBox,
  tileGrid,
  tileSamples,
  tileSide,
  tilesUnder,
} from '../../../pipeline/layers/tiles.js';
import { painted } from '../../helpers/stack-builder.js';

describe('a page in tiles', () => {
  const grid = tileGrid(tileSide * 2 + 5, tileSide + 1);

  it('is covered by its tiles to the last pixel and no further', () => {
    expect([grid.columns, grid.rows]).toEqual([3, 2]);
    expect(tileBox(grid, 5)).toEqual({
      left: tileSide * 2,
      top: tileSide,
      right: tileSide * 2 + 5,
      bottom: tileSide + 1,
    });
  });

  it('finds the tiles that a layer touches', () => {
    expect(tilesUnder(grid, { left: 0, top: 0, right: tileSide, bottom: tileSide })).toEqual([0]);
    expect(
      tilesUnder(grid, { left: tileSide - 1, top: 3, right: tileSide + 1, bottom: tileSide + 1 }),
    ).toEqual([0, 1, 3, 4]);
    expect(tilesUnder(grid, { left: 9, top: 9, right: 9, bottom: 30 })).toEqual([]);
  });

  it('gathers a layer that hangs over the corner of the page, with its opacity, in 16 bit', () => {
    const raster = painted(4, 4, (x, y) => [x / 3, y / 3, 1, 1]);
    const out = new Uint16Array(tileSamples).fill(7);
    const placed = { raster, x: -3, y: -2, opacity: 0.5 };
    expect(gather(placed, tileBox(grid, 0), out, tileSide)).toBe(true);
    expect([...out.subarray(0, 8)]).toEqual([65535, 43690, 65535, 32768, 0, 0, 0, 0]);
    expect(out[tileSide * 4 + 1]).toBe(65535);
    expect(gather(placed, tileBox(grid, 1), out, tileSide)).toBe(false);
    expect(out.every((sample) => sample === 0)).toBe(true);
  });

  it('takes grey, and pictures without alpha, as opaque rgb', () => {
    const out = new Uint16Array(tileSamples);
    const grey = { width: 1, height: 1, model: 'grey', alpha: false, data: Uint16Array.of(500) } as const;
    gather({ raster: grey, x: 0, y: 0, opacity: 1 }, tileBox(grid, 0), out, tileSide);
    expect([...out.subarray(0, 4)]).toEqual([500, 500, 500, 65535]);
    const rgb = { width: 1, height: 1, model: 'rgb', alpha: false, data: Uint8Array.of(1, 2, 3) } as const;
    gather({ raster: rgb, x: 0, y: 0, opacity: 1 }, tileBox(grid, 0), out, tileSide);
    expect([...out.subarray(0, 4)]).toEqual([257, 514, 771, 65535]);
  });
});
