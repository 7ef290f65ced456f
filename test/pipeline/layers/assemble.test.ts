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
