import { describe, expect, test } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { type Parts, stackOf } from '../../../pipeline/layers/stack.js';
import type { FlatPicture, Layer } from '../../../pipeline/model/working-page.js';
import { drawn } from '../../helpers/rasters.js';
import { lineSettings } from '../../helpers/specs.js';

const arena = new PageArena();

function flat(bitsPerSample: number, grey: number): FlatPicture {
  const raster = drawn(40, 60, 'rgb', () => [grey, grey, grey]);
  return {
    kind: 'flat',
    format: 'png',
    width: 40,
    height: 60,
    ppi: undefined,
    profile: undefined,
    noticed: [],
    bitsPerSample,
    raster,
  };
}

const spec = {
  trim: { widthMm: 34, heightMm: 54 },
  bleedMm: 3,
  colourPpi: 300,
  linePpi: 600,
  line: lineSettings,
  support: { enabled: true, inkPercent: { cyan: 60, magenta: 40, yellow: 40 }, chokeMm: 0.25, minWidthMm: 2 },
};

describe('parts laid on each other', () => {
  test('are given up, so that a picture lives no longer than it takes to lay it', async () => {
    const colour = flat(8, 200);
    const lettering = flat(8, 255);
    const parts: Parts = { colour, line: flat(1, 0), lettering };
    const stack = await stackOf(parts, () => undefined, spec, arena);
    expect(parts).toEqual({ colour: undefined, line: undefined, lettering: undefined });
    const layers = stack.root.children as Layer[];
    expect(layers.map(({ name }) => name)).toEqual(['lettering', 'line', 'colour']);
    expect(await layers[2].pixels()).toBe(colour.raster);
    await expect(layers[2].pixels()).rejects.toThrow('laid twice');
  });
});
