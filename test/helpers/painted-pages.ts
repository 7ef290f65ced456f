import type { Raster } from '../../pipeline/model/raster.js';
import { drawn, seeded } from './rasters.js';

/**
 * Pages that were painted, without any ink, as strangers send them: by code, from seeds. All are dark in places, down to
 * pure black in some, because that is where paint is taken for ink.
 */

type Rgb = readonly [number, number, number];

const clamp = (value: number) => Math.max(0, Math.min(255, Math.round(value)));
const mix = (a: Rgb, b: Rgb, share: number): Rgb => [
  a[0] + (b[0] - a[0]) * share,
  a[1] + (b[1] - a[1]) * share,
  a[2] + (b[2] - a[2]) * share,
];
/** 0 below the first edge, 1 above the second, smooth between. */
const smooth = (from: number, to: number, at: number) => {
  const share = Math.max(0, Math.min(1, (at - from) / (to - from)));
  return share * share * (3 - 2 * share);
};

/** Value noise: random numbers on a grid of `cell` pixels, smooth between them; 0 to 1. */
function valueNoise(seed: number, cell: number): (x: number, y: number) => number {
  const random = seeded(seed);
  const table = Float64Array.from({ length: 4096 }, () => random());
  const node = (x: number, y: number) => table[(x * 57 + y * 131) & 4095];
  return (x, y) => {
    const [column, row] = [Math.floor(x / cell), Math.floor(y / cell)];
    const [u, v] = [smooth(0, 1, x / cell - column), smooth(0, 1, y / cell - row)];
    const above = node(column, row) * (1 - u) + node(column + 1, row) * u;
    const below = node(column, row + 1) * (1 - u) + node(column + 1, row + 1) * u;
    return above * (1 - v) + below * v;
  };
}

/** Noise of several sizes, each half as strong as the one before. */
function clouds(seed: number, cell: number, octaves = 4): (x: number, y: number) => number {
  const layers = Array.from({ length: octaves }, (_, i) => valueNoise(seed + i, cell / 2 ** i));
  const whole = 2 - 2 ** (1 - octaves);
  return (x, y) => layers.reduce((sum, layer, i) => sum + layer(x, y) / 2 ** i, 0) / whole;
}

/** Grain of a normal distribution, nearly: the sum of three. */
function grainOf(seed: number): (deviation: number) => number {
  const random = seeded(seed);
  return (deviation) => (random() + random() + random() - 1.5) * 2 * deviation;
}

type Paint = (x: number, y: number) => Rgb;

interface Dab {
  readonly x: number;
  readonly y: number;
  readonly radius: number;
  readonly softness: number;
  readonly colour: Rgb;
}

/** Dabs of a brush over a ground, each with its own soft edge, darkest last. */
function dabs(seed: number, size: number, count: number, softness: number, palette: readonly Rgb[]): Paint {
  const random = seeded(seed);
  const all: Dab[] = Array.from({ length: count }, (_, i) => ({
    x: random() * size,
    y: random() * size,
    radius: size * (0.05 + 0.15 * random()),
    softness: softness * (0.6 + random()),
    colour: palette[Math.floor((i / count) * palette.length)],
  }));
  return (x, y) =>
    all.reduce<Rgb>(
      (under, { colour, softness: soft, ...dab }) => {
        const out = Math.hypot(x - dab.x, y - dab.y);
        return mix(colour, under, smooth(dab.radius - soft, dab.radius + soft, out));
      },
      [236, 226, 210],
    );
}

const darkEarth: readonly Rgb[] = [
  [200, 160, 120],
  [90, 110, 140],
  [60, 44, 40],
  [30, 26, 28],
  [16, 14, 15],
];

const photoLike = (size: number): Paint => {
  const [shapes, light, fine] = [clouds(31, size / 3, 6), clouds(47, size / 2), grainOf(5)];
  return (x, y) => {
    const tone = 340 * (shapes(x, y) * 0.75 + light(y, x) * 0.25) - 95 + fine(3);
    return [tone * 1.05 + 4, tone, tone * 0.92 - 2];
  };
};

