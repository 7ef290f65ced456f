import { describe, expect, it } from 'vitest';
import type { Part } from '../../../config/job.js';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { type FlattenedPage, flatten } from '../../../pipeline/layers/flatten-layers.js';
import { channelsOf, type Raster } from '../../../pipeline/model/raster.js';
import type { BlendMode, Layer, LayerGroup, LayerRows } from '../../../pipeline/model/working-page.js';
import { fitSteps } from '../../../pipeline/sizes/fit-steps.js';
import { fitRaster } from '../../../pipeline/sizes/resample.js';
import { groupOf, layerOf, lineSettings, pageOf, painted, seeded } from '../../helpers/stack-builder.js';

/** Layers may be decoded row by row, side by side, or one after the other: the page is the same. */

const arena = new PageArena();
const [width, height] = [75, 140];

function partOf(name: string): Part | undefined {
  return name === 'line' || name === 'lettering' ? name : undefined;
}

/** A layer's pixels row by row, as a file that is decoded so gives them. */
function rowsOf(raster: Raster): LayerRows {
  const row = raster.width * channelsOf(raster);
  let at = 0;
  return {
    ...{ width: raster.width, height: raster.height, alpha: raster.alpha, model: 'rgb' },
    next: async (rows, into) => {
      expect(at + rows * row).toBeLessThanOrEqual(raster.data.length);
      into.set(raster.data.subarray(at, at + rows * row));
      at += rows * row;
    },
    end: async () => {},
    close: () => {},
  };
}

type Way = (layer: Layer) => Layer;

const ways: Readonly<Record<string, Way>> = {
  'row by row': (layer) => ({
    ...layer,
    pixels: () => Promise.reject(new Error('it is decoded row by row')),
    rows: async () => rowsOf(await layer.pixels()),
  }),
  'one after the other': (layer) => ({ ...layer, rows: async () => undefined }),
};

function through(entry: Layer | LayerGroup, way: Way): Layer | LayerGroup {
  if (entry.kind === 'layer') return way(entry);
  return { ...entry, children: entry.children.map((child) => through(child, way)) };
}

function run(children: readonly (Layer | LayerGroup)[]): Promise<FlattenedPage> {
  return flatten(pageOf(width, height, children), { partOf, line: lineSettings }, arena);
}

const modes: readonly BlendMode[] = [
  'src-over',
  'multiply',
  'screen',
  'plus',
  'dst-in',
  'src-atop',
  'overlay',
];

/** A stack that nobody would paint: layers of all sizes, in groups, some of line and lettering, some beside the page. */
function strange(seed: number): (Layer | LayerGroup)[] {
  const random = seeded(seed);
  const pick = <Item>(items: readonly Item[]) => items[Math.floor(random() * items.length)];
  const layer = (name: string, blend: BlendMode): Layer => {
    const [w, h] = [20 + Math.floor(random() * 90), 20 + Math.floor(random() * 150)];
    const isInk = name !== 'paint';
    const raster = painted(w, h, (x, y) => {
      const isBlot = (x * 7 + y * 3 + seed) % 29 < 12;
      return isInk ? [0, 0, 0, isBlot ? 1 : 0] : [random(), random(), 0.5, isBlot ? random() : 1];
    });
    const traits = { name, blend, opacity: pick([1, 1, 0.6]) };
    return layerOf(raster, {
      ...traits,
      x: Math.floor(random() * 60) - 30,
      y: Math.floor(random() * 60) - 30,
    });
  };
  const paint = () => layer('paint', pick(modes));
  const isolated = groupOf([paint(), layer('line', 'src-over'), paint()], { opacity: 0.8, isolated: true });
  return [
    layer('lettering', pick(['src-over', 'multiply'])),
    paint(),
    groupOf([paint(), isolated], {}),
    layer('line', pick(['src-over', 'multiply'])),
    paint(),
    layerOf(painted(width, height, (x, y) => [x / width, y / height, 0.4, 1])),
  ];
}

describe.each(Object.entries(ways))('a page laid %s', (_, way) => {
  it.each([1, 2, 3, 4, 5, 6])('is the page whose layers are all at hand (%i)', async (seed) => {
    const at = await run(strange(seed));
    const found = await run(strange(seed).map((entry) => through(entry, way)));
    expect(found.noticed).toEqual(at.noticed);
    expect(found.heldPercent).toBe(at.heldPercent);
    expect(found.coveredPercent).toBe(at.coveredPercent);
    for (const part of ['colour', 'painted', 'line', 'light', 'lettering'] as const) {
      expect(samplesOf(found[part]), part).toBe(samplesOf(at[part]));
    }
  });
});

