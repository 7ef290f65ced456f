import type { TableTransform } from '../../config/press/colour-engine.js';
import { desk, inBands, isWorthwhile, smallBandPixels } from '../kernels/desk.js';
import type { Raster, Separation } from '../raster.js';

/** A device link's table without the ink limit and the one with it; the same where the limit changes nothing. */
export interface LimitedTables {
  readonly before: TableTransform;
  readonly after: TableTransform;
  /** No pixel has more ink without the limit than with it and this much, in 8-bit counts. */
  readonly mostTakenOff: number;
}

/** The most C+M+Y+K over all pixels, in 8-bit counts (0 to 1020), before and after the ink limit. */
interface MostInk {
  before: number;
  after: number;
}

/**
 * Runs the pixels of a picture through a device link's tables.
 * @param raster rgb or cmyk, 8 or 16 bit, as the tables were made for
 * @param separation receives the plates; as large as the picture
 */
export function convertByTables(raster: Raster, separation: Separation, tables: LimitedTables): MostInk {
  return raster.data instanceof Uint8Array
    ? convert8(raster.data, raster, separation, tables)
    : convert16(raster.data, raster, separation, tables);
}

function convert8(
  data: Uint8Array,
  { width, height, model }: Raster,
  separation: Separation,
  tables: LimitedTables,
): MostInk {
  const { kernels } = desk();
  const { cyan, magenta, yellow, black } = separation;
  const channels = model === 'rgb' ? 3 : 4;
  const on = bandPlaces();
  const most = { before: 0, after: 0 };
  inBands(
    width * height,
    (start, count) => {
      const band = data.subarray(start * channels, (start + count) * channels);
      const runs = kernels.squeeze(desk().reach(band, on.band), count, channels, on.firsts, on.starts);
      const isSqueezed = isWorthwhile(runs, count);
      const pixels = isSqueezed ? desk().look(on.firsts, runs * channels) : band;
      const looked = isSqueezed ? runs : count;
      tables.after.run(pixels, looked, inksAt(on.inks, looked));
      judge(pixels, looked, on, tables, most);
      const plates = [cyan, magenta, yellow, black].map((plate) => plate.subarray(start, start + count));
      const [c, m, y, k] = plates.map((plate, i) => desk().target(plate, on.plates[i]));
      if (isSqueezed) kernels.partRuns(on.inks, on.starts, runs, c, m, y, k);
      else kernels.partFour(on.inks, count, c, m, y, k);
      for (const [i, place] of [c, m, y, k].entries()) desk().take(place, plates[i]);
    },
    smallBandPixels,
  );
  return most;
}

/** Pixels that are judged together: whether the ink limit can have taken anything off them that matters. */
const stretchPixels = 1 << 11;

/** Everything that one band needs on the desk. */
function bandPlaces() {
  const [band, firsts, starts, inks, unlimited, mosts, ...plates] = desk().lay(
    smallBandPixels * 4,
    smallBandPixels * 4,
    smallBandPixels * 2,
    smallBandPixels * 4,
    stretchPixels * 4,
    (smallBandPixels / stretchPixels) * 4,
    ...new Array<number>(4).fill(smallBandPixels),
  );
  return { band, firsts, starts, inks, unlimited, mosts, plates };
}

/** Interleaved CMYK pixels on the desk, as the engine takes them. */
function inksAt(place: number, count: number): Uint8ClampedArray {
  const { buffer, byteOffset, length } = desk().look(place, count * 4);
  return new Uint8ClampedArray(buffer, byteOffset, length);
}

/**
 * Takes the most ink of a band into account. What it would have been without the limit is looked up only where that can
 * be more than was found before: the limit takes no more than so much off any pixel.
 */
function judge(
  pixels: Uint8Array,
  count: number,
  on: ReturnType<typeof bandPlaces>,
  { before, after, mostTakenOff }: LimitedTables,
  most: MostInk,
): void {
  const channels = pixels.length / count;
  const { kernels } = desk();
  const mostAt = (place: number, length: number) => {
    kernels.mostOfStretches(place, length, stretchPixels, on.mosts);
    const { buffer, byteOffset } = desk().look(on.mosts, 4);
    return new Int32Array(buffer, byteOffset, Math.ceil(length / stretchPixels)).slice();
  };
  for (const [i, limited] of mostAt(on.inks, count).entries()) {
    most.after = Math.max(most.after, limited);
    if (limited + mostTakenOff <= most.before) continue;
    const length = Math.min(stretchPixels, count - i * stretchPixels);
    const stretch = pixels.subarray(i * stretchPixels * channels, (i * stretchPixels + length) * channels);
    if (before !== after) before.run(stretch, length, inksAt(on.unlimited, length));
    most.before = Math.max(most.before, before === after ? limited : mostAt(on.unlimited, length)[0]);
  }
}

/** As `convert8`, for 16 bit; the plates are rounded to 8. */
function convert16(
  data: Uint16Array,
  { width, height, model }: Raster,
  separation: Separation,
  { before, after, mostTakenOff }: LimitedTables,
): MostInk {
  const channels = model === 'rgb' ? 3 : 4;
  const inks = new Uint16Array(smallBandPixels * 4);
  const most = { before: 0, after: 0 };
  inBands(
    width * height,
    (start, count) => {
      const band = data.subarray(start * channels, (start + count) * channels);
      after.run(band, count, inks);
      const limited = spread16(inks, count, separation, start);
      most.after = Math.max(most.after, limited);
      if (limited + mostTakenOff <= most.before) return;
      if (before !== after) before.run(band, count, inks);
      most.before = Math.max(most.before, before === after ? limited : mostOf16(inks, count));
    },
    smallBandPixels,
  );
  return most;
}

/** The most ink of interleaved CMYK pixels of 16 bit, in 8-bit counts. */
function mostOf16(inks: Uint16Array, count: number): number {
  let most = 0;
  for (let at = 0; at < count * 4; at += 4) {
    const sum = inks[at] + inks[at + 1] + inks[at + 2] + inks[at + 3];
    if (sum > most) most = sum;
  }
  return Math.round(most / 257);
}

/** Parts interleaved CMYK pixels of 16 bit into plates, rounded: 65535 is 255 x 257. Returns the most ink, in counts. */
function spread16(inks: Uint16Array, count: number, separation: Separation, start: number): number {
  const { cyan, magenta, yellow, black } = separation;
  let most = 0;
  for (let at = 0, pixel = start; at < count * 4; at += 4, pixel++) {
    const c = ((inks[at] + 128) / 257) | 0;
    const m = ((inks[at + 1] + 128) / 257) | 0;
    const y = ((inks[at + 2] + 128) / 257) | 0;
    const k = ((inks[at + 3] + 128) / 257) | 0;
    cyan[pixel] = c;
    magenta[pixel] = m;
    yellow[pixel] = y;
    black[pixel] = k;
    if (c + m + y + k > most) most = c + m + y + k;
  }
  return most;
}
