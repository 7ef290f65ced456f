import { maxOf, type Plate, type Raster } from '../model/raster.js';

/**
 * Colour that has bled into ink. JPEG as most programs save it keeps colour at half the resolution (4:2:0): beside orange, the
 * pixels of a black line are as dark as they were and brown. Whether a page is of that kind is told by the page itself, since it
 * may have been saved as something else since. Shares and lengths are our own choice, tried on drawn pages.
 */

/** Weights of the channels in brightness: ITU-R BT.601, which JPEG (JFIF) uses. In 256ths. */
const weights = { red: 77, green: 150, blue: 29 } as const;

/** What is brighter than this of 255 is no ink, whatever colour has bled into it. */
const darkTo = 96;

/** A border of black tells something where brightness steps by so much, nearly all of it between two pixels. */
const leastStep = 48;
const steepShare = 0.7;

/** And where colour changes by so much from the pixel before to the one behind. */
const leastChange = 24;

/** Colour that steps by less than this share of its change has bled. */
const bledShare = 0.62;

/** Fewer borders than this tell nothing. */
const leastBorders = 20;

/** Rows that are looked at: every so many. */
const everyRow = 15;

/** Around a pixel it has to be brighter than black by so much on average: beside dark colour nothing that bleeds is told. */
const leastBrighter = 32;

/** Pixels that are looked at around each. */
const looked = 9;

/** Colour is averaged so far around a pixel: as far as it bleeds. */
const bleedsPx = 2;

/** The page's black is as dark as this share of its dark pixels; every so many pixels are looked at. */
const blackShare = 0.02;
const everyPx = 13;

/**
 * Tones as they were before colour bled, where it has: the colour of a dark pixel is taken as that of what is around it, in the
 * measure in which the pixel is brighter than black. A dark colour that fills more than a line keeps its tone.
 * @param tone of the picture, 0 to 255; changed in place
 * @param picture rgb without alpha; 16 bit is read to 8
 * @param mostChroma channels of black may differ by so much of 255
 */
export function unbleed(tone: Plate, picture: Raster, mostChroma: number): void {
  const pixels = new Pixels(picture);
  if (!hasBled(pixels)) return;
  const { width, height } = tone;
  const black = pixels.black();
  const before = tone.data.slice();
  for (let y = bleedsPx; y < height - bleedsPx; y++) {
    for (let x = bleedsPx; x < width - bleedsPx; x++) {
      const i = y * width + x;
      const here = pixels.brightness(i);
      if (here > darkTo || before[i] <= here) continue;
      tone.data[i] = Math.min(before[i], toneAt(pixels, i, { here, black, mostChroma }));
    }
  }
}

/** Whether colour steps less steeply than brightness, where black ends. */
function hasBled(pixels: Pixels): boolean {
  const { width, height } = pixels;
  let [borders, steps, changes] = [0, 0, 0];
  for (let y = 0; y < height; y += everyRow) {
    const row = y * width;
    let here = pixels.brightness(row + 1);
    for (let i = row + 1; i < row + width - 3; i++) {
      const next = pixels.brightness(i + 1);
      const step = next - here;
      const isDark = Math.min(here, next) <= darkTo;
      here = next;
      if (!isDark || Math.abs(step) < leastStep) continue;
      const whole = pixels.brightness(i + 2) - pixels.brightness(i - 1);
      if (step * whole <= 0 || Math.abs(step) < steepShare * Math.abs(whole)) continue;
      const change = pixels.colourBetween(i - 1, i + 2);
      if (change < leastChange) continue;
      borders++;
      changes += change;
      steps += Math.min(change, pixels.colourBetween(i, i + 1));
    }
  }
  return borders >= leastBorders && steps < bledShare * changes;
}

interface Dark {
  /** Brightness of the pixel, and of the page's black, 0 to 255. */
  readonly here: number;
  readonly black: number;
  readonly mostChroma: number;
}

function toneAt(pixels: Pixels, i: number, { here, black, mostChroma }: Dark): number {
  const { width } = pixels;
  let [brighter, high, low] = [0, 0, 0];
  for (let v = -bleedsPx; v <= bleedsPx; v += bleedsPx) {
    for (let near = i + v * width - bleedsPx; near <= i + v * width + bleedsPx; near += bleedsPx) {
      brighter += pixels.brightness(near) - black;
      high += pixels.high(near) - black;
      low += pixels.low(near) - black;
    }
  }
  if (brighter < looked * leastBrighter) return 255;
  const share = Math.max(0, here - black) / brighter;
  const level = Math.max(here, black + high * share);
  return Math.min(255, Math.round(level + Math.max(0, (high - low) * share - mostChroma)));
}

/** The pixels of a picture, by index, in levels of 255. */
class Pixels {
  readonly width: number;
  readonly height: number;
  private readonly data: Raster['data'];
  private readonly shift: number;

  constructor(picture: Raster) {
    this.width = picture.width;
    this.height = picture.height;
    this.data = picture.data;
    this.shift = maxOf(picture) === 255 ? 0 : 8;
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
    const { data, shift } = this;
    return Math.max(data[3 * i], data[3 * i + 1], data[3 * i + 2]) >> shift;
  }

  low(i: number): number {
    const { data, shift } = this;
    return Math.min(data[3 * i], data[3 * i + 1], data[3 * i + 2]) >> shift;
  }

  /** How much two pixels differ in colour: what brightness leaves of red and of blue. */
  colourBetween(i: number, j: number): number {
    const { data, shift } = this;
    const brighter = this.brightness(j) - this.brightness(i);
    const red = ((data[3 * j] - data[3 * i]) >> shift) - brighter;
    const blue = ((data[3 * j + 2] - data[3 * i + 2]) >> shift) - brighter;
    return Math.abs(red) + Math.abs(blue);
  }

  /** How bright the page's black is. */
  black(): number {
    const counts = new Uint32Array(darkTo + 1);
    let dark = 0;
    for (let i = 0; i < this.width * this.height; i += everyPx) {
      const level = this.brightness(i);
      if (level > darkTo) continue;
      counts[level]++;
      dark++;
    }
    let level = 0;
    for (let below = counts[0]; below < blackShare * dark; below += counts[level]) level++;
    return level;
  }
}
