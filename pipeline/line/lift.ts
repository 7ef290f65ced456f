import type { LineSettings } from '../../config/print-spec.js';
import { type Bitmap, channelsOf, maxOf, type Plate, type Raster } from '../raster.js';
import { bitmapOf, samplesOf } from './bitmap.js';
import { grow } from './morphology.js';

/**
 * Black lifted from a picture that has its line painted in: the line as ink amount, and the colour beneath, where the
 * black was filled with the colour around it so that a plate out of register shows no paper.
 */
export interface Lifted {
  /** width x height x 1, 0 paper to 255 ink. */
  readonly line: Plate;
  /** The picture that was given, without its black. */
  readonly colour: Raster;
}

/** Pixels around the line that still show its soft edge: antialiasing and one resampling reach two. */
const edgePx = 2;

/** How far colour is carried in under the black, in pixels: half a millimetre at 600 ppi, five times the register tolerance. */
const fillPx = 12;

/**
 * Lifts the black from a flat rgb or grey picture without alpha.
 *
 * A pixel is solid black when every channel is at most the lifting level and the channels are alike. A soft pixel at
 * its edge is measured against the colour behind it: half as bright means half covered.
 * @param picture changed in place
 */
export function liftBlack(picture: Raster, settings: LineSettings): Lifted {
  const tone = toneOf(picture, settings);
  const { width, height } = picture;
  const line = inkAmountOf(tone, width, height);
  fillBeneath(picture, bitmapOf(line, picture, 1));
  return { line: { width, height, data: line }, colour: picture };
}

/**
 * Copies the solid black ink of a CMYK picture, whose numbers are not to be touched: the colour is handed on as it is.
 */
export function liftBlackInk(picture: Raster, settings: LineSettings): Lifted {
  const { width, height, data } = picture;
  const tone = new Uint8Array(width * height);
  const shift = maxOf(picture) === 255 ? 0 : 8;
  const channels = channelsOf(picture);
  const level = (settings.liftMaxLevelPercent / 100) * 255;
  for (let i = 0, j = 3; i < tone.length; i++, j += channels) {
    const paper = 255 - (data[j] >> shift);
    if (paper > level) tone[i] = paper;
  }
  return { line: { width, height, data: inkAmountOf(tone, width, height) }, colour: picture };
}

/**
 * Fills what the line covers with the colour around it, ring by ring from the edge inwards. Black further inside than
 * half a millimetre (at 600 ppi) is left as paper: no register error reaches it.
 * @param picture changed in place
 * @param covered where the picture shows line instead of colour; its soft edge is added here
 */
export function fillBeneath(picture: Raster, covered: Bitmap): void {
  const hidden = samplesOf(grow(covered, edgePx), 1);
  let ring = edgeOf(hidden, picture.width, picture.height);
  for (let step = 0; step < fillPx && ring.length > 0; step++) ring = fillRing(picture, hidden, ring);
  paintPaper(picture, hidden);
}

/** Brightness of each pixel, 1 to 255, and 0 only for solid black. */
function toneOf(picture: Raster, settings: LineSettings): Uint8Array {
  const { data } = picture;
  const channels = channelsOf(picture);
  const tone = new Uint8Array(picture.width * picture.height);
  const shift = maxOf(picture) === 255 ? 0 : 8;
  const level = (settings.liftMaxLevelPercent / 100) * 255;
  const chroma = (settings.blackMaxChromaPercent / 100) * 255;
  for (let i = 0, j = 0; i < tone.length; i++, j += channels) {
    const red = data[j] >> shift;
    const green = channels < 3 ? red : data[j + 1] >> shift;
    const blue = channels < 3 ? red : data[j + 2] >> shift;
    const high = Math.max(red, green, blue);
    const low = Math.min(red, green, blue);
    if (high > level || high - low > chroma)
      tone[i] = Math.max(1, (red * 77 + green * 150 + blue * 29 + 128) >> 8);
  }
  return tone;
}

