import type { Plate } from '../model/raster.js';
import { mayBeLit } from './black.js';
import {
  type Canvas,
  covered,
  judgePixel,
  type LineRule,
  lightOn,
  markGone,
  markHeld,
  markLine,
  openBoth,
} from './canvas.js';
import { type LineRoom, lineRoom, listDoubtful, listLine } from './listed-line.js';
import type { LineTile } from './tile-pool.js';
import { tileBox, tileSide, tilesOfRow } from './tiles.js';

/** The line of a page, and what became of it. */
export interface SplitLine {
  /** How bright whatever lies above the line makes it, 0 to 255; undefined where nothing does. */
  readonly light: Plate | undefined;
  readonly line: Plate | undefined;
  readonly heldPercent: number;
  readonly coveredPercent: number;
}

/** What `unexplained` gives is kept in a byte: this much of it is 1, the limit of the tolerance. */
const atLimit = 64;
/** A pixel this far to either side of the limit is sure; between the two its neighbours are asked. */
const surelyBlack = atLimit / 2;
const surelyHeld = atLimit * 2;
/** In the byte, line that is covered. */
const coveredByte = 255;
const mostDoubt = 254;
/** How far neighbours are asked, in pixels; common practice, no published source. */
const askPx = 3;
/** Rows of pixels whose doubt is known at a time: those of a row of tiles, the one above it and the one below. */
const doubtRows = 3 * tileSide;

/** Where a page's line is written, width x height bytes each. */
export interface LinePlaces {
  /** Empty. */
  readonly amount: Uint8Array;
  /** Anything may stand there. */
  readonly light: Uint8Array;
}

/** Judges the line of a page, one row of tiles after the other. */
export class LineJudge {
  /** How much line each pixel of the page has, in 8 bit. */
  private readonly amount: Uint8Array;
  /** How much of it black line leaves unexplained, for the three rows of tiles that are asked at a time. */
  private readonly doubt: Uint8Array;
  /** How bright the line is; begun with the first such pixel, since on most pages nothing lies above it. */
  private light: Uint8Array | undefined;
  /** Tiles on which line is gone that is still on the plate. */
  private readonly gone = new Set<number>();
  private readonly counted = { line: 0, held: 0, covered: 0 };

  constructor(
    private readonly canvas: Canvas,
    private readonly rule: LineRule,
    private readonly places: LinePlaces | undefined,
  ) {
    const { width, height } = canvas.grid;
    this.amount = places?.amount ?? new Uint8Array(width * height);
    this.doubt = canvas.pool.arena.allocate(width * doubtRows).fill(0);
  }

  found(): SplitLine {
    const { width, height } = this.canvas.grid;
    const { line, held, covered } = this.counted;
    return {
      line: { width, height, data: this.amount },
      light: this.light === undefined ? undefined : { width, height, data: this.light },
      heldPercent: line === 0 ? 0 : (held * 100) / line,
      coveredPercent: line === 0 ? 0 : (covered * 100) / line,
    };
  }

  /** Notes for each pixel with line how much of it there is, and how much black line leaves unexplained. */
  judge(row: number): void {
    const { width } = this.canvas.grid;
    const { arena } = this.canvas.pool;
    const first = this.doubtRow(row * tileSide);
    this.doubt.fill(0, first, first + tileSide * width);
    const lines = this.linesOf(row);
    if (lines.length === 0) return;
    const room = lineRoom(width, arena);
    const amounts = this.amount.subarray(row * tileSide * width, (row + 1) * tileSide * width);
    const found = arena.view(room.rows, amounts.length).fill(0);
    for (const { index, line } of lines) this.judgeTile(index, line, room);
    amounts.set(found);
  }

  private judgeTile(index: number, line: LineTile, room: LineRoom): void {
    const { grid, pool } = this.canvas;
    const { full, bare } = openBoth(this.canvas, index);
    const { tolerance } = this.rule;
    const { amount: drawn } = line;
    const box = tileBox(grid, index);
    for (const pixel of listLine(line, full, box, grid.width, room, pool.arena)) {
      const amount = drawn[pixel];
      const [x, y] = [box.left + (pixel % tileSide), box.top + Math.floor(pixel / tileSide)];
      const rest = judgePixel(full, bare, pixel * 4, amount, tolerance);
      if (rest !== covered && mayBeLit(rest, amount, tolerance)) {
        this.lit()[y * grid.width + x] = lightOn(full, bare, pixel * 4, amount) / 257;
      }
      this.doubt[this.doubtRow(y) + x] = rest === covered ? coveredByte : Math.min(mostDoubt, rest * atLimit);
    }
  }

