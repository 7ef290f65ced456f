import type { Plate } from '../model/raster.js';
import { mayBeLit } from './black.js';
import { full16 } from './blend.js';
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

/** Whether a pixel is opaque and black: then black line leaves nothing of it unexplained. */
function isFullBlack(tile: Uint16Array, i: number): boolean {
  return tile[i] === 0 && tile[i + 1] === 0 && tile[i + 2] === 0 && tile[i + 3] === full16;
}

/** Judges the line of a page, one row of tiles after the other. */
export class LineJudge {
  /** How much line each pixel of the page has, in 8 bit. */
  private readonly amount: Uint8Array;
  /** How much of it black line leaves unexplained, for the three rows of tiles that are asked at a time. */
  private readonly doubt: Uint8Array;
  /** How bright the line is; begun with the first such pixel, since on most pages nothing lies above it. */
  private light: Uint8Array | undefined;
  private readonly counted = { line: 0, held: 0, covered: 0 };

  constructor(
    private readonly canvas: Canvas,
    private readonly rule: LineRule,
  ) {
    const { width, height } = canvas.grid;
    this.amount = new Uint8Array(width * height);
    this.doubt = new Uint8Array(width * doubtRows);
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
    const first = this.doubtRow(row * tileSide);
    this.doubt.fill(0, first, first + tileSide * this.canvas.grid.width);
    for (const { index, line } of this.linesOf(row)) this.judgeTile(index, line);
  }

  private judgeTile(index: number, line: LineTile): void {
    const { grid } = this.canvas;
    const { full, bare } = openBoth(this.canvas, index);
    const { amount: amounts, doubt } = this;
    const { tolerance } = this.rule;
    const drawn = line.amount;
    const box = tileBox(grid, index);
    for (let y = box.top; y < box.bottom; y++) {
      const asked = this.doubtRow(y);
      let pixel = (y - box.top) * tileSide;
      for (let x = box.left; x < box.right; x++, pixel++) {
        const amount = drawn[pixel];
        if (amount === 0) continue;
        // Nearly all line: full, and as black on the page as black ink over anything.
        if (amount === full16 && isFullBlack(full, pixel * 4)) {
          amounts[y * grid.width + x] = 255;
          continue;
        }
        const rest = judgePixel(full, bare, pixel * 4, amount, tolerance);
        const at = y * grid.width + x;
        amounts[at] = Math.round(amount / 257);
        if (rest !== covered && mayBeLit(rest, amount, tolerance)) {
          this.lit()[at] = lightOn(full, bare, pixel * 4, amount) / 257;
        }
        doubt[asked + x] = rest === covered ? coveredByte : Math.min(mostDoubt, rest * atLimit);
      }
    }
  }

  private lit(): Uint8Array {
    const { width, height } = this.canvas.grid;
    this.light ??= new Uint8Array(width * height);
    return this.light;
  }

  /** Decides for each pixel whether its line stays, and counts what became of the line. */
  decide(row: number): void {
    for (const { index, line } of this.linesOf(row)) this.decideTile(index, line);
  }

  private decideTile(index: number, line: LineTile): void {
    const { grid } = this.canvas;
    const { threshold } = this.rule;
    const { doubt: doubts } = this;
    const { amount, marks } = line;
    const box = tileBox(grid, index);
    for (let y = box.top; y < box.bottom; y++) {
      const asked = this.doubtRow(y);
      let pixel = (y - box.top) * tileSide;
      for (let x = box.left; x < box.right; x++, pixel++) {
        const doubt = doubts[asked + x];
        if (doubt <= surelyBlack && marks[pixel] === 0) continue;
        const strong = amount[pixel] >= threshold;
        if (doubt === coveredByte) marks[pixel] |= markGone;
        else if (doubt > surelyBlack && this.isHeld(x, y, doubt)) {
          marks[pixel] |= strong ? markGone | markHeld : markGone;
        }
        const mark = marks[pixel];
        if ((mark & markLine) === 0) continue;
        this.counted.line++;
        // Line drawn on top of a piece that was held makes it black again.
        if (strong && (mark & markGone) === 0) continue;
        if ((mark & markHeld) === 0) this.counted.covered++;
        else this.counted.held++;
      }
    }
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