const styles: Readonly<Record<string, (size: number) => Paint>> = {
  'soft brush': (size) => dabs(3, size, 26, 9, darkEarth),
  airbrush: (size) =>
    dabs(4, size, 14, size / 8, [
      [220, 120, 60],
      [60, 130, 190],
      [14, 12, 20],
      [0, 0, 0],
    ]),
  'grain on paint': (size) => {
    const [paint, grain] = [dabs(5, size, 22, 12, darkEarth), grainOf(8)];
    return (x, y) => {
      const noise = grain(11);
      return paint(x, y).map((value) => value + noise) as unknown as Rgb;
    };
  },
  'a night room': (size) => {
    const [walls, grain] = [clouds(11, size / 4), grainOf(9)];
    return (x, y) => {
      const lamp = Math.exp(-((x - size * 0.7) ** 2 + (y - size * 0.3) ** 2) / (size * size * 0.02));
      const tone = 30 * walls(x, y) + 6 + grain(2);
      return [tone + 190 * lamp, tone + 130 * lamp, tone * 1.15 + 60 * lamp];
    };
  },
  'watercolour on dark paper': (size) => {
    const [wash, paper, tooth] = [clouds(21, size / 3), clouds(22, 6), grainOf(3)];
    return (x, y) => {
      const ground = 18 + 22 * paper(x, y) + tooth(4);
      // Pigment gathers at the edge of a wash: a rim, darker inside than out.
      const wet = wash(x, y);
      const share = smooth(0.45, 0.55, wet) * (0.55 + 0.4 * smooth(0.62, 0.5, wet));
      return mix([ground, ground * 0.96, ground * 0.98], [150, 120, 170], share * (0.7 + 0.3 * paper(x, y)));
    };
  },
  pencil: (size) => {
    const [tooth, pressure] = [grainOf(14), clouds(15, size / 5)];
    return (x, y) => {
      const stroke = 0.5 + 0.5 * Math.sin((x + 0.6 * y) * 1.1 + 4 * pressure(x, y));
      const dark = 235 * smooth(0.35, 0.75, pressure(x, y)) * (0.45 + 0.55 * stroke);
      const tone = 246 - dark + (tooth(26) * dark) / 235;
      return [tone, tone, tone * 0.99];
    };
  },
  charcoal: (size) => {
    const [tooth, mass] = [valueNoise(18, 2.2), clouds(19, size / 3)];
    return (x, y) => {
      const taken = smooth(0.3, 0.9, mass(x, y) * 1.25 - 0.35 * tooth(x, y));
      const tone = 240 - 225 * taken * (0.7 + 0.3 * tooth(y, x));
      return [tone, tone * 0.99, tone * 0.97];
    };
  },
  'black reached by gradients': (size) => (x, y) => {
    const depth = Math.hypot(x - size * 0.45, y - size * 0.55) / (size * 0.5);
    const tone = 255 * smooth(0.35, 1, depth);
    return [tone, tone * 0.86, tone * 0.7];
  },
  'dark gradients': (size) => (x, y) => {
    const [across, down] = [x / size, y / size];
    return [70 * across * down + 2, 60 * across * (1 - down), 90 * down * across + 4];
  },
  'airbrushed machines': (size) => {
    const grain = grainOf(6);
    return (x, y) => {
      // Tubes, lit along their middle and black at their sides, before a nebula.
      const tube = (((x * 0.8 + y * 0.35) % (size / 5)) / (size / 5)) * 2 - 1;
      const lit = Math.max(0, 1 - tube * tube * 1.1) ** 1.5;
      const glow = 120 * Math.exp(-(((y - size / 2) / (size / 3)) ** 2));
      const noise = grain(1.2);
      return [lit * 150 + noise, lit * (90 + glow * 0.5) + noise, lit * (80 + glow) + noise + 3];
    };
  },
  'like a photograph': photoLike,
};

/** Names of the styles that `paintedPage` knows. */
export const paintedStyles = Object.keys(styles);

/** Pages, each painted once. */
const painted = new Map<string, Raster>();

/** A square page of one style, to be written to as its caller likes. */
export function paintedPage(style: string, size = 320): Raster {
  const name = `${style} ${size}`;
  const page = painted.get(name) ?? paint(style, size);
  painted.set(name, page);
  return { ...page, data: page.data.slice() };
}

function paint(style: string, size: number): Raster {
  const colourAt = styles[style](size);
  return drawn(size, size, 'rgb', (x, y) => colourAt(x, y).map(clamp));
}
