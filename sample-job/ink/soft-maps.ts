import { type Hex, rgbOf } from './colour.js';
import type { Pt } from './geometry.js';
import { noise2 } from './random.js';
import type { Grid, Region } from './region.js';

/** How much of a colour lands on a place, 0 to 1, by place in page units. */
export type Coverage = (x: number, y: number) => number;

/**
 * The soft half of the painting at a quarter of the page's resolution: washes over the flats, shadows that multiply,
 * glows that screen, sparks that add, and rims of light that cover. Everything here is blurred or graded, so a quarter loses nothing.
 */
export class SoftMaps {
  readonly size: number;
  /** Red, green, blue times alpha, then alpha, 0 to 1. */
  readonly wash: Float32Array;
  readonly shadow: Float32Array;
  readonly glow: Float32Array;
  readonly sparks: Float32Array;
  /** Light laid on opaquely, over everything else: red, green, blue times alpha, then alpha, 0 to 1. */
  readonly rims: Float32Array;

  constructor(readonly grid: Grid) {
    this.size = grid.width * grid.height;
    this.wash = new Float32Array(this.size * 4);
    this.shadow = new Float32Array(this.size * 3).fill(1);
    this.glow = new Float32Array(this.size * 3);
    this.sparks = new Float32Array(this.size * 3);
    this.rims = new Float32Array(this.size * 4);
  }

  /** A shape in front hides the washes and shadows behind it. */
  erase(region: Region): void {
    this.eachRun(region, (from, to) => {
      this.wash.fill(0, from * 4, to * 4);
      this.shadow.fill(1, from * 3, to * 3);
    });
  }

  layWash(region: Region, colour: Hex, coverage: Coverage): void {
    coverInto(this.wash, this, region, colour, coverage);
  }

  layRim(region: Region, colour: Hex, coverage: Coverage): void {
    coverInto(this.rims, this, region, colour, coverage);
  }

  /** Multiplies by a colour: the colour of the light that still reaches the shadow. */
  layShadow(region: Region, colour: Hex, coverage: Coverage): void {
    const [r, g, b] = rgbOf(colour).map((v) => v / 255);
    const { shadow } = this;
    this.eachPixel(region, coverage, (at, a) => {
      const i = at * 3;
      shadow[i] *= 1 - a * (1 - r);
      shadow[i + 1] *= 1 - a * (1 - g);
      shadow[i + 2] *= 1 - a * (1 - b);
    });
  }

  layGlow(region: Region, colour: Hex, coverage: Coverage): void {
    screenInto(this.glow, this, region, colour, coverage);
  }

  laySpark(region: Region, colour: Hex, coverage: Coverage): void {
    screenInto(this.sparks, this, region, colour, coverage);
  }

  /** Grain of a dry brush and of the paper's tooth, so that no field of colour is dead flat. */
  layGrain(strength: number, seed: number): void {
    const { width, height } = this.grid;
    const { shadow } = this;
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        const broad = noise2(x / 90, y / 60, seed);
        const streak = noise2(x / 26, y / 5, seed + 1);
        const tooth = noise2(x / 2.3, y / 2.3, seed + 2);
        const level = 1 - strength * Math.max(0, 0.45 + 0.35 * broad + 0.3 * streak + 0.3 * tooth);
        const i = (y * width + x) * 3;
        shadow[i] *= level;
        shadow[i + 1] *= level;
        shadow[i + 2] *= level;
      }
    }
  }

  eachPixel(region: Region, coverage: Coverage, put: (at: number, alpha: number) => void): void {
    const { width, scale } = this.grid;
    this.eachRun(region, (from, to) => {
      const y = Math.floor(from / width);
      const rowStart = y * width;
      for (let at = from; at < to; at++) {
        const a = coverage((at - rowStart + 0.5) / scale, (y + 0.5) / scale);
        if (a > 0) put(at, Math.min(a, 1));
      }
    });
  }

  private eachRun({ top, rows, spans }: Region, put: (from: number, to: number) => void): void {
    for (let row = 0; row + 1 < rows.length; row++) {
      const start = (top + row) * this.grid.width;
      for (let i = rows[row]; i < rows[row + 1]; i += 2) put(start + spans[i], start + spans[i + 1]);
    }
  }
}

function coverInto(map: Float32Array, maps: SoftMaps, region: Region, colour: Hex, coverage: Coverage): void {
  const [r, g, b] = rgbOf(colour).map((v) => v / 255);
  maps.eachPixel(region, coverage, (at, a) => {
    const keep = 1 - a;
    const i = at * 4;
    map[i] = map[i] * keep + r * a;
    map[i + 1] = map[i + 1] * keep + g * a;
    map[i + 2] = map[i + 2] * keep + b * a;
    map[i + 3] = map[i + 3] * keep + a;
  });
}

