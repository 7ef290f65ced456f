import type { TableTransform } from '../../config/press/colour-engine.js';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import { inBands, isWorthwhile, smallBandPixels } from '../kernels/kernel-memory.js';
import type { Raster } from '../model/raster.js';
import { type ProcessPlanes, processPlanes, type Separation } from '../model/separation.js';
import type { InkTable } from './ink-table.js';

/** A device link's table without the ink limit and the one with it; the same where the limit changes nothing. */
export interface LimitedTables<Table> {
  readonly before: Table;
  readonly after: Table;
  /** No pixel has more ink without the limit than with it and this much, in 8-bit counts. */
  readonly mostTakenOff: number;
}

/** The most C+M+Y+K over all pixels, in 8-bit counts (0 to 1020), before and after the ink limit. */
interface MostInk {
  before: number;
  after: number;
}

/**
 * Runs the pixels of an 8-bit picture through a device link's tables.
 * @param raster rgb or cmyk, as the tables were made for
 * @param separation receives the plates; as large as the picture
 */
export function convert8(
  { data, width, height, model }: Raster,
  separation: Separation,
  tables: LimitedTables<InkTable>,
  memory: KernelMemory,
): MostInk {
  const { kernels } = memory;
  const planes = processPlanes(separation);
  const channels = model === 'rgb' ? 3 : 4;
  const on = layOut(tables, memory);
  const most = { before: 0, after: 0 };
  inBands(
    width * height,
    (start, count) => {
      const band = (data as Uint8Array).subarray(start * channels, (start + count) * channels);
      const from = memory.addressOf(band, on.band);
      const runs = kernels.squeeze(from, count, channels, on.firsts, on.starts);
      const isSqueezed = isWorthwhile(runs, count);
      const [pixels, looked] = isSqueezed ? [on.firsts, runs] : [from, count];
      on.lookUp(pixels, looked, on.inks);
      judge(pixels, looked, channels, on, most, memory);
      const plates = planes.map((plane) => plane.subarray(start, start + count));
      const [c, m, y, k] = plates.map((plate, i) => memory.writableAddress(plate, on.plates[i]));
      if (isSqueezed) kernels.splitRuns(on.inks, on.starts, runs, c, m, y, k);
      else kernels.splitFour(on.inks, count, c, m, y, k);
      for (const [i, place] of [c, m, y, k].entries()) memory.store(place, plates[i]);
    },
    smallBandPixels,
  );
  return most;
}

/** Pixels that are judged together: whether the ink limit can have taken anything off them that matters. */
const stretchPixels = 1 << 11;

/** The scratch with everything that one band needs, the tables first. */
function layOut({ before, after, mostTakenOff }: LimitedTables<InkTable>, memory: KernelMemory) {
  const [afterPlace, beforePlace, band, firsts, starts, inks, unlimited, mosts, ...plates] = memory.scratch(
    after.bytes,
    before === after ? 0 : before.bytes,
    smallBandPixels * 4,
    smallBandPixels * 4,
    smallBandPixels * 2,
    smallBandPixels * 4,
    stretchPixels * 4,
    (smallBandPixels / stretchPixels) * 4,
    ...new Array<number>(4).fill(smallBandPixels),
  );
  return {
    lookUp: after.open(afterPlace, memory),
    /** Undefined where the limit changes nothing. */
    lookUpUnlimited: before === after ? undefined : before.open(beforePlace, memory),
    mostTakenOff,
    ...{ band, firsts, starts, inks, unlimited, mosts, plates },
  };
}

/**
 * Takes the most ink of a band into account. What it would have been without the limit is looked up only where that can
 * be more than was found before: the limit takes no more than so much off any pixel.
 */
function judge(
  pixels: number,
  count: number,
  channels: number,
  on: ReturnType<typeof layOut>,
  most: MostInk,
  memory: KernelMemory,
): void {
  const mostAt = (place: number, length: number) => {
    memory.kernels.mostOfStretches(place, length, stretchPixels, on.mosts);
    const { buffer, byteOffset } = memory.view(on.mosts, 4);
    return new Int32Array(buffer, byteOffset, Math.ceil(length / stretchPixels)).slice();
  };
  for (const [i, limited] of mostAt(on.inks, count).entries()) {
    most.after = Math.max(most.after, limited);
    if (limited + on.mostTakenOff <= most.before) continue;
    const start = i * stretchPixels;
    const length = Math.min(stretchPixels, count - start);
    on.lookUpUnlimited?.(pixels + start * channels, length, on.unlimited);
    const unlimited = on.lookUpUnlimited === undefined ? limited : mostAt(on.unlimited, length)[0];
    most.before = Math.max(most.before, unlimited);
  }
}

/** As `convert8`, for 16 bit; the plates are rounded to 8. */
export function convert16(
  { data, width, height, model }: Raster,
  separation: Separation,
  { before, after, mostTakenOff }: LimitedTables<TableTransform>,
): MostInk {
  const channels = model === 'rgb' ? 3 : 4;
  const planes = processPlanes(separation);
  const inks = new Uint16Array(smallBandPixels * 4);
  const most = { before: 0, after: 0 };
  inBands(
    width * height,
    (start, count) => {
      const band = data.subarray(start * channels, (start + count) * channels);
      after.run(band, count, inks);
      const limited = spread16(inks, count, planes, start);
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

/** Splits interleaved CMYK pixels of 16 bit into plates, rounded: 65535 is 255 x 257. Returns the most ink, in counts. */
function spread16(inks: Uint16Array, count: number, planes: ProcessPlanes, start: number): number {
  const [cyan, magenta, yellow, black] = planes;
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
