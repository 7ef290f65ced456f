import type { KernelMemory } from '../kernels/kernel-memory.js';
import { type Bitmap, channelsOf, maxOf, type Plate, type Raster } from '../model/raster.js';
import { emptyBitmap, lowestBit, wordsOf } from './bitmap.js';
import type { InkLevel } from './edge-counts.js';
import { grow, shrink } from './morphology.js';

/**
 * The soft edge of lifted ink. What is lifted there is a guess, and the picture decides: ink of that amount over the colour
 * beneath has to show what the picture showed.
 */

/** Pixels around the ink that its soft edge and the filling may change (fill-beneath.ts: one of the edge, and two more). */
const ringsPx = 3;

/**
 * Ink over colour may miss the picture by so much of 255, by more where the ink itself is noisy, and by twice as much where the
 * pixel is nearly ink: there its colour is noise. Our own choice.
 */
const mostOff = 8;
const moreOfNoise = 1.5;

/** Less ink than this share is none. */
const leastAmount = 0.03;

/** Further out an edge only goes on where it fades by at least this share from pixel to pixel; what stays is dark paint. */
const leastFading = 0.1;

/** Unless it is nearly ink: a stroke that JPEG made brighter in places. */
const nearlyInk = 0.75;

/**
 * Adds the soft pixels beside the ink: how much darker each is than the pixel behind it, seen from the ink. Only that direction
 * counts, so that a dark colour beside a thin line is not taken for ink because paper lies across the line.
 * @param line full ink where the core is; changed in place
 * @param picture rgb or grey without alpha
 */
export function soften(
  line: Plate,
  core: Bitmap,
  picture: Raster,
  ink: InkLevel,
  memory: KernelMemory,
): void {
  const { width, height, data } = line;
  const add = (soft: number, behind: number) => {
    if (data[soft] === 255) return;
    const [here, there] = [brightest(picture, soft), brightest(picture, behind)];
    if (there <= here || there <= ink.level) return;
    const share = Math.min(254, Math.round((255 * (there - here)) / (there - ink.level)));
    if (share > data[soft]) data[soft] = share;
  };
  inner(core, memory, (x, y, i) => {
    if (x > 0) add(i - 1, x > 1 ? i - 2 : i - 1);
    if (x < width - 1) add(i + 1, x < width - 2 ? i + 2 : i + 1);
    if (y > 0) add(i - width, y > 1 ? i - 2 * width : i - width);
    if (y < height - 1) add(i + width, y < height - 2 ? i + 2 * width : i + width);
  });
}

/** Calls `work` for each pixel along the border of a mask, within it. */
function inner(mask: Bitmap, memory: KernelMemory, work: (x: number, y: number, i: number) => void): void {
  const border = emptyBitmap(mask);
  const [words, all, within] = [wordsOf(border), wordsOf(mask), wordsOf(shrink(mask, 1, memory))];
  for (let i = 0; i < words.length; i++) words[i] = all[i] & ~within[i];
  eachSet(border, work);
}

function eachSet(mask: Bitmap, work: (x: number, y: number, i: number) => void): void {
  const words = wordsOf(mask);
  const wordsInRow = mask.rowBytes >> 2;
  for (let at = 0; at < words.length; at++) {
    if (words[at] === 0) continue;
    const y = Math.floor(at / wordsInRow);
    const left = (at - y * wordsInRow) * 32;
    for (let rest = words[at]; rest !== 0; rest &= rest - 1) {
      const x = left + lowestBit(rest);
      work(x, y, y * mask.width + x);
    }
  }
}

/** The brightest channel of a pixel, 0 to 255. */
function brightest(picture: Raster, i: number): number {
  const { data } = picture;
  const shift = maxOf(picture) === 255 ? 0 : 8;
  if (channelsOf(picture) === 1) return data[i] >> shift;
  return Math.max(data[3 * i], data[3 * i + 1], data[3 * i + 2]) >> shift;
}

/** Pixels at one distance from the ink, by index, and what the picture showed there. */
interface Ring {
  readonly pixels: Int32Array;
  readonly shown: Uint8Array | Uint16Array;
}

/** Remembers what a picture shows around ink, ring by ring from the ink outwards. */
export function keepRings(core: Bitmap, picture: Raster, memory: KernelMemory): Ring[] {
  const rings: Ring[] = [];
  let within = core;
  for (let distance = 1; distance <= ringsPx; distance++) {
    const to = grow(core, distance, memory);
    rings.push(ringOf(to, within, picture));
    within = to;
  }
  return rings;
}

