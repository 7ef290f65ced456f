import type { SizePx } from '../../../config/units.js';

/** Layers as colourists leave them, drawn from a seed: washes over the whole page, soft and hard patches, paper grain. */

/** Pixels of one layer and where they lie on the page. */
export interface DrawnLayer extends SizePx {
  readonly x: number;
  readonly y: number;
  /** 3: opaque; 4: with straight alpha. */
  readonly channels: 3 | 4;
  readonly data: Uint8Array;
}

export type Random = () => number;
type Colour = readonly [number, number, number];

/** Patches of a layer: ellipses of one colour, scattered over the page. */
export interface Patches {
  readonly count: number;
  /** Radii as shares of the page's width. */
  readonly least: number;
  readonly most: number;
  readonly colours: readonly Colour[];
  /** 0 to 255, in the middle of a patch. */
  readonly alpha: number;
  /** Fades out to its rim, as an airbrush does; else it has a hard edge, as a lasso does. */
  readonly soft: boolean;
}

interface Patch {
  readonly x: number;
  readonly y: number;
  readonly radius: number;
  readonly stretch: number;
  readonly colour: Colour;
}

/** A layer of the whole page, transparent but for its patches. Where two meet, the stronger one counts. */
export function drawPatches(size: SizePx, random: Random, patches: Patches): DrawnLayer {
  const data = new Uint8Array(size.width * size.height * 4);
  for (let count = 0; count < patches.count; count++) {
    const { colours, least, most } = patches;
    const patch: Patch = {
      x: random() * size.width,
      y: random() * size.height,
      radius: (least + (most - least) * random()) * size.width,
      stretch: 0.5 + random() * 1.5,
      colour: colours[Math.floor(random() * colours.length)],
    };
    for (
      let y = Math.max(0, Math.ceil(patch.y - patch.radius));
      y < Math.min(size.height, patch.y + patch.radius);
      y++
    ) {
      drawPatchRow(data, size.width, y, patch, patches);
    }
  }
  return { ...size, x: 0, y: 0, channels: 4, data };
}

function drawPatchRow(data: Uint8Array, width: number, y: number, patch: Patch, patches: Patches): void {
  const { radius, stretch, colour } = patch;
  const half = Math.sqrt(Math.max(0, radius * radius - (y - patch.y) ** 2)) * stretch;
  const start = Math.max(0, Math.ceil(patch.x - half));
  for (let x = start, at = (y * width + start) * 4; x < Math.min(width, patch.x + half); x++, at += 4) {
    const near = Math.max(0, 1 - Math.hypot((x - patch.x) / stretch, y - patch.y) / radius);
    const alpha = patches.soft ? Math.round(patches.alpha * near * near * (3 - 2 * near)) : patches.alpha;
    if (alpha <= data[at + 3]) continue;
    data[at] = colour[0];
    data[at + 1] = colour[1];
    data[at + 2] = colour[2];
    data[at + 3] = alpha;
  }
}

/** Cells of a wash, and how light it is: multiplied, it darkens a little everywhere. */
const washCells = 6;
const washLightest = 255;
const washDarkest = 170;

/** An opaque layer of soft tones that run into each other over the whole page, with the grain of a brush. */
export function drawWash({ width, height }: SizePx, random: Random): DrawnLayer {
  const tones = Array.from({ length: (washCells + 1) ** 2 * 3 }, () => {
    return washDarkest + (washLightest - washDarkest) * random();
  });
  const data = new Uint8Array(width * height * 3);
  for (let y = 0, at = 0; y < height; y++) {
    const down = (y / height) * washCells;
    const row = Math.floor(down);
    for (let x = 0; x < width; x++) {
      const across = (x / width) * washCells;
      const column = Math.floor(across);
      const grain = random() < 0.15 ? 2 : 0;
      for (let channel = 0; channel < 3; channel++, at++) {
        const from = (row * (washCells + 1) + column) * 3 + channel;
        const above = tones[from] + (tones[from + 3] - tones[from]) * (across - column);
        const next = from + (washCells + 1) * 3;
        const below = tones[next] + (tones[next + 3] - tones[next]) * (across - column);
        data[at] = above + (below - above) * (down - row) - grain;
      }
    }
  }
  return { width, height, x: 0, y: 0, channels: 3, data };
}

/** Side of a grain in pixels, and how many tones it has: scanned paper, reduced to a few greys. */
const grainPx = 3;
const grainTones = 6;

/** The grain of paper over the whole page, grey, opaque. */
export function drawGrain({ width, height }: SizePx, random: Random): DrawnLayer {
  const data = new Uint8Array(width * height * 4).fill(255);
  const grains = new Uint8Array(Math.ceil(width / grainPx));
  for (let y = 0, at = 0; y < height; y++) {
    if (y % grainPx === 0) {
      for (let i = 0; i < grains.length; i++) grains[i] = 104 + Math.floor(random() * grainTones) * 10;
    }
    for (let x = 0; x < width; x++, at += 4) data.fill(grains[Math.floor(x / grainPx)], at, at + 3);
  }
  return { width, height, x: 0, y: 0, channels: 4, data };
}

/**
 * Inks on a transparent ground, from a page's line: black, with the edge of a brush, which covers pixels in part.
 * @param line 0 ink, 255 paper
 */
export function drawInks({ width, height }: SizePx, line: Uint8Array): DrawnLayer {
  const data = new Uint8Array(width * height * 4);
  for (let y = 0; y < height; y++) {
    const [up, down] = [Math.max(0, y - 1) * width, Math.min(height - 1, y + 1) * width];
    for (let x = 0, at = y * width; x < width; x++, at++) {
      // The pixel itself counts four times, its neighbours once each: half covered stays where the line's edge was.
      const [left, right] = [x > 0 ? at - 1 : at, x < width - 1 ? at + 1 : at];
      const light = (4 * line[at] + line[up + x] + line[down + x] + line[left] + line[right]) / 8;
      data[at * 4 + 3] = 255 - light;
    }
  }
  return { width, height, x: 0, y: 0, channels: 4, data };
}

/** The part of a layer outside which it is transparent, as programs that crop layers save it. */
export function cropped(layer: DrawnLayer): DrawnLayer {
  const { width, height, data } = layer;
  let [left, right, top, bottom] = [width, -1, height, -1];
  for (let y = 0; y < height; y++) {
    let first = 0;
    while (first < width && data[(y * width + first) * 4 + 3] === 0) first++;
    if (first === width) continue;
    let last = width - 1;
    while (data[(y * width + last) * 4 + 3] === 0) last--;
    [left, right, top, bottom] = [Math.min(left, first), Math.max(right, last), Math.min(top, y), y];
  }
  if (right < 0) return layer;
  const part = { width: right - left + 1, height: bottom - top + 1 };
  const cut = new Uint8Array(part.width * part.height * 4);
  for (let y = 0; y < part.height; y++) {
    const from = ((top + y) * width + left) * 4;
    cut.set(data.subarray(from, from + part.width * 4), y * part.width * 4);
  }
  return { ...part, x: layer.x + left, y: layer.y + top, channels: 4, data: cut };
}