function screenInto(
  map: Float32Array,
  maps: SoftMaps,
  region: Region,
  colour: Hex,
  coverage: Coverage,
): void {
  const [r, g, b] = rgbOf(colour).map((v) => v / 255);
  maps.eachPixel(region, coverage, (at, a) => {
    const i = at * 3;
    map[i] = 1 - (1 - map[i]) * (1 - r * a);
    map[i + 1] = 1 - (1 - map[i + 1]) * (1 - g * a);
    map[i + 2] = 1 - (1 - map[i + 2]) * (1 - b * a);
  });
}

/** Coverage that grows evenly from one point to another. */
export function along(from: Pt, to: Pt, start: number, end: number): Coverage {
  const dx = to[0] - from[0];
  const dy = to[1] - from[1];
  const span = dx * dx + dy * dy;
  return (x, y) => {
    const t = ((x - from[0]) * dx + (y - from[1]) * dy) / span;
    return start + (end - start) * (t < 0 ? 0 : Math.min(t, 1));
  };
}

/** Coverage that falls off around a point, round or stretched. */
export function around(centre: Pt, rx: number, strength: number, ry = rx): Coverage {
  return (x, y) => {
    const u = (x - centre[0]) / rx;
    const v = (y - centre[1]) / ry;
    const d = 1 - u * u - v * v;
    return d > 0 ? strength * d * d : 0;
  };
}

/** Coverage of a beam that widens on its way to `spread` either side and fades to nothing at its end. */
export function beamed(from: Pt, to: Pt, spread: number, strength: number): Coverage {
  const dx = to[0] - from[0];
  const dy = to[1] - from[1];
  const length = Math.hypot(dx, dy);
  return (x, y) => {
    const t = ((x - from[0]) * dx + (y - from[1]) * dy) / length / length;
    if (t <= 0 || t >= 1) return 0;
    const half = spread * (beamRoot + (1 - beamRoot) * t);
    const aside = ((y - from[1]) * dx - (x - from[0]) * dy) / length / half;
    const across = 1 - aside * aside;
    return across > 0 ? strength * across * across * (1 - t) * Math.min(1, t * beamRise) : 0;
  };
}

/** Half the width of a beam where it leaves its lamp, as a share of what it has at its end. */
const beamRoot = 0.08;

/** A beam is at its full strength after one part in so many of its way. */
const beamRise = 20;

/** Coverage of a shape's mask after blurring it: three box blurs come close to a Gaussian. */
export function blurred(region: Region, grid: Grid, radius: number, strength: number): Coverage {
  const r = Math.max(1, Math.round(radius * grid.scale * 0.6));
  const pad = 3 * r + 1;
  const bounds = regionBounds(region);
  const width = bounds.x1 - bounds.x0 + 2 * pad;
  const height = bounds.y1 - bounds.y0 + 2 * pad;
  if (width <= 2 * pad) return () => 0;
  const mask = new Float32Array(width * height);
  for (let row = 0; row + 1 < region.rows.length; row++)
    for (let i = region.rows[row]; i < region.rows[row + 1]; i += 2) {
      const start = (region.top + row - bounds.y0 + pad) * width + pad - bounds.x0;
      mask.fill(strength, start + region.spans[i], start + region.spans[i + 1]);
    }
  const spare = new Float32Array(mask.length);
  for (let pass = 0; pass < 3; pass++) {
    boxBlur(mask, spare, width, height, r, 1, width);
    boxBlur(spare, mask, height, width, r, width, 1);
  }
  return (x, y) => {
    const px = Math.floor(x * grid.scale) - bounds.x0 + pad;
    const py = Math.floor(y * grid.scale) - bounds.y0 + pad;
    return px >= 0 && py >= 0 && px < width && py < height ? mask[py * width + px] : 0;
  };
}

function boxBlur(
  from: Float32Array,
  to: Float32Array,
  length: number,
  lanes: number,
  radius: number,
  step: number,
  laneStep: number,
): void {
  const weight = 1 / (2 * radius + 1);
  for (let lane = 0; lane < lanes; lane++) {
    const base = lane * laneStep;
    let sum = 0;
    for (let i = 0; i <= radius && i < length; i++) sum += from[base + i * step];
    for (let i = 0; i < length; i++) {
      to[base + i * step] = sum * weight;
      if (i + radius + 1 < length) sum += from[base + (i + radius + 1) * step];
      if (i - radius >= 0) sum -= from[base + (i - radius) * step];
    }
  }
}

function regionBounds({ top, rows, spans }: Region): { x0: number; y0: number; x1: number; y1: number } {
  let x0 = Infinity;
  let x1 = 0;
  for (let i = 0; i < spans.length; i += 2) {
    if (spans[i] < x0) x0 = spans[i];
    if (spans[i + 1] > x1) x1 = spans[i + 1];
  }
  return { x0: Number.isFinite(x0) ? x0 : 0, y0: top, x1: Math.max(x1, 0), y1: top + rows.length - 1 };
}
