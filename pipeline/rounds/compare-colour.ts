import { ciede2000, type Lab } from '../../config/press/ciede2000.js';
import type { InkLooks } from '../inks/ink-looks.js';
import type { ChangedCells } from './changed-cells.js';
import { DeSums } from './de-sums.js';
import type { PressFile } from './press-file.js';

/**
 * Two composites held against each other: which pixels hold other inks, and how far what they print lies from what they printed, by
 * CIEDE2000 over the profile.
 */

/** How the colour of a page changed. */
export interface ColourChange {
  /** Pixels that hold other inks, in percent of the page; and of these those that somebody could see. */
  readonly changedPercent: number;
  readonly visiblePercent: number;
  /** CIEDE2000 over all pixels that changed: mean, what 95 % of them do not exceed, and the largest. */
  readonly meanDe: number;
  readonly p95De: number;
  readonly mostDe: number;
}

/** Where line has changed, so that what it brings about in the composite is not told as colour. */
export interface LineMarks {
  /** A byte a pixel: 1 where the line changed, or right beside it. */
  readonly beside: Uint8Array;
  /** 1 within the reach of support ink around it. */
  readonly around: Uint8Array;
}

/** About what people just notice side by side: see ciede2000.ts. */
export const visibleDe = 1;

/** So much black ink, 255 is full, is a line or a spotted black: beneath it support ink comes and goes with the line. Own choice. */
const lineBlack = 250;

/** The inks of a pixel are compared as one number of 32 bits. */
const inksPerPixel = 4;
const to16 = 257;

/**
 * @param before, now of one size and with as many inks
 * @param line undefined where the line did not change
 * @throws PlatehandError `picture-unreadable`
 */
export async function compareColours(
  before: PressFile,
  now: PressFile,
  { cells, line, looks }: { cells: ChangedCells; line: LineMarks | undefined; looks: InkLooks },
): Promise<ColourChange> {
  const sums = new DeSums(visibleDe);
  const isAlike = before.rowsPerStrip === now.rowsPerStrip;
  const theirs = new Rows(before);
  for (let strip = 0; strip < now.strips; strip++) {
    const from = strip * now.rowsPerStrip;
    const rows = Math.min(now.rowsPerStrip, now.height - from);
    if (isAlike && (await before.packed(strip)).equals(await now.packed(strip))) continue;
    const one = pixelsOf(await theirs.take(from, rows), now.samples);
    const other = pixelsOf(await now.inks(strip), now.samples);
    const runs = changedRuns(one, other, from * now.width, line);
    const des = differences(runs, looks);
    for (let n = 0; n < runs.count; n++) {
      const start = runs.starts[n];
      const length = runs.lengths[n];
      sums.add(des[n], length);
      for (let pixel = start; pixel < start + length; pixel++) {
        cells.addColour(pixel % now.width, Math.floor(pixel / now.width), des[n]);
      }
    }
  }
  return sums.change(now.width * now.height);
}

/** Rows of a file, wherever its strips begin. */
class Rows {
  private held: { readonly strip: number; readonly data: Uint8Array } | undefined;

  constructor(private readonly file: PressFile) {}

  async take(from: number, count: number): Promise<Uint8Array> {
    const { width, samples, rowsPerStrip } = this.file;
    const rowBytes = width * samples;
    const taken = new Uint8Array(count * rowBytes);
    for (let row = from; row < from + count; ) {
      const strip = Math.floor(row / rowsPerStrip);
      if (this.held?.strip !== strip) this.held = { strip, data: await this.file.inks(strip) };
      const rest = this.held.data.subarray((row - strip * rowsPerStrip) * rowBytes);
      const own = rest.subarray(0, (from + count - row) * rowBytes);
      taken.set(own, (row - from) * rowBytes);
      row += own.length / rowBytes;
    }
    return taken;
  }
}

/** The inks of each pixel as one number: C in the lowest byte, K in the highest. Black alone has no others. */
function pixelsOf(inks: Uint8Array, samples: 1 | 4): Uint32Array {
  if (samples === 1) return Uint32Array.from(inks, (black) => black << 24);
  const aligned = inks.byteOffset % inksPerPixel === 0 ? inks : Uint8Array.from(inks);
  return new Uint32Array(aligned.buffer, aligned.byteOffset, aligned.length / inksPerPixel);
}

/** Runs of pixels beside each other that held the same inks, and hold the same now. */
class Runs {
  count = 0;
  /** Index of the first pixel on the page, and how many there are. */
  readonly starts: Int32Array;
  readonly lengths: Int32Array;
  /** The inks before and now. */
  readonly one: Uint32Array;
  readonly other: Uint32Array;

  /** @param most runs that there can be */
  constructor(most: number) {
    this.starts = new Int32Array(most);
    this.lengths = new Int32Array(most);
    this.one = new Uint32Array(most);
    this.other = new Uint32Array(most);
  }

  /** A pixel behind those that were added. */
  add(at: number, one: number, other: number): void {
    const last = this.count - 1;
    const follows = last >= 0 && this.starts[last] + this.lengths[last] === at;
    if (follows && this.one[last] === one && this.other[last] === other) {
      this.lengths[last]++;
      return;
    }
    this.starts[this.count] = at;
    this.lengths[this.count] = 1;
    this.one[this.count] = one;
    this.other[this.count] = other;
    this.count++;
  }
}

function changedRuns(one: Uint32Array, other: Uint32Array, first: number, line: LineMarks | undefined): Runs {
  const runs = new Runs(one.length);
  for (let i = 0; i < one.length; i++) {
    if (one[i] === other[i]) continue;
    if (line !== undefined && isOfLine(line, first + i, one[i], other[i])) continue;
    runs.add(first + i, one[i], other[i]);
  }
  return runs;
}

/** Whether the line's change has changed this pixel: beside it, or support ink beneath a black that is one before and now. */
function isOfLine({ beside, around }: LineMarks, at: number, one: number, other: number): boolean {
  if (beside[at] === 1) return true;
  return around[at] === 1 && one >>> 24 >= lineBlack && other >>> 24 >= lineBlack;
}

function differences({ count, one, other }: Runs, looks: InkLooks): Float64Array {
  const before = looks.labOfInks(inksOf(one, count));
  const now = looks.labOfInks(inksOf(other, count));
  const des = new Float64Array(count);
  for (let n = 0; n < count; n++) des[n] = ciede2000(labAt(before, n), labAt(now, n));
  return des;
}

function inksOf(pixels: Uint32Array, count: number): Uint16Array {
  const inks = new Uint16Array(count * inksPerPixel);
  for (let n = 0, to = 0; n < count; n++) {
    for (let shift = 0; shift < 32; shift += 8) inks[to++] = ((pixels[n] >>> shift) & 255) * to16;
  }
  return inks;
}

function labAt(lab: Float32Array, n: number): Lab {
  return [lab[n * 3], lab[n * 3 + 1], lab[n * 3 + 2]];
}
