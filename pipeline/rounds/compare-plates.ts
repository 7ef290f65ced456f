import type { SizePx } from '../../config/units.js';
import type { ChangedCells } from './changed-cells.js';
import type { LineFile } from './line-file.js';
import type { PressFile } from './press-file.js';

/** Line plates and plates of extra inks held against each other, pixel by pixel. */

/** How much of a plate changed, in percent of the page. */
export interface PlateChange {
  /** Where there is ink now, or more of it, and was none before, or less. */
  readonly gainedPercent: number;
  readonly lostPercent: number;
}

/** Where what changes is entered, on the grid of the composite. */
export interface ChangeMarks {
  readonly cells: ChangedCells;
  readonly page: SizePx;
  /** A byte a pixel of the composite: 1 where a pixel of the plate changed that lies over it; undefined where nobody asks. */
  readonly marks: Uint8Array | undefined;
}

/** Bytes of rows that are held at a time of each of both. Own choice. */
const bandBytes = 64 * 1024 * 1024;
const paper = 255;

/**
 * Two line plates of one size; one that is missing is paper all over.
 * @throws PlatehandError `picture-unreadable`
 */
export async function compareLines(
  before: LineFile | undefined,
  now: LineFile | undefined,
  into: ChangeMarks,
): Promise<PlateChange> {
  const size = now ?? before;
  if (size === undefined) return { gainedPercent: 0, lostPercent: 0 };
  const { width, height } = size;
  const counter = new PlateCounter(size, into);
  const atOnce = Math.max(1, Math.floor(bandBytes / width));
  const rowsOf = async (file: LineFile | undefined, from: number, count: number) =>
    file === undefined ? new Uint8Array(width * count).fill(paper) : file.rows(from, count);
  for (let from = 0; from < height; from += atOnce) {
    const count = Math.min(atOnce, height - from);
    // One after the other: each is decoded whole, and both at once would take twice the memory.
    const one = await rowsOf(before, from, count);
    const other = await rowsOf(now, from, count);
    // Here 0 is ink: what is darker has more of it.
    counter.add(from, other, one);
  }
  return counter.change();
}

/** Two plates of 8 bits of one size; one that is missing is without ink. @throws PlatehandError `picture-unreadable` */
export async function comparePlates(
  before: PressFile | undefined,
  now: PressFile | undefined,
  into: ChangeMarks,
): Promise<PlateChange> {
  const size = now ?? before;
  if (size === undefined) return { gainedPercent: 0, lostPercent: 0 };
  const counter = new PlateCounter(size, into);
  for (let strip = 0; strip < size.strips; strip++) {
    const from = strip * size.rowsPerStrip;
    const length = Math.min(size.rowsPerStrip, size.height - from) * size.width;
    const inksOf = async (file: PressFile | undefined) => (await file?.inks(strip)) ?? new Uint8Array(length);
    counter.add(from, await inksOf(before), await inksOf(now));
  }
  return counter.change();
}

/** Counts where a second row of samples has more than a first, and where less. */
class PlateCounter {
  private more = 0;
  private less = 0;
  private readonly scale: SizePx;

  constructor(
    private readonly plate: SizePx,
    private readonly into: ChangeMarks,
  ) {
    const { page } = into;
    this.scale = { width: page.width / plate.width, height: page.height / plate.height };
  }

  /** @param from row of the plate that both begin with */
  add(from: number, one: Uint8Array, other: Uint8Array): void {
    const { width } = this.plate;
    for (let at = 0; at < one.length; at += width) {
      const [ours, theirs] = [one.subarray(at, at + width), other.subarray(at, at + width)];
      if (Buffer.compare(ours, theirs) !== 0) this.addRow(from + at / width, ours, theirs);
    }
  }

  change(): PlateChange {
    const percent = (count: number) => (count * 100) / (this.plate.width * this.plate.height);
    return { gainedPercent: percent(this.more), lostPercent: percent(this.less) };
  }

  private addRow(y: number, one: Uint8Array, other: Uint8Array): void {
    const { scale } = this;
    const { cells, page, marks } = this.into;
    const row = Math.floor(y * scale.height) * page.width;
    for (let x = 0; x < one.length; x++) {
      if (one[x] === other[x]) continue;
      const isGained = other[x] > one[x];
      if (isGained) this.more++;
      else this.less++;
      cells.addPlate(x, y, scale, isGained);
      if (marks !== undefined) marks[row + Math.floor(x * scale.width)] = 1;
    }
  }
}