  private lit(): Uint8Array {
    const { width, height } = this.canvas.grid;
    this.light ??= this.places?.light.fill(0) ?? new Uint8Array(width * height);
    return this.light;
  }

  /** Decides for each pixel whether its line stays, and counts what became of the line. */
  decide(row: number): void {
    const lines = this.linesOf(row);
    if (lines.length === 0) return;
    const { width } = this.canvas.grid;
    const { arena } = this.canvas.pool;
    const room = lineRoom(width, arena);
    const first = this.doubtRow(row * tileSide);
    const doubts = arena.addressOf(this.doubt.subarray(first, first + tileSide * width), room.rows);
    for (const { index, line } of lines) this.decideTile(index, line, doubts, room);
  }

  private decideTile(index: number, line: LineTile, doubts: number, room: LineRoom): void {
    const { grid, pool } = this.canvas;
    const { threshold } = this.rule;
    const { amount, marks } = line;
    const box = tileBox(grid, index);
    const found = listDoubtful(line, doubts, surelyBlack, threshold, box, grid.width, room, pool.arena);
    this.counted.line += found.sureLine;
    for (const pixel of found.pixels) {
      const [x, y] = [box.left + (pixel % tileSide), box.top + Math.floor(pixel / tileSide)];
      const doubt = this.doubt[this.doubtRow(y) + x];
      const strong = amount[pixel] >= threshold;
      if (doubt === coveredByte) marks[pixel] |= markGone;
      else if (doubt > surelyBlack && this.isHeld(x, y, doubt)) {
        marks[pixel] |= strong ? markGone | markHeld : markGone;
      }
      this.countLine(marks[pixel], strong);
      if ((marks[pixel] & markGone) !== 0) this.gone.add(index);
    }
  }

  private countLine(mark: number, strong: boolean): void {
    if ((mark & markLine) === 0) return;
    this.counted.line++;
    // Line drawn on top of a piece that was held makes it black again.
    if (strong && (mark & markGone) === 0) return;
    if ((mark & markHeld) === 0) this.counted.covered++;
    else this.counted.held++;
  }

  /** A doubtful pixel goes with the line around it, weighed by its amount, so that grain in a glow makes no speckle. */
  private isHeld(x: number, y: number, doubt: number): boolean {
    if (doubt >= surelyHeld) return true;
    const { amount, doubt: doubts } = this;
    const { width, height } = this.canvas.grid;
    const left = Math.max(0, x - askPx);
    const right = Math.min(width - 1, x + askPx);
    const bottom = Math.min(height - 1, y + askPx);
    let sum = 0;
    let weight = 0;
    for (let row = Math.max(0, y - askPx); row <= bottom; row++) {
      const asked = this.doubtRow(row);
      for (let column = left; column <= right; column++) {
        const weighed = amount[row * width + column];
        if (weighed === 0 || doubts[asked + column] === coveredByte) continue;
        sum += weighed * Math.min(surelyHeld, doubts[asked + column]);
        weight += weighed;
      }
    }
    return sum > weight * atLimit;
  }

  /** Takes line that is gone off the line plate, once no neighbour asks for it any more. */
  dropGone(row: number): void {
    const { grid } = this.canvas;
    for (const { index, line } of this.linesOf(row)) {
      if (!this.gone.delete(index)) continue;
      const { marks } = line;
      const box = tileBox(grid, index);
      for (let y = box.top; y < box.bottom; y++) {
        const first = y * grid.width;
        let pixel = (y - box.top) * tileSide;
        for (let x = box.left; x < box.right; x++, pixel++) {
          if ((marks[pixel] & markGone) !== 0) this.amount[first + x] = 0;
        }
      }
    }
  }

  /** The tiles of a row that have line. */
  private linesOf(row: number): { index: number; line: LineTile }[] {
    const { grid, lines } = this.canvas;
    return tilesOfRow(grid, row).flatMap((index) => {
      const line = lines[index];
      return line === undefined ? [] : [{ index, line }];
    });
  }

  /** Where the doubt of a row of pixels begins. */
  private doubtRow(y: number): number {
    return (y % doubtRows) * this.canvas.grid.width;
  }
}
