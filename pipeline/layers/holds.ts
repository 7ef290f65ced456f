import type { Plate, Raster } from '../raster.js';
import { type Canvas, covered, judgePixel, type LineRule, markGone, markHeld, markLine } from './canvas.js';
import { PaperRows } from './paper-rows.js';
import type { LineTile } from './tile-room.js';
import { type Tile, type TileGrid, tileBox, tileSamples, tileSide } from './tiles.js';

/** A page parted into what prints in colour and what prints as black line. */
export interface PartedPage {
  readonly colour: Raster;
  readonly line: Plate | undefined;
  readonly held: Plate | undefined;
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

const noTile: Tile = new Uint16Array(tileSamples);

/** What judging leaves for each pixel of the page: width x height x 1. */
interface Judged {
  readonly amount: Uint8Array;
  readonly doubt: Uint8Array;
}

/**
 * Parts a finished canvas by the rule about holds. Line that is black on the flattened page stays line, with the bare
 * page as the colour beneath; all else prints in colour as the flattened page shows it. The canvas is used up.
 *
 * @param hasLine whether the stack has a layer of line or lettering at all
 */
export function partPage(canvas: Canvas, rule: LineRule, sixteenBit: boolean, hasLine: boolean): PartedPage {
  const { width, height } = canvas.grid;
  const paper = new PaperRows(canvas.grid, canvas.room, sixteenBit);
  const { colour } = paper;
  if (!hasLine) {
    for (const [index, full] of canvas.full.entries()) {
      paper.write(index, full, undefined, undefined);
      canvas.full[index] = undefined;
    }
    return { colour, line: undefined, held: undefined, heldPercent: 0, coveredPercent: 0 };
  }
  const judged = { amount: new Uint8Array(width * height), doubt: new Uint8Array(width * height) };
  for (let index = 0; index < canvas.full.length; index++) judgeTile(canvas, index, rule, judged);
  // Most pages hold nothing back, and then need no room for it.
  const held: HeldPixels = { data: undefined, pixels: width * height };
  const tally = { line: 0, held: 0, covered: 0 };
  const gone: number[] = [];
  for (let index = 0; index < canvas.full.length; index++) {
    const line = canvas.lines[index];
    if (line !== undefined && decideTile(canvas.grid, index, line, judged, held, rule, tally))
      gone.push(index);
    paper.write(index, canvas.full[index], canvas.bare[index], line);
    canvas.full[index] = undefined;
    canvas.bare[index] = undefined;
  }
  for (const index of gone) dropGone(canvas, index, judged.amount);
  return {
    colour,
    line: { width, height, data: judged.amount },
    held: held.data === undefined ? undefined : { width, height, data: held.data },
    heldPercent: tally.line === 0 ? 0 : (tally.held * 100) / tally.line,
    coveredPercent: tally.line === 0 ? 0 : (tally.covered * 100) / tally.line,
  };
}

/** 255 where line is held back; begun with the first such pixel. */
interface HeldPixels {
  data: Uint8Array | undefined;
  readonly pixels: number;
}

/** Notes for each pixel with line how much of it there is, and how much black line leaves unexplained. */
function judgeTile(canvas: Canvas, index: number, rule: LineRule, judged: Judged): void {
  const line = canvas.lines[index];
  if (line === undefined) return;
  const full = canvas.full[index] ?? noTile;
  const bare = canvas.bare[index] ?? noTile;
  const box = tileBox(canvas.grid, index);
  for (let y = box.top; y < box.bottom; y++) {
    let pixel = (y - box.top) * tileSide;
    for (let x = box.left; x < box.right; x++, pixel++) {
      const amount = line.amount[pixel];
      if (amount === 0) continue;
      const rest = judgePixel(full, bare, pixel * 4, amount, rule.tolerance);
      const at = y * canvas.grid.width + x;
      judged.amount[at] = Math.round(amount / 257);
      judged.doubt[at] = rest === covered ? coveredByte : Math.min(mostDoubt, rest * atLimit);
    }
  }
}

/**
 * Decides for each pixel of a tile whether its line stays, and counts what became of the line.
 * @returns whether the line of any pixel is gone
 */
function decideTile(
  grid: TileGrid,
  index: number,
  line: LineTile,
  judged: Judged,
  held: HeldPixels,
  rule: LineRule,
  tally: { line: number; held: number; covered: number },
): boolean {
  const box = tileBox(grid, index);
  let gone = 0;
  for (let y = box.top; y < box.bottom; y++) {
    let pixel = (y - box.top) * tileSide;
    for (let x = box.left; x < box.right; x++, pixel++) {
      const at = y * grid.width + x;
      const strong = line.amount[pixel] >= rule.threshold;
      const doubt = judged.doubt[at];
      if (doubt === coveredByte) line.marks[pixel] |= markGone;
      else if (doubt > surelyBlack && isHeld(grid, x, y, doubt, judged)) {
        line.marks[pixel] |= strong ? markGone | markHeld : markGone;
      }
      const mark = line.marks[pixel];
      gone |= mark & markGone;
      if ((mark & markLine) === 0) continue;
      tally.line++;
      // Line drawn on top of a piece that was held makes it black again.
      if (strong && (mark & markGone) === 0) continue;
      if ((mark & markHeld) === 0) tally.covered++;
      else {
        tally.held++;
        held.data ??= new Uint8Array(held.pixels);
        held.data[at] = 255;
      }
    }
  }
  return gone !== 0;
}

/** A doubtful pixel goes with the line around it, weighed by its amount, so that grain in a glow makes no speckle. */
function isHeld(grid: TileGrid, x: number, y: number, doubt: number, judged: Judged): boolean {
  if (doubt >= surelyHeld) return true;
  const left = Math.max(0, x - askPx);
  const right = Math.min(grid.width - 1, x + askPx);
  const bottom = Math.min(grid.height - 1, y + askPx);
  let sum = 0;
  let weight = 0;
  for (let row = Math.max(0, y - askPx); row <= bottom; row++) {
    for (let at = row * grid.width + left; at <= row * grid.width + right; at++) {
      const amount = judged.amount[at];
      if (amount === 0 || judged.doubt[at] === coveredByte) continue;
      sum += amount * Math.min(surelyHeld, judged.doubt[at]);
      weight += amount;
    }
  }
  return sum > weight * atLimit;
}

/** Takes line that is gone off the line plate, once no neighbour asks for it any more. */
function dropGone(canvas: Canvas, index: number, amount: Uint8Array): void {
  const line = canvas.lines[index];
  if (line === undefined) return;
  const box = tileBox(canvas.grid, index);
  for (let y = box.top; y < box.bottom; y++) {
    let pixel = (y - box.top) * tileSide;
    for (let x = box.left; x < box.right; x++, pixel++) {
      if ((line.marks[pixel] & markGone) !== 0) amount[y * canvas.grid.width + x] = 0;
    }
  }
}
