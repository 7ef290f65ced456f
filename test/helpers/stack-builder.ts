import type { LineSettings } from '../../config/print-spec.js';
import type { Raster } from '../../pipeline/model/raster.js';
import type { BlendMode, Layer, LayeredPicture, LayerGroup } from '../../pipeline/model/working-page.js';

/** Layered pages made by hand, for tests. */

export interface LayerTraits {
  readonly name?: string;
  readonly x?: number;
  readonly y?: number;
  readonly opacity?: number;
  readonly visible?: boolean;
  readonly blend?: BlendMode;
}

export function layerOf(raster: Raster, traits: LayerTraits = {}): Layer {
  return {
    kind: 'layer',
    name: traits.name ?? 'layer',
    x: traits.x ?? 0,
    y: traits.y ?? 0,
    opacity: traits.opacity ?? 1,
    visible: traits.visible ?? true,
    blend: traits.blend ?? 'src-over',
    pixels: async () => raster,
  };
}

/** A group of layers, the topmost first. */
export function groupOf(
  children: readonly (Layer | LayerGroup)[],
  traits: LayerTraits & { readonly isolated?: boolean } = {},
): LayerGroup {
  return {
    kind: 'group',
    name: traits.name ?? 'group',
    opacity: traits.opacity ?? 1,
    visible: traits.visible ?? true,
    blend: traits.blend ?? 'src-over',
    isolated: traits.isolated ?? false,
    children,
  };
}

/** A page of layers, the topmost first. */
export function pageOf(
  width: number,
  height: number,
  children: readonly (Layer | LayerGroup)[],
): LayeredPicture {
  return {
    kind: 'layered',
    format: 'openraster',
    width,
    height,
    ppi: undefined,
    profile: undefined,
    noticed: [],
    root: groupOf(children, { isolated: true }),
  };
}

/** An rgb picture with alpha whose pixels `paint` gives as red, green, blue, alpha, 0 to 1. */
export function painted(
  width: number,
  height: number,
  paint: (x: number, y: number) => readonly [number, number, number, number],
  depth: 8 | 16 = 8,
): Raster {
  const max = depth === 8 ? 255 : 65535;
  const data = depth === 8 ? new Uint8Array(width * height * 4) : new Uint16Array(width * height * 4);
  for (let y = 0, i = 0; y < height; y++) {
    for (let x = 0; x < width; x++, i += 4) {
      const pixel = paint(x, y);
      for (let c = 0; c < 4; c++) data[i + c] = Math.round(Math.min(1, Math.max(0, pixel[c])) * max);
    }
  }
  return { width, height, model: 'rgb', alpha: true, data };
}

/** Line settings as tests use them; the levels are round numbers, not the defaults. */
export const lineSettings: LineSettings = {
  thresholdPercent: 50,
  blackMaxLevelPercent: 15,
  blackMaxChromaPercent: 10,
  liftFromFlat: true,
  liftMaxLevelPercent: 5,
};

export { seeded } from './rasters.js';
