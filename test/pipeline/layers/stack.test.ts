import { describe, expect, test } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { type Parts, stackOf } from '../../../pipeline/layers/stack.js';
import type { FlatPicture, Layer, LayeredPicture, LayerGroup } from '../../../pipeline/model/working-page.js';
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

  describe('of canvases that differ by their margins', () => {
    // Trim plus bleed of 40 x 60 mm is 113 x 170 px at 72 ppi.
    const coarse = { ...spec, colourPpi: 72, linePpi: 144 };
    const picture = (width: number, height: number): FlatPicture => {
      const raster = drawn(width, height, 'rgb', () => [200, 200, 200]);
      return { ...flat(8, 200), width, height, ppi: { x: 72, y: 72 }, raster };
    };
    const layersAt = (width: number, height: number): LayeredPicture => {
      const look = { name: 'letters', opacity: 1, visible: true, blend: 'src-over' } as const;
      const pixels = async () => drawn(5, 5, 'rgb', () => [0, 0, 0, 255]);
      const layer = { kind: 'layer', x: 11, y: 22, pixels, ...look } as const;
      const inner = { kind: 'group', isolated: true, children: [layer], ...look } as const;
      return {
        ...{ kind: 'layered', format: 'openraster', width, height, ppi: { x: 72, y: 72 } },
        ...{ profile: undefined, noticed: [], root: { ...inner, children: [inner] } },
      };
    };

    test('have their layers moved to where trim plus bleed begins, as long as a pixel is a pixel', async () => {
      const parts: Parts = { colour: picture(113, 170), line: undefined, lettering: layersAt(115, 174) };
      const { root } = await stackOf(parts, () => undefined, coarse, arena);
      const lettering = root.children[0] as LayerGroup;
      const letters = (lettering.children[0] as LayerGroup).children[0] as Layer;
      expect([letters.x, letters.y]).toEqual([10, 20]);
    });

    test('are refused where the layers have another resolution, and told in the pixels of the files', async () => {
      const parts: Parts = { colour: picture(114, 170), line: undefined, lettering: layersAt(226, 340) };
      await expect(stackOf(parts, () => undefined, coarse, arena)).rejects.toThrow(
        '226 x 340 px on 114 x 170 px',
      );
    });
  });
});
