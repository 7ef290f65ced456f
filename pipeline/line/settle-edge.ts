import { channelsOf, maxOf, type Plate, type Raster } from '../model/raster.js';
import type { InkLevel } from './edge-counts.js';
import type { Ring } from './lift-edge.js';

/**
 * What was lifted along the edge of ink is a guess, and the picture decides: ink of that amount over the colour beneath has to
 * show what the picture showed.
 */

/**
 * Ink over colour may miss the picture by so much of 255. By more where the ink itself is of more tones than on a clean page, for
 * each level of them; and by as much again where the pixel is nearly ink: there its colour is noise. Our own choice.
 */
const mostOff = 8;
const cleanLevels = 3;
const moreOfNoise = 1.5;

/** Less ink than this share is none. */
const leastAmount = 0.03;

/** Further out an edge only goes on where it fades by at least this share from pixel to pixel; what stays is dark paint. */
const leastFading = 0.1;

/** Unless it is nearly ink: a stroke that JPEG made brighter in places. */
const nearlyInk = 0.75;

/** Where there is more ink than this share, too little of the colour shows to tell it. */
const mostUnmixed = 0.9;

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
      let amount = edge.amountAt(i, shown, k);
      if (amount > 0 && distance > 0) {
        const nearest = nearestAmount(line, i) / 255;
        if (nearest < nearlyInk && amount > nearest - leastFading) amount = 0;
      }
      line.data[i] = Math.round(255 * edge.settle(i, shown, k, amount));
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
  private readonly noise: number;
  private readonly paintTo: number;

  constructor(
    private readonly picture: Raster,
    ink: InkLevel,
  ) {
    this.channels = channelsOf(picture);
    this.scale = maxOf(picture) / 255;
    this.black = ink.level * this.scale;
    this.paintTo = ink.to * this.scale;
    this.noise = moreOfNoise * Math.max(0, ink.to - ink.level - cleanLevels) * this.scale;
    this.off = mostOff * this.scale + this.noise;
  }

  /** How much ink over the colour beneath is as bright as what was shown, 0 to 1; 0 where none is needed, or it was paint. */
  amountAt(i: number, shown: Ring['shown'], k: number): number {
    const { channels, black } = this;
    const { data } = this.picture;
    const [from, at] = [k * channels, i * channels];
    let before = shown[from];
    let beneath = data[at];
    for (let c = 1; c < channels; c++) {
      if (shown[from + c] > before) before = shown[from + c];
      if (data[at + c] > beneath) beneath = data[at + c];
    }
    if (beneath <= before || beneath <= black || before <= this.paintTo) return 0;
    const amount = (beneath - before) / (beneath - black);
    return amount < leastAmount ? 0 : Math.min(1, amount);
  }

  /** @returns the amount of ink that is left; 0 where none over any colour shows what was shown, and the pixel is put back */
  settle(i: number, shown: Ring['shown'], k: number, amount: number): number {
    const { channels } = this;
    const [from, at] = [k * channels, i * channels];
    if (amount > 0 && (this.shows(at, shown, from, amount) || this.unmixed(at, shown, from, amount)))
      return amount;
    for (let c = 0; c < channels; c++) this.picture.data[at + c] = shown[from + c];
    return 0;
  }

  /** Whether ink over the colour beneath shows what was shown. */
  private shows(at: number, shown: Ring['shown'], from: number, amount: number): boolean {
    const off = this.off + (amount >= nearlyInk ? this.noise : 0);
    for (let c = 0; c < this.channels; c++) {
      const seen = this.picture.data[at + c] * (1 - amount) + this.black * amount;
      if (Math.abs(seen - shown[from + c]) > off) return false;
    }
    return true;
  }

  /** Takes the ink out of what was shown, where the rest is a colour: it is what was beneath. */
  private unmixed(at: number, shown: Ring['shown'], from: number, amount: number): boolean {
    if (amount > mostUnmixed) return false;
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
