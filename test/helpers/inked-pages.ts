import sharp from 'sharp';
import type { Plate, Raster } from '../../pipeline/model/raster.js';
import { drawn, seeded } from './rasters.js';

/** Pages with ink over colour, drawn by code at four times their size, and the inks that they were made from. */

/** Ink is drawn so much finer than the page, and brought down by area: the soft edge of any drawing program. */
const finer = 4;

type Rgb = readonly [number, number, number];

/** A drawing of ink, at `finer` times the size of its page. */
class Inks {
  readonly side: number;
  readonly data: Uint8Array;

  constructor(readonly size: number) {
    this.side = size * finer;
    this.data = new Uint8Array(this.side * this.side);
  }

  /** A disc; all lengths in pixels of the page. */
  dot(x: number, y: number, radius: number, ink = 1): void {
    const [cx, cy, r] = [x * finer, y * finer, radius * finer];
    for (let v = Math.max(0, Math.floor(cy - r)); v <= Math.min(this.side - 1, cy + r); v++) {
      for (let u = Math.max(0, Math.floor(cx - r)); u <= Math.min(this.side - 1, cx + r); u++) {
        if ((u + 0.5 - cx) ** 2 + (v + 0.5 - cy) ** 2 <= r * r) this.data[v * this.side + u] = ink;
      }
    }
  }

  /** A stroke along a curve, as wide as it is told at each of its points. */
  stroke(at: (share: number) => readonly [number, number], widthAt: (share: number) => number): void {
    const [from, to] = [at(0), at(1)];
    const steps = Math.ceil(6 * Math.hypot(to[0] - from[0], to[1] - from[1])) + 60;
    for (let i = 0; i <= steps; i++) {
      const [x, y] = at(i / steps);
      this.dot(x, y, widthAt(i / steps) / 2);
    }
  }

  /** Share of each pixel of the page that is ink, 0 to 1. */
  coverage(): Float64Array {
    const shares = new Float64Array(this.size * this.size);
    for (let i = 0; i < this.data.length; i++) {
      const [x, y] = [Math.floor((i % this.side) / finer), Math.floor(i / this.side / finer)];
      shares[y * this.size + x] += this.data[i] / finer / finer;
    }
    return shares;
  }
}

type Drawing = (inks: Inks) => void;

const curve =
  (x0: number, y0: number, x1: number, y1: number, bend: number) =>
  (share: number): readonly [number, number] => [
    x0 + (x1 - x0) * share + bend * Math.sin(Math.PI * share) * ((y1 - y0) / Math.hypot(x1 - x0, y1 - y0)),
    y0 + (y1 - y0) * share - bend * Math.sin(Math.PI * share) * ((x1 - x0) / Math.hypot(x1 - x0, y1 - y0)),
  ];

const frame: Drawing = (inks) => {
  const { size } = inks;
  const corners = [0.05, 0.95].map((share) => Math.round(share * size));
  for (const at of corners) {
    inks.stroke(curve(corners[0], at, corners[1], at, 0), () => 4);
    inks.stroke(curve(at, corners[0], at, corners[1], 0), () => 4);
  }
};

const drawings: Readonly<Record<string, Drawing>> = {
  brush: (inks) => {
    const random = seeded(2);
    frame(inks);
    for (let i = 0; i < 14; i++) {
      const ends = [0, 0, 0, 0].map(() => inks.size * (0.08 + 0.84 * random())) as [
        number,
        number,
        number,
        number,
      ];
      const wide = 4 + 9 * random();
      inks.stroke(
        curve(...ends, 40 * (random() - 0.5)),
        (share) => 1.5 + wide * Math.sin(Math.PI * share) ** 1.5,
      );
    }
  },
  pen: (inks) => {
    const random = seeded(3);
    for (let i = 0; i < 40; i++) {
      const ends = [0, 0, 0, 0].map(() => inks.size * random()) as [number, number, number, number];
      inks.stroke(curve(...ends, 30 * (random() - 0.5)), () => 1.6 + 1.6 * random());
    }
  },
  hatching: (inks) => {
    const { size } = inks;
    for (let i = 0; i < size; i += 7) {
      inks.stroke(curve(i, size * 0.1, i + size * 0.2, size * 0.5, 3), (share) => 1.4 + 2.2 * share);
      if (i > size / 3) inks.stroke(curve(i, size * 0.55, i - size * 0.3, size * 0.9, 2), () => 2.6);
      if (i > size / 2) inks.stroke(curve(size * 0.5, i, size, i + 12, 4), () => 2);
    }
  },
  'spotted blacks': (inks) => {
    const random = seeded(4);
    frame(inks);
    for (let i = 0; i < 7; i++) {
      const [x, y, radius] = [random(), random(), 0.05 + 0.1 * random()].map((share) => share * inks.size);
      for (let lobe = 0; lobe < 6; lobe++)
        inks.dot(x + radius * Math.cos(lobe), y + radius * Math.sin(lobe * 1.7), radius);
      inks.dot(x + 3, y - 4, radius * 0.3, 0);
    }
  },
  'screened tone': (inks) => {
    const { size } = inks;
    frame(inks);
    for (let row = 0; row * 4.2 < size; row++) {
      for (let column = 0; column * 6 < size; column++) {
        const [x, y] = [column * 6 + (row % 2) * 3, row * 4.2];
        inks.dot(x, y, 1.2 + (1.4 * y) / size);
      }
    }
  },
};

