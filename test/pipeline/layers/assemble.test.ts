import { describe, expect, test } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { assemble } from '../../../pipeline/layers/assemble.js';
import { bitmapOf } from '../../../pipeline/line/bitmap.js';
import { inkOnly } from '../../../pipeline/line/ink-amount.js';
import type { FlatPicture, LayeredPicture } from '../../../pipeline/model/working-page.js';
import { drawn, seeded } from '../../helpers/rasters.js';
import { lineSettings } from '../../helpers/specs.js';

const arena = new PageArena();

const size = { width: 40, height: 60 };
const facts = { ...size, ppi: undefined, profile: undefined, noticed: [] } as const;
const spec = {
  trim: { widthMm: 34, heightMm: 54 },
  bleedMm: 3,
  colourPpi: 300,
  linePpi: 600,
  line: lineSettings,
  support: { enabled: true, inkPercent: { cyan: 60, magenta: 40, yellow: 40 }, chokeMm: 0.25, minWidthMm: 2 },
};

function scanned(): FlatPicture {
  const random = seeded(3);
  const raster = drawn(size.width, size.height, 'grey', () => [random() < 0.2 ? 0 : 255]);
  return { ...facts, kind: 'flat', format: 'tiff', bitsPerSample: 1, raster };
}

function painted(): FlatPicture {
  const raster = drawn(size.width, size.height, 'rgb', (x, y) => [x * 6, y * 4, 90]);
  return { ...facts, kind: 'flat', format: 'tiff', bitsPerSample: 8, raster };
}

function layered(): LayeredPicture {
  const look = { opacity: 1, visible: true, blend: 'src-over' } as const;
  const pixels = async () => painted().raster;
  const layer = { kind: 'layer', name: 'paint', x: 0, y: 0, pixels, ...look } as const;
  const root = { kind: 'group', name: 'page', isolated: true, children: [layer], ...look } as const;
  return { ...facts, kind: 'layered', format: 'openraster', root };
}

describe.each([
  ['flat colour', painted],
  ['colour in layers', layered],
])('1-bit line beside %s', (_, colour) => {
  test('makes the same page whether all of it came or its ink alone', async () => {
    const made = async (line: FlatPicture | ReturnType<typeof inkOnly>) => {
      const art = await assemble(
        { colour: colour(), line, lettering: undefined },
        () => undefined,
        spec,
        arena,
      );
      const { pixels } = art.line ?? {};
      const bits =
        pixels !== undefined && 'data' in pixels ? bitmapOf(pixels.data, size, 128, arena) : pixels;
      return { ...art, line: bits, colour: [...(art.colour?.pixels.data ?? [])] };
    };
    const ofSamples = await made(scanned());
    expect(ofSamples.line).toBeDefined();
    expect(await made(inkOnly(scanned(), arena))).toEqual(ofSamples);
  });
});

describe('grey in the line of layers', () => {
  const sheet = { width: 160, height: 240 };
  const isDrawn = (x: number, y: number) => x % 40 < 10 || y % 60 < 8;
  const black = (x: number, y: number) => [0, 0, 0, isDrawn(x, y) ? 255 : 0];
  type Drawing = (x: number, y: number) => number[];

  /** Findings on a painted page with line above it, and maybe something above that. */
  const told = async (line: Drawing, look: object = {}, above?: { blend: string; drawing: Drawing }) => {
    const plain = { opacity: 1, visible: true, blend: 'src-over', x: 0, y: 0, kind: 'layer' };
    const pixels = (drawing: Drawing) => async () =>
      drawn(sheet.width, sheet.height, 'rgb', drawing as never);
    const paint = { ...plain, name: 'paint', pixels: pixels((x, y) => [90 + (x >> 1), 80 + (y >> 2), 190]) };
    const ink = { ...plain, name: 'ink', pixels: pixels(line), ...look };
    const light = above && { ...plain, name: 'light', blend: above.blend, pixels: pixels(above.drawing) };
    const children = [light, ink, paint].filter((layer) => layer !== undefined);
    const root = { kind: 'group', name: 'page', isolated: true, opacity: 1, visible: true, children };
    const colour = {
      ...facts,
      ...sheet,
      kind: 'layered',
      format: 'openraster',
      root,
    } as unknown as LayeredPicture;
    const partOf = (name: string) => (name === 'ink' ? ('line' as const) : undefined);
    const art = await assemble({ colour, line: undefined, lettering: undefined }, partOf, spec, arena);
    return art.noticed.filter(({ code }) => code === 'line-grey').map(({ severity }) => severity);
  };

  test('is told where line is painted, faded or washed grey, for it prints as black or not at all', async () => {
    const grey = (x: number, y: number) => [63, 63, 63, isDrawn(x, y) ? 255 : 0];
    const wash = (x: number, y: number) =>
      isDrawn(x, y) ? [0, 0, 0] : x > 80 ? [150, 150, 150] : [255, 255, 255];
    const noise = seeded(5);
    const pencil = (x: number, y: number) => Array(3).fill(isDrawn(x, y) ? 40 + 120 * noise() : 250);
    expect(await told(grey)).toEqual(['warn']);
    expect(await told(black, { opacity: 0.7 })).toEqual(['warn']);
    expect(await told(wash, { blend: 'multiply' })).toEqual(['warn']);
    expect(await told(pencil, { blend: 'multiply' })).toEqual(['warn']);
  });

  test('is not told of black line, of line that prints in colour, nor of light and mist above it', async () => {
    const brown = (x: number, y: number) => (x > 80 ? [110, 60, 20, black(x, y)[3]] : black(x, y));
    const glow = (x: number, y: number) => [
      255,
      200,
      120,
      Math.max(0, 255 - 2 * Math.hypot(x - 80, y - 120)),
    ];
    const mist = (_x: number, y: number) => [200, 205, 215, y > 120 ? 120 : 0];
    expect(await told(black)).toEqual([]);
    expect(await told(brown)).toEqual([]);
    expect(await told(black, {}, { blend: 'screen', drawing: glow })).toEqual([]);
    expect(await told(black, {}, { blend: 'src-over', drawing: mist })).toEqual([]);
  });
});
