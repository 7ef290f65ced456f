import { describe, expect, it } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { LayerReader } from '../../../pipeline/layers/layer-reader.js';
import { TilePool } from '../../../pipeline/layers/tile-pool.js';
import { gather, tileBox, tileGrid, tileSamples, tileSide } from '../../../pipeline/layers/tiles.js';
import type { Raster } from '../../../pipeline/model/raster.js';
import { seeded } from '../../helpers/rasters.js';

/** Kernels of tiles against their formulas in double precision, rounded to the nearest: every sample has to be the same. */

const arena = new PageArena();
const full = 65535;
const count = 20_000;
const random = seeded(33);

/** Ends and halves often, because that is where formulas change over. */
function sample(): number {
  const kind = Math.floor(random() * 8);
  if (kind < 2) return kind * full;
  return kind === 2 ? 32767 + Math.round(random()) : Math.floor(random() * 65536);
}

function tile(alpha: () => number): Uint16Array {
  return Uint16Array.from({ length: count * 4 }, (_, i) => (i % 4 === 3 ? alpha() : sample()));
}

const opaque = tile(() => full);
const thin = tile(sample);
const over = tile(sample);

type Lay = (below: number, above: number, to: number, samples: number) => void;

/** What a kernel makes of two tiles: what stands at `to`, or below for those that lay one on the other. */
function made(under: Uint16Array, above: Uint16Array, kernel: Lay, inPlace: boolean): Uint16Array {
  const [a, b, to] = arena.scratch(under.byteLength, above.byteLength, under.byteLength);
  arena.addressOf(under, a);
  arena.addressOf(above, b);
  kernel(a, b, to, under.length);
  const out = new Uint16Array(under.length);
  arena.store(inPlace ? a : to, out);
  return out;
}

const screen = (b: number, s: number) => b + s - (b * s) / full;
const hardLight = (b: number, s: number) => (2 * s <= full ? (b * 2 * s) / full : screen(b, 2 * s - full));

describe('blend modes in integers', () => {
  const { kernels } = arena;
  const modes: readonly (readonly [string, Lay, (b: number, s: number) => number])[] = [
    ['multiply', kernels.multiplyTile, (b, s) => (b * s) / full],
    ['screen', kernels.screenTile, screen],
    ['hard-light', kernels.hardLightTile, hardLight],
    ['darken', kernels.darkenTile, Math.min],
    ['lighten', kernels.lightenTile, Math.max],
    ['difference', kernels.differenceTile, (b, s) => Math.abs(b - s)],
  ];
  it.each(modes)('%s is its formula, rounded', (_, kernel, formula) => {
    const found = made(thin, over, kernel, false);
    const expected = thin.map((b, i) => Math.floor(formula(b, over[i]) + 0.5));
    expect(firstDifference(found, expected)).toBeUndefined();
  });
});

describe('laying a tile over another', () => {
  /** Co = Cb + (Cs - Cb) as / ao, pixel by pixel. */
  function laid(under: Uint16Array, above: Uint16Array): Uint16Array {
    const out = under.slice();
    for (let i = 0; i < out.length; i += 4) {
      const [as, ab] = [above[i + 3], under[i + 3]];
      if (as === 0) continue;
      const ao = ab === full ? full : as + ab - (as * ab) / full;
      for (let c = i; c < i + 3; c++) out[c] = Math.floor(under[c] + ((above[c] - under[c]) * as) / ao + 0.5);
      out[i + 3] = Math.floor(ao + 0.5);
    }
    return out;
  }

  function added(under: Uint16Array, above: Uint16Array): Uint16Array {
    const out = under.slice();
    for (let i = 0; i < out.length; i += 4) {
      const [as, ab] = [above[i + 3], under[i + 3]];
      if (as === 0) continue;
      const ao = Math.min(full, as + ab);
      for (let c = i; c < i + 3; c++)
        out[c] = Math.min(full, Math.floor((as * above[c] + ab * under[c]) / ao + 0.5));
      out[i + 3] = ao;
    }
    return out;
  }

  const { kernels } = arena;
  it.each([
    ['opaque', opaque],
    ['thin', thin],
  ])('is the formula of source over, rounded, on an %s one', (_, under) => {
    const found = made(under, over, (a, b, __, samples) => kernels.layTile(a, b, b, samples), true);
    expect(firstDifference(found, laid(under, over))).toBeUndefined();
  });

  it.each([
    ['opaque', opaque],
    ['thin', thin],
  ])('is the formula of plus, rounded, on an %s one', (_, under) => {
    const found = made(under, over, (a, b, __, samples) => kernels.addTile(a, b, samples), true);
    expect(firstDifference(found, added(under, over))).toBeUndefined();
  });
});