/** Names of the drawings of ink. */
export const inkStyles = Object.keys(drawings);

const grounds: Readonly<Record<string, (size: number) => (x: number, y: number) => Rgb>> = {
  bright: () => (x, y) => (((x >> 6) + (y >> 6)) % 2 === 0 ? [246, 214, 120] : [150, 205, 235]),
  paper: () => () => [255, 255, 255],
  'night in flat colour': () => (x, y) => (((x >> 6) + (y >> 6)) % 2 === 0 ? [30, 36, 78] : [52, 44, 66]),
  'dark neutral': () => (x, y) => (((x >> 6) + (y >> 6)) % 2 === 0 ? [52, 50, 56] : [84, 80, 84]),
  gradient: (size) => (x, y) => [60 + (160 * x) / size, 90 + (60 * y) / size, 200 - (150 * x) / size],
  painted: (size) => (x, y) => [
    150 + 60 * Math.sin(x / 19) + 20 * Math.sin(y / 7),
    130 + 50 * Math.sin((x + y) / 23),
    110 + (80 * y) / size,
  ],
};

/** Names of the colours beneath. */
export const inkGrounds = Object.keys(grounds);

export interface InkedPage {
  readonly page: Raster;
  /** What was drawn: 255 where at least half of a pixel is ink. */
  readonly inks: Plate;
}

/** Drawings, each made once: their many dots take longer than what is tried on them. */
const drawnShares = new Map<string, Float64Array>();

/** Share of each pixel that a drawing inks, 0 to 1. Not to be written to. */
function sharesOf(style: string, size: number): Float64Array {
  const name = `${style} ${size}`;
  const known = drawnShares.get(name);
  if (known !== undefined) return known;
  const inks = new Inks(size);
  drawings[style](inks);
  const shares = inks.coverage();
  drawnShares.set(name, shares);
  return shares;
}

/**
 * A square page of ink over colour.
 * @param black the colour of the ink; (35, 31, 32) is what black ink taken to rgb by common conversions looks like
 */
export function inkedPage(style: string, ground: string, black: Rgb = [0, 0, 0], size = 320): InkedPage {
  const shares = sharesOf(style, size);
  const colourAt = grounds[ground](size);
  const page = drawn(size, size, 'rgb', (x, y) => {
    const share = shares[y * size + x];
    return colourAt(x, y).map((value, i) => Math.round(value * (1 - share) + black[i] * share));
  });
  return {
    page,
    inks: { width: size, height: size, data: Uint8Array.from(shares, (share) => (share >= 0.5 ? 255 : 0)) },
  };
}

/** A picture as it comes back from a JPEG file. */
export async function asJpeg({ width, height, data }: Raster, quality: number): Promise<Raster> {
  const file = await sharp(data, { raw: { width, height, channels: 3 } })
    .jpeg({ quality })
    .toBuffer();
  return {
    width,
    height,
    model: 'rgb',
    alpha: false,
    data: new Uint8Array(await sharp(file).raw().toBuffer()),
  };
}

/**
 * Share of the ink of one plate that lies within a pixel of ink of the other, 0 to 1.
 * @param isInk ink amounts from this on are ink; default 128, half
 */
export function shareNear(one: Plate, other: Plate, isInk = 128): number {
  const { width, height } = one;
  let [all, near] = [0, 0];
  for (let i = 0; i < one.data.length; i++) {
    if (one.data[i] < isInk) continue;
    all++;
    const [x, y] = [i % width, Math.floor(i / width)];
    search: for (let v = Math.max(0, y - 1); v <= Math.min(height - 1, y + 1); v++) {
      for (let u = Math.max(0, x - 1); u <= Math.min(width - 1, x + 1); u++) {
        if (other.data[v * width + u] < isInk) continue;
        near++;
        break search;
      }
    }
  }
  return all === 0 ? 1 : near / all;
}