function ringOf(to: Bitmap, within: Bitmap, picture: Raster): Ring {
  const ring = emptyBitmap(to);
  const [words, outer, inside] = [wordsOf(ring), wordsOf(to), wordsOf(within)];
  for (let i = 0; i < words.length; i++) words[i] = outer[i] & ~inside[i];
  const found: number[] = [];
  eachSet(ring, (_x, _y, i) => found.push(i));
  const channels = channelsOf(picture);
  const { data } = picture;
  const shown =
    data instanceof Uint8Array
      ? new Uint8Array(found.length * channels)
      : new Uint16Array(found.length * channels);
  for (let k = 0, at = 0; k < found.length; k++) {
    for (let j = found[k] * channels; j < (found[k] + 1) * channels; j++) shown[at++] = data[j];
  }
  return { pixels: Int32Array.from(found), shown };
}

/**
 * Holds the soft edge against what the picture showed, once the colour beneath is filled in. Where no amount of ink over that
 * colour shows it, the pixel gets its own colour back, and no ink: no paper is inked, and nothing dark becomes paper.
 * @param line its amounts around the ink are changed in place
 * @param picture the colour beneath, changed in place
 */
export function settle(line: Plate, rings: readonly Ring[], picture: Raster, ink: InkLevel): void {
  const edge = new Edge(picture, ink);
  for (const [distance, { pixels, shown }] of rings.entries()) {
    for (let k = 0; k < pixels.length; k++) {
      const i = pixels[k];
      const nearest = distance === 0 ? 1 : nearestAmount(line, i) / 255;
      const most = nearest >= nearlyInk ? 1 : nearest - leastFading;
      line.data[i] = Math.round(255 * edge.settle(i, shown, k, most));
    }
  }
}

/** The most ink on the pixels around one: those that are nearer to the ink are settled already. */
function nearestAmount({ width, height, data }: Plate, i: number): number {
  const x = i % width;
  const y = (i - x) / width;
  let most = 0;
  for (let v = Math.max(0, y - 1); v <= Math.min(height - 1, y + 1); v++) {
    for (let u = Math.max(0, x - 1); u <= Math.min(width - 1, x + 1); u++) {
      if (v !== y || u !== x) most = Math.max(most, data[v * width + u]);
    }
  }
  return most;
}

/** Settles single pixels. */
class Edge {
  private readonly channels: number;
  private readonly scale: number;
  private readonly black: number;
  private readonly off: number;

  constructor(
    private readonly picture: Raster,
    private readonly ink: InkLevel,
  ) {
    this.channels = channelsOf(picture);
    this.scale = maxOf(picture) / 255;
    this.black = ink.level * this.scale;
    this.off = (mostOff + moreOfNoise * (ink.to - ink.level)) * this.scale;
  }

  /** @returns the amount of ink, 0 to 1, that shows over the colour what was shown; 0 where none does, and the colour is put back */
  settle(i: number, shown: Ring['shown'], k: number, most: number): number {
    const { channels, black } = this;
    const { data } = this.picture;
    const [from, at] = [k * channels, i * channels];
    let [before, beneath] = [0, 0];
    for (let c = 0; c < channels; c++) {
      before = Math.max(before, shown[from + c]);
      beneath = Math.max(beneath, data[at + c]);
    }
    const amount = beneath <= black ? 0 : Math.min(1, (beneath - before) / (beneath - black));
    const isPaint = before <= this.ink.to * this.scale;
    const isInk = !isPaint && amount >= leastAmount && amount <= most;
    if (isInk && (this.shows(at, shown, from, amount) || this.unmixed(at, shown, from, amount)))
      return amount;
    for (let c = 0; c < channels; c++) data[at + c] = shown[from + c];
    return 0;
  }

  /** Whether ink over the colour beneath shows what was shown. */
  private shows(at: number, shown: Ring['shown'], from: number, amount: number): boolean {
    const off = amount >= nearlyInk ? 2 * this.off : this.off;
    for (let c = 0; c < this.channels; c++) {
      const seen = this.picture.data[at + c] * (1 - amount) + this.black * amount;
      if (Math.abs(seen - shown[from + c]) > off) return false;
    }
    return true;
  }

  /** Takes the ink out of what was shown, where the rest is a colour: it is what was beneath. */
  private unmixed(at: number, shown: Ring['shown'], from: number, amount: number): boolean {
    if (amount > 0.9) return false;
    const full = 255 * this.scale;
    const off = this.off / (1 - amount);
    for (let c = 0; c < this.channels; c++) {
      const colour = (shown[from + c] - this.black * amount) / (1 - amount);
      if (colour < -off || colour > full + off) return false;
    }
    for (let c = 0; c < this.channels; c++) {
      const colour = (shown[from + c] - this.black * amount) / (1 - amount);
      this.picture.data[at + c] = Math.max(0, Math.min(full, Math.round(colour)));
    }
    return true;
  }
}
