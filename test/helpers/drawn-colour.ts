import type { Raster } from '../../pipeline/model/raster.js';
import { inkMask } from './drawn-line.js';
import { colourOf, type Panel, type Scene, type Style } from './drawn-scene.js';
import { boxOf, closed, fill, grown, type Point } from './drawn-shapes.js';
import { seeded } from './rasters.js';

/** The colour of a drawn page, in its style. */

/** The colour of a scene. @param seed of what is left to chance in it */
export function paint(style: Style, scene: Scene, seed: number): Raster {
  const { width, height } = scene;
  const data = new Uint8Array(width * height * 3).fill(255);
  const raster: Raster = { width, height, model: 'rgb', alpha: false, data };
  if (style === 'white') return raster;
  const lay = (points: readonly Point[], panel: Panel | undefined, colour: readonly number[]) => {
    const clip = {
      left: Math.max(0, panel?.left ?? 0),
      top: Math.max(0, panel?.top ?? 0),
      right: Math.min(width, panel?.right ?? width),
      bottom: Math.min(height, panel?.bottom ?? height),
    };
    fill(points, clip, (y, from, to) => {
      for (let x = from; x < to; x++) data.set(colour, (y * width + x) * 3);
    });
  };
  const random = seeded(seed * 17 + 11);
  if (style === 'flat-colour') data.fill(187);
  else if (style === 'wash' || style === 'blooms' || style === 'grain') wash(raster, style, random);
  else if (style === 'stripes') stripes(raster);
  else if (style === 'tones') tones(raster);
  else if (style === 'shapes') shapes(raster, random, lay);
  else paintScene(style, scene, lay, random);
  if (style === 'painted') soften(raster, random);
  if (style === 'painted-in') {
    const mask = inkMask(style, scene, seed, {}, 2);
    for (let y = 0; y < height; y++)
      for (let x = 0; x < width; x++) {
        const a = y * 2 * width * 2 + x * 2;
        const cover = (mask[a] + mask[a + 1] + mask[a + width * 2] + mask[a + width * 2 + 1]) / 4;
        for (let c = 0; c < 3; c++) data[(y * width + x) * 3 + c] *= 1 - cover;
      }
  }
  return raster;
}

/** Hard shapes all over the page, without panels. */
function shapes(
  { width, height }: Raster,
  random: () => number,
  lay: (points: readonly Point[], panel: undefined, colour: readonly number[]) => void,
): void {
  for (let i = 0; i < 30; i++) {
    const middle: Point = [width * random(), height * random()];
    lay(closed(middle, 60 + 100 * random(), random), undefined, colourOf(random));
  }
}

function paintScene(
  style: Style,
  { panels, blobs, width }: Scene,
  lay: (points: readonly Point[], panel: Panel | undefined, colour: readonly number[]) => void,
  random: () => number,
): void {
  for (const panel of panels) lay(boxOf(panel), panel, panel.colour);
  for (const { points, colour, panel, trapPx } of blobs) {
    const clip = panels.length > 0 ? panel : undefined;
    if (style === 'sparse' && random() < 0.3) continue;
    const hue = style === 'manga' ? Array(3).fill(colour[0] > 170 ? 255 : colour[0]) : colour;
    const loose = style === 'painted' ? 2.5 : 0;
    const moved = points.map(
      ([x, y]) => [x + loose * (random() - 0.5), y + loose * (random() - 0.5)] as const,
    );
    lay(style === 'cel' ? grown(moved, trapPx) : moved, clip, hue);
    if (style !== 'cel') continue;
    const shade = closed([points[0][0] - width * 0.02, points[0][1]], 30, random);
    lay(
      shade,
      clip,
      hue.map((value) => value * 0.7),
    );
  }
}

/** Noise of a grain of so many pixels, -1 to 1. */
function noise(width: number, height: number, grainPx: number, random: () => number): Float32Array {
  const [cols, rows] = [Math.ceil(width / grainPx) + 2, Math.ceil(height / grainPx) + 2];
  const knots = Float32Array.from({ length: cols * rows }, () => random() * 2 - 1);
  const out = new Float32Array(width * height);
  for (let y = 0, i = 0; y < height; y++)
    for (let x = 0; x < width; x++, i++) {
      const [fx, fy] = [x / grainPx, y / grainPx];
      const [ix, iy] = [Math.floor(fx), Math.floor(fy)];
      const smooth = (t: number) => t * t * (3 - 2 * t);
      const [sx, sy] = [smooth(fx - ix), smooth(fy - iy)];
      const at = iy * cols + ix;
      out[i] =
        (knots[at] * (1 - sx) + knots[at + 1] * sx) * (1 - sy) +
        (knots[at + cols] * (1 - sx) + knots[at + cols + 1] * sx) * sy;
    }
  return out;
}

function wash({ width, height, data }: Raster, style: Style, random: () => number): void {
  const wide = noise(width, height, 160, random);
  const mid = noise(width, height, 40, random);
  const fine = noise(width, height, 3, random);
  for (let i = 0; i < width * height; i++) {
    const base = wide[i] + 0.4 * mid[i];
    // Blooms have hard drying edges; grain is paper.
    const level =
      style === 'blooms'
        ? Math.round(base * 3) / 3 + 0.04 * fine[i]
        : base + (style === 'grain' ? 0.5 : 0.03) * fine[i];
    data[3 * i] = 170 + 55 * level;
    data[3 * i + 1] = 180 + 40 * level;
    data[3 * i + 2] = 190 - 30 * level;
  }
}

function stripes({ width, height, data }: Raster): void {
  for (let y = 0, i = 0; y < height; y++)
    for (let x = 0; x < width; x++, i += 3) {
      data.set((x + 2 * y) % 180 < 90 ? [240, 200, 90] : [90, 160, 200], i);
    }
}

/** Coarse dots of a tone on the lower half of the page, laid beneath whatever is inked above. */
function tones({ width, height, data }: Raster): void {
  const [pitchPx, radiusPx] = [12, 4];
  const top = Math.floor(height / 2);
  for (let y = top, i = top * width * 3; y < height; y++)
    for (let x = 0; x < width; x++, i += 3) {
      const row = Math.round(y / pitchPx);
      const shift = row % 2 === 0 ? 0 : pitchPx / 2;
      const across = Math.round((x - shift) / pitchPx) * pitchPx + shift - x;
      const isDot = Math.hypot(across, row * pitchPx - y) < radiusPx;
      data.set(isDot ? [90, 90, 96] : [250, 244, 226], i);
    }
}

/** Soft brush: edges of some ten pixels, light from one side, a little grain. */
function soften({ width, height, data }: Raster, random: () => number): void {
  const line = new Float64Array(Math.max(width, height));
  const blur = (start: number, step: number, count: number) => {
    for (let i = 0; i < count; i++) line[i] = data[start + i * step];
    for (let i = 0; i < count; i++) {
      let sum = 0;
      for (let d = -3; d <= 3; d++) sum += line[Math.max(0, Math.min(count - 1, i + d))];
      data[start + i * step] = sum / 7;
    }
  };
  for (let pass = 0; pass < 2; pass++)
    for (let c = 0; c < 3; c++) {
      for (let y = 0; y < height; y++) blur(y * width * 3 + c, 3, width);
      for (let x = 0; x < width; x++) blur(x * 3 + c, width * 3, height);
    }
  const light = noise(width, height, 90, random);
  for (let i = 0; i < data.length; i++)
    data[i] = Math.max(0, Math.min(255, data[i] + 22 * light[Math.floor(i / 3)] + 8 * (random() - 0.5)));
}