describe('a page that is written over its own tiles', () => {
  // Tiles of 16 bit take as much as the page does: row after row, the page stands where they stood.
  it('looks with its line as it was laid, in its first rows and its last', async () => {
    const sheet = { width: 320, height: 128 };
    const isInk = (x: number, y: number) => (x + y) % 50 < 9;
    const deep = (colourAt: (x: number, y: number) => readonly number[]): Raster => {
      const data = new Uint16Array(sheet.width * sheet.height * 4);
      for (let i = 0; i < data.length / 4; i++) {
        data.set(colourAt(i % sheet.width, Math.floor(i / sheet.width)), i * 4);
      }
      return { ...sheet, model: 'rgb', alpha: true, data };
    };
    const paintAt = (x: number, y: number) => [x * 200, y * 500, 30_000, 65_535];
    const line = layerOf(
      deep((x, y) => [0, 0, 0, isInk(x, y) ? 65_535 : 0]),
      { name: 'line' },
    );
    const layers = [line, layerOf(deep(paintAt))].map(ways['one after the other']);
    const page = pageOf(sheet.width, sheet.height, layers);
    const { colour, painted: looks } = await flatten(page, { partOf, line: lineSettings }, arena);
    const wrong = { colour: 0, looks: 0 };
    for (let i = 0; i < sheet.width * sheet.height; i++) {
      const [x, y] = [i % sheet.width, Math.floor(i / sheet.width)];
      const paint = paintAt(x, y);
      for (let c = 0; c < 3; c++) {
        if (colour.data[i * 3 + c] !== paint[c]) wrong.colour++;
        if (looks?.data[i * 3 + c] !== (isInk(x, y) ? 0 : paint[c])) wrong.looks++;
      }
    }
    expect(wrong).toEqual({ colour: 0, looks: 0 });
    arena.reset();
  });
});

describe('a page of layers that is wanted at half its size', () => {
  const row = ways['row by row'];
  // The whole of it, a part of it, and more than it: of odd sizes, its last column and row are not whole.
  const wanted = [
    { crop: { left: 0, top: 0, width: 74, height: 140 }, size: { width: 37, height: 70 } },
    { crop: { left: 5, top: 33, width: 60, height: 90 }, size: { width: 30, height: 45 } },
    { crop: { left: -4, top: -6, width: 82, height: 150 }, size: { width: 41, height: 75 } },
  ];
  const half = (at: number) => fitSteps({ width, height }, wanted[at].crop, wanted[at].size);

  it.each([
    [1, 0],
    [2, 1],
    [3, 2],
    [4, 0],
    [5, 1],
    [6, 2],
  ])('is the whole page brought to that size, its line as it was (%i, %i)', async (seed, at) => {
    const options = { partOf, line: lineSettings };
    const layers = () => strange(seed).map((entry) => through(entry, row));
    const whole = await flatten(pageOf(width, height, layers()), options, arena);
    const [line, light] = [samplesOf(whole.line), samplesOf(whole.light)];
    const found = await flatten(pageOf(width, height, layers()), { ...options, half: half(at) }, arena);
    expect([whole.isHalved, found.isHalved]).toEqual([false, true]);
    const { crop, size } = wanted[at];
    for (const part of ['colour', 'painted'] as const) {
      const full = whole[part];
      const fitted = full && (await fitRaster(full, { crop, effectivePpi: 600 }, size));
      expect(samplesOf(found[part]), part).toBe(samplesOf(fitted));
      expect([found[part]?.width, found[part]?.height]).toEqual([fitted?.width, fitted?.height]);
    }
    expect([samplesOf(found.line), samplesOf(found.light)]).toEqual([line, light]);
    arena.reset();
  });

  it('comes as it is where it has no line, since black may be lifted from it', async () => {
    const paint = layerOf(painted(width, height, (x, y) => [x / width, y / height, 0.4, 1]));
    const options = { partOf, line: lineSettings, half: half(0) };
    const found = await flatten(pageOf(width, height, [row(paint)]), options, arena);
    expect([found.isHalved, found.colour.width, found.colour.height]).toEqual([false, width, height]);
  });
});

/** Samples as text: compared at once. */
function samplesOf(picture: { readonly data: Uint8Array | Uint16Array } | undefined): string | undefined {
  return picture && Buffer.from(picture.data).toString('base64');
}
