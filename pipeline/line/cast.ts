import { maxOf, type Raster } from '../model/raster.js';

/**
 * The cast of a page's black: scans and colour profiles make black warm, or blue. Shares and levels are our own choice, tried on
 * drawn pages.
 */

/** Weights of the channels in brightness: ITU-R BT.601, which JPEG (JFIF) uses. In 256ths. */
const weights = { red: 77, green: 150, blue: 29 } as const;

/** What is brighter than this of 255 is no ink, whatever colour has bled into it. */
export const darkTo = 96;

/** Every so many pixels are looked at. */
const everyPx = 13;

/** The page's black is as dark as this share of its dark pixels, give or take so many levels. */
const blackShare = 0.02;
const blackLevels = 4;

/** A cast of fewer levels is none. */
const leastCast = 4;

/** A cast is the same all over, within a standard deviation of so many levels. */
const mostDeviation = 4;

/** Fewer pixels of black tell nothing. */
const leastPixels = 20;

/** Pixels of a picture, as ink goes: with the cast of black taken off, once it is found. */
export class InkView {
  readonly width: number;
  readonly height: number;
  /** How bright the page's black is, 0 to 255. */
  readonly black: number;
  /** By how much each channel of black is above its brightness, in levels of 255; nothing until it was looked for. */
  cast: readonly number[] = [0, 0, 0];
  private readonly data: Raster['data'];
  private readonly shift: number;

  /** @param picture rgb without alpha; 16 bit is read to 8 */
  constructor(picture: Raster) {
    this.width = picture.width;
    this.height = picture.height;
    this.data = picture.data;
    this.shift = maxOf(picture) === 255 ? 0 : 8;
    this.black = this.blackOf(picture.width * picture.height);
  }

  brightness(i: number): number {
    const { data, shift } = this;
    const at = 3 * i;
    return (
      (weights.red * data[at] + weights.green * data[at + 1] + weights.blue * data[at + 2]) >> (8 + shift)
    );
  }

  /** The brightest channel. */
  high(i: number): number {
    const { data, shift, cast } = this;
    const at = 3 * i;
    return Math.max(
      (data[at] >> shift) - cast[0],
      (data[at + 1] >> shift) - cast[1],
      (data[at + 2] >> shift) - cast[2],
    );
  }

  low(i: number): number {
    const { data, shift, cast } = this;
    const at = 3 * i;
    return Math.min(
      (data[at] >> shift) - cast[0],
      (data[at + 1] >> shift) - cast[1],
      (data[at + 2] >> shift) - cast[2],
    );
  }

  /** How much two pixels differ in colour: what brightness leaves of red and of blue. */
  colourBetween(i: number, j: number): number {
    const { data, shift } = this;
    const brighter = this.brightness(j) - this.brightness(i);
    const red = ((data[3 * j] - data[3 * i]) >> shift) - brighter;
    const blue = ((data[3 * j + 2] - data[3 * i + 2]) >> shift) - brighter;
    return Math.abs(red) + Math.abs(blue);
  }

  private blackOf(count: number): number {
    const counts = new Uint32Array(darkTo + 1);
    let dark = 0;
    for (let i = 0; i < count; i += everyPx) {
      const level = this.brightness(i);
      if (level > darkTo) continue;
      counts[level]++;
      dark++;
    }
    let level = 0;
    for (let below = counts[0]; below < blackShare * dark; below += counts[level]) level++;
    return level;
  }

  /**
   * Looks for the cast of the page's black.
   * @param mostChroma channels of black may differ by so much of 255
   * @param withinPx only so far within black, clear of colour that has bled into it
   */
  findCast(mostChroma: number, withinPx: number): void {
    const { width, height } = this;
    const margin = withinPx * width;
    const found = new CastSums();
    for (let i = margin; i < width * height - margin; i += everyPx) {
      if (!this.isBlack(i) || this.high(i) - this.low(i) > mostChroma) continue;
      if (withinPx > 0 && ![-withinPx, withinPx, -margin, margin].every((to) => this.isBlack(i + to)))
        continue;
      found.add(this, i);
    }
    this.cast = found.cast() ?? this.cast;
  }

  /** By how much a channel is above the brightness of its pixel. */
  above(i: number, channel: number): number {
    return (this.data[3 * i + channel] >> this.shift) - this.brightness(i);
  }

  private isBlack(i: number): boolean {
    return Math.abs(this.brightness(i) - this.black) <= blackLevels;
  }
}

/** How far the channels of black pixels are above their brightness. */
class CastSums {
  private pixels = 0;
  private readonly sums = [0, 0, 0];
  private readonly squares = [0, 0, 0];

  add(view: InkView, i: number): void {
    this.pixels++;
    for (let c = 0; c < 3; c++) {
      const above = view.above(i, c);
      this.sums[c] += above;
      this.squares[c] += above * above;
    }
  }

  /** Undefined where black has no cast, or not the same all over: then dark paint is in it, or colour that has bled. */
  cast(): readonly number[] | undefined {
    const { pixels, sums, squares } = this;
    if (pixels < leastPixels) return undefined;
    const cast = sums.map((sum) => Math.round(sum / pixels));
    const isEven = squares.every((sum, c) => sum / pixels - (sums[c] / pixels) ** 2 <= mostDeviation ** 2);
    return isEven && Math.max(...cast) >= leastCast ? cast : undefined;
  }
}