describe('a layer of 8 bit', () => {
  const grid = tileGrid(tileSide * 2 + 5, tileSide * 2 + 1);

  function layer(model: 'grey' | 'rgb', alpha: boolean, width: number, height: number): Raster {
    const channels = (model === 'grey' ? 1 : 3) + (alpha ? 1 : 0);
    const samples = () => (random() < 0.2 ? 0 : random() < 0.2 ? 255 : Math.floor(random() * 256));
    return {
      width,
      height,
      model,
      alpha,
      data: Uint8Array.from({ length: width * height * channels }, samples),
    };
  }

  const layers = (['grey', 'rgb'] as const).flatMap((model) =>
    [false, true].flatMap((alpha) =>
      [1, 0.3, 0.5].map((opacity) => ({ model, alpha, opacity, name: alpha ? ' with alpha' : '' })),
    ),
  );
  it.each(layers)('is read as it is gathered: $model$name at $opacity', async ({ model, alpha, opacity }) => {
    await arena.scope(async () => {
      const raster = layer(model, alpha, 51, 49);
      for (const [x, y] of [
        [0, 0],
        [-3, -2],
        [20, 21],
        [40, 45],
      ]) {
        const placed = { raster, x, y, opacity };
        const reader = new LayerReader(placed, new TilePool(grid, arena));
        for (let index = 0; index < grid.columns * grid.rows; index++) {
          const out = new TilePool(grid, arena).acquire().fill(7);
          const expected = new Uint16Array(tileSamples);
          const box = tileBox(grid, index);
          expect(reader.read(box, out, tileSide)).toBe(gather(placed, box, expected, tileSide));
          expect(firstDifference(shown(out), shown(expected))).toBeUndefined();
        }
      }
    });
  });

  /** Whatever colour a pixel has that does not show is no difference. */
  function shown(pixels: Uint16Array): Uint16Array {
    return pixels.map((value, i) => (pixels[i - (i % 4) + 3] === 0 ? 0 : value));
  }
});

describe('a finished tile', () => {
  it('is laid on white paper in 8 bit: beneath its line where that stays, as it looks elsewhere', () => {
    const pixels = tileSide * tileSide;
    const [whole, beneath] = [opaque, thin].map((one) => one.slice(0, pixels * 4));
    whole.set(thin.subarray(pixels * 4, pixels * 6));
    const amount = Uint16Array.from({ length: pixels }, (_, i) => (i % 3 === 0 ? 0 : i));
    const marks = Uint8Array.from({ length: pixels }, (_, i) => (i % 5 === 0 ? 5 : 3));
    const [width, rows, row] = [31, 30, 100];
    const sizes = [whole, beneath, amount, marks].map(({ byteLength }) => byteLength);
    const [a, b, c, d, to] = arena.scratch(...sizes, rows * row);
    [whole, beneath, amount, marks].forEach((one, i) => {
      arena.addressOf(one, [a, b, c, d][i]);
    });
    arena.kernels.paperTile(a, b, c, d, 4, width, rows, to, row);
    const found = arena.view(to, rows * row);
    for (let y = 0; y < rows; y++) {
      for (let x = 0; x < width; x++) {
        const pixel = y * tileSide + x;
        const tile = amount[pixel] !== 0 && (marks[pixel] & 4) === 0 ? beneath : whole;
        const alpha = tile[pixel * 4 + 3];
        const expected = [0, 1, 2].map((channel) => {
          const value = full + ((tile[pixel * 4 + channel] - full) * alpha) / full;
          return Math.floor(value / 257 + 0.5);
        });
        const at = y * row + x * 3;
        expect([x, y, ...found.subarray(at, at + 3)]).toEqual([x, y, ...expected]);
      }
    }
  });
});

/** Where two tiles first differ; comparing so many samples one by one would take the runner long. */
function firstDifference(found: Uint16Array, expected: Uint16Array) {
  const at = found.findIndex((value, i) => value !== expected[i]);
  return at < 0 ? undefined : { at, found: found[at], expected: expected[at] };
}