/** Full ink on solid black, a share of it on the soft pixels that touch it, nothing elsewhere. */
function inkAmountOf(tone: Uint8Array, width: number, height: number): Uint8Array {
  const amount = new Uint8Array(width * height);
  for (let y = 0, i = 0; y < height; y++) {
    for (let x = 0; x < width; x++, i++) {
      if (tone[i] !== 0) continue;
      amount[i] = 255;
      if (x > 0 && tone[i - 1] !== 0) soften(amount, tone, i - 1, x > 1 ? i - 2 : i - 1);
      if (x < width - 1 && tone[i + 1] !== 0) soften(amount, tone, i + 1, x < width - 2 ? i + 2 : i + 1);
      if (y > 0 && tone[i - width] !== 0) soften(amount, tone, i - width, y > 1 ? i - 2 * width : i - width);
      if (y < height - 1 && tone[i + width] !== 0) {
        soften(amount, tone, i + width, y < height - 2 ? i + 2 * width : i + width);
      }
    }
  }
  return amount;
}

/**
 * What of a soft pixel is ink: how much darker it is than the pixel behind it, seen from the black. Only that
 * direction counts, so that a dark colour beside a thin line is not taken for ink because paper lies across the line.
 */
function soften(amount: Uint8Array, tone: Uint8Array, soft: number, behind: number): void {
  if (tone[behind] <= tone[soft]) return;
  const share = Math.round(255 * (1 - tone[soft] / tone[behind]));
  if (share > amount[soft]) amount[soft] = share;
}

/** Hidden pixels that touch visible colour. */
function edgeOf(hidden: Uint8Array, width: number, height: number): Int32Array {
  const edge: number[] = [];
  for (let y = 0, i = 0; y < height; y++) {
    for (let x = 0; x < width; x++, i++) {
      if (hidden[i] === 0) continue;
      const touches =
        (x > 0 && hidden[i - 1] === 0) ||
        (x < width - 1 && hidden[i + 1] === 0) ||
        (y > 0 && hidden[i - width] === 0) ||
        (y < height - 1 && hidden[i + width] === 0);
      if (touches) edge.push(i);
    }
  }
  return Int32Array.from(edge);
}

/** Marks a pixel as already waiting in the next ring. */
const waiting = 2;

/** Gives each pixel of a ring the mean of its visible neighbours, makes the ring visible, and returns the next one. */
function fillRing(picture: Raster, hidden: Uint8Array, ring: Int32Array): Int32Array {
  const { width, height } = picture;
  for (const i of ring) meanOfVisible(picture, hidden, i);
  for (const i of ring) hidden[i] = 0;
  // A pixel has four neighbours, and all of them wait at most once.
  const next = new Int32Array(ring.length * 4);
  let count = 0;
  for (const i of ring) {
    const x = i % width;
    if (x > 0 && hidden[i - 1] === 1) count = wait(i - 1, hidden, next, count);
    if (x < width - 1 && hidden[i + 1] === 1) count = wait(i + 1, hidden, next, count);
    if (i >= width && hidden[i - width] === 1) count = wait(i - width, hidden, next, count);
    if (i < width * (height - 1) && hidden[i + width] === 1) count = wait(i + width, hidden, next, count);
  }
  return next.subarray(0, count);
}

function wait(i: number, hidden: Uint8Array, next: Int32Array, count: number): number {
  hidden[i] = waiting;
  next[count] = i;
  return count + 1;
}

function meanOfVisible(picture: Raster, hidden: Uint8Array, i: number): void {
  const { width, height, data } = picture;
  const channels = channelsOf(picture);
  // Grey is its own second and third channel.
  const step = channels === 1 ? 0 : 1;
  const x = i % width;
  const y = (i - x) / width;
  const [left, right] = [x > 0 ? -1 : 0, x < width - 1 ? 1 : 0];
  const bottom = Math.min(height - 1, y + 1);
  let first = 0;
  let second = 0;
  let third = 0;
  let count = 0;
  for (let v = Math.max(0, y - 1); v <= bottom; v++) {
    const row = v * width + x;
    for (let near = row + left; near <= row + right; near++) {
      if (hidden[near] !== 0) continue;
      const at = near * channels;
      first += data[at];
      second += data[at + step];
      third += data[at + 2 * step];
      count++;
    }
  }
  if (count === 0) return;
  const at = i * channels;
  data[at] = Math.round(first / count);
  data[at + step] = Math.round(second / count);
  data[at + 2 * step] = Math.round(third / count);
}

function paintPaper(picture: Raster, hidden: Uint8Array): void {
  const channels = channelsOf(picture);
  const paper = maxOf(picture);
  for (let i = 0; i < hidden.length; i++) {
    if (hidden[i] !== 0) picture.data.fill(paper, i * channels, (i + 1) * channels);
  }
}
