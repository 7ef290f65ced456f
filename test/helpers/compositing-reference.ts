import { channelsOf, maxOf, type Raster } from '../../pipeline/model/raster.js';
import type { BlendMode, Layer, LayerGroup } from '../../pipeline/model/working-page.js';

/**
 * A slow reference for flattening, straight from the formulas of W3C Compositing and Blending Level 1 in double
 * precision, one pixel at a time and premultiplied throughout. It shares no code with the kernels it is held against.
 */

/** Premultiplied red, green, blue, and alpha, 0 to 1. */
export type Premultiplied = readonly [number, number, number, number];

type Colour = readonly [number, number, number];

const clear: Premultiplied = [0, 0, 0, 0];

/** One pixel of a whole stack on white paper, 0 to 1. Rasters are decoded beforehand, by layer. */
export function referencePixel(
  root: LayerGroup,
  rasters: ReadonlyMap<Layer, Raster>,
  x: number,
  y: number,
): Colour {
  const page = stack(root, rasters, x, y, clear);
  return [page[0] + 1 - page[3], page[1] + 1 - page[3], page[2] + 1 - page[3]];
}

function stack(
  group: LayerGroup,
  rasters: ReadonlyMap<Layer, Raster>,
  x: number,
  y: number,
  below: Premultiplied,
): Premultiplied {
  let result = below;
  for (let i = group.children.length - 1; i >= 0; i--) {
    const child = group.children[i];
    if (!child.visible) continue;
    if (child.kind === 'layer') {
      result = composite(child.blend, result, pixelOf(child, rasters.get(child), x, y));
    } else if (child.isolated || child.opacity < 1 || child.blend !== 'src-over') {
      const alone = stack(child, rasters, x, y, clear);
      const faded = alone.map((v) => v * child.opacity);
      result = composite(child.blend, result, [faded[0], faded[1], faded[2], faded[3]]);
    } else {
      result = stack(child, rasters, x, y, result);
    }
  }
  return result;
}

function pixelOf(layer: Layer, raster: Raster | undefined, x: number, y: number): Premultiplied {
  const column = x - layer.x;
  const row = y - layer.y;
  if (raster === undefined || column < 0 || row < 0 || column >= raster.width || row >= raster.height) {
    return clear;
  }
  const channels = channelsOf(raster);
  const at = (row * raster.width + column) * channels;
  const sample = (c: number): number => raster.data[at + c] / maxOf(raster);
  const alpha = (raster.alpha ? sample(channels - 1) : 1) * layer.opacity;
  const colour = raster.model === 'grey' ? [0, 0, 0] : [0, 1, 2];
  return [sample(colour[0]) * alpha, sample(colour[1]) * alpha, sample(colour[2]) * alpha, alpha];
}

/** Section 5 and 9: co = as Fa Cs + ab Fb Cb, after Cs was mixed with B(Cb, Cs) for the blend modes of section 10. */
export function composite(mode: BlendMode, b: Premultiplied, s: Premultiplied): Premultiplied {
  const [fa, fb] = fractions(mode, b[3], s[3]);
  if (mode === 'plus') {
    return [0, 1, 2, 3].map((c) => Math.min(1, s[c] + b[c])) as unknown as Premultiplied;
  }
  const backdrop = straight(b);
  const source = straight(s);
  const mixed = blend(mode, backdrop, source).map((v, c) => (1 - b[3]) * source[c] + b[3] * v);
  const out = mixed.map((v, c) => fa * s[3] * v + fb * b[c]);
  return [out[0], out[1], out[2], fa * s[3] + fb * b[3]];
}

function straight(p: Premultiplied): Colour {
  return p[3] === 0 ? [0, 0, 0] : [p[0] / p[3], p[1] / p[3], p[2] / p[3]];
}

function fractions(mode: BlendMode, ab: number, as: number): [number, number] {
  if (mode === 'dst-in') return [0, as];
  if (mode === 'dst-out') return [0, 1 - as];
  if (mode === 'src-atop') return [ab, 1 - as];
  if (mode === 'dst-atop') return [1 - ab, as];
  return [1, 1 - as];
}

/** Section 10: B(Cb, Cs), result within 0 to 1. */
function blend(mode: BlendMode, b: Colour, s: Colour): Colour {
  if (mode === 'hue') return setLum(setSat(s, sat(b)), lum(b));
  if (mode === 'saturation') return setLum(setSat(b, sat(s)), lum(b));
  if (mode === 'color') return setLum(s, lum(b));
  if (mode === 'luminosity') return setLum(b, lum(s));
  return [channel(mode, b[0], s[0]), channel(mode, b[1], s[1]), channel(mode, b[2], s[2])];
}

function channel(mode: BlendMode, b: number, s: number): number {
  if (mode === 'multiply') return b * s;
  if (mode === 'screen') return 1 - (1 - b) * (1 - s);
  if (mode === 'overlay') return channel('hard-light', s, b);
  if (mode === 'darken') return Math.min(b, s);
  if (mode === 'lighten') return Math.max(b, s);
  if (mode === 'color-dodge') return b === 0 ? 0 : s === 1 ? 1 : Math.min(1, b / (1 - s));
  if (mode === 'color-burn') return b === 1 ? 1 : s === 0 ? 0 : 1 - Math.min(1, (1 - b) / s);
  if (mode === 'hard-light') return s <= 0.5 ? b * 2 * s : channel('screen', b, 2 * s - 1);
  if (mode === 'difference') return Math.abs(b - s);
  if (mode === 'exclusion') return b + s - 2 * b * s;
  if (mode === 'soft-light') {
    if (s <= 0.5) return b - (1 - 2 * s) * b * (1 - b);
    const d = b <= 0.25 ? ((16 * b - 12) * b + 4) * b : Math.sqrt(b);
    return b + (2 * s - 1) * (d - b);
  }
  return s;
}

function lum(c: Colour): number {
  return 0.3 * c[0] + 0.59 * c[1] + 0.11 * c[2];
}

function sat(c: Colour): number {
  return Math.max(...c) - Math.min(...c);
}

function setLum(c: Colour, l: number): Colour {
  const d = l - lum(c);
  return clipColour([c[0] + d, c[1] + d, c[2] + d]);
}

function clipColour(c: Colour): Colour {
  const l = lum(c);
  const n = Math.min(...c);
  const x = Math.max(...c);
  let out = [...c];
  if (n < 0) out = out.map((v) => l + ((v - l) * l) / (l - n));
  if (x > 1) out = out.map((v) => l + ((v - l) * (1 - l)) / (x - l));
  return [out[0], out[1], out[2]];
}

/** With the channels sorted, as the standard writes it. */
function setSat(c: Colour, s: number): Colour {
  const order = [0, 1, 2].sort((p, q) => c[p] - c[q]);
  const [min, mid, max] = order;
  const out = [0, 0, 0];
  if (c[max] > c[min]) {
    out[mid] = ((c[mid] - c[min]) * s) / (c[max] - c[min]);
    out[max] = s;
  }
  out[min] = 0;
  return [out[0], out[1], out[2]];
}
