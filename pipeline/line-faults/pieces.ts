import { findChanges, wordsOf } from '../line/bitmap.js';
import type { Bitmap } from '../model/raster.js';

/** Which pixels of a mask hang together, and how long what they make is. Works on runs, the stretches of a row that are set. */

/** A piece of a mask. */
export interface Piece {
  /** Its box, in pixels; right and bottom lie beyond it. */
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
  readonly areaPx: number;
  /** How long it is if it is a stroke, or a net of strokes, pixel by pixel along it; at most some 8 % too long. */
  readonly lengthPx: number;
  /** The same of what is marked on it. */
  readonly markedAreaPx: number;
  readonly markedLengthPx: number;
}

/** How pieces are found. */
export interface PiecesAsked {
  /** Whether pixels hang together by corners too, as ink does; paper does not, or both would cross. */
  readonly byCorners: boolean;
  /** Set only where the mask is; undefined marks nothing. */
  readonly marks?: Bitmap | undefined;
}

/** All pieces of a mask, in reading order of their first pixels. */
export function piecesOf(mask: Bitmap, { byCorners, marks }: PiecesAsked): Piece[] {
  const sums = new Sums();
  const words = wordsOf(mask);
  const marked = marks && wordsOf(marks);
  const wordsInRow = mask.rowBytes >> 2;
  const changes = new Uint32Array(mask.width + 1);
  const reach = byCorners ? 1 : 0;
  let [above, here] = [new Row(mask.width), new Row(mask.width)];
  for (let y = 0; y < mask.height; y++) {
    here.count = 0;
    const count = findChanges(words, y * wordsInRow, wordsInRow, changes);
    // A row that ends set has no last change where it fills its words to the end.
    if (count % 2 === 1) changes[count] = mask.width;
    for (let i = 0, upper = 0; i < count; i += 2) {
      const [start, end] = [changes[i], changes[i + 1]];
      while (upper < above.count && above.ends[upper] + reach <= start) upper++;
      const piece = joined(sums, above, upper, start, end, reach);
      const beneath = overlapOf(above, upper, start, end);
      sums.addRun(piece, y, start, end, strokeLength(1, end - start - beneath));
      if (marked !== undefined) addMarks(sums, piece, marked, y * wordsInRow, wordsInRow, start, end);
      here.add(start, end, piece);
    }
    [above, here] = [here, above];
  }
  return sums.pieces();
}

/** The runs of a row and the pieces that they belong to. */
class Row {
  count = 0;
  readonly starts: Uint32Array;
  readonly ends: Uint32Array;
  readonly pieces: Uint32Array;

  constructor(width: number) {
    const most = (width >> 1) + 1;
    this.starts = new Uint32Array(most);
    this.ends = new Uint32Array(most);
    this.pieces = new Uint32Array(most);
  }

  add(start: number, end: number, piece: number): void {
    const run = this.count++;
    this.starts[run] = start;
    this.ends[run] = end;
    this.pieces[run] = piece;
  }
}

/** The piece of a run: that of what it touches in the row above, which become one, or a new one. */
function joined(sums: Sums, above: Row, from: number, start: number, end: number, reach: number): number {
  let piece = -1;
  for (let near = from; near < above.count && above.starts[near] < end + reach; near++) {
    const other = sums.pieceOf(above.pieces[near]);
    piece = piece === -1 ? other : sums.join(piece, other);
  }
  return piece === -1 ? sums.begin(start) : piece;
}

/** How many pixels of a run lie beneath runs of the row above. */
function overlapOf(above: Row, from: number, start: number, end: number): number {
  let overlap = 0;
  for (let near = from; near < above.count && above.starts[near] < end; near++) {
    const shared = Math.min(end, above.ends[near]) - Math.max(start, above.starts[near]);
    if (shared > 0) overlap += shared;
  }
  return overlap;
}

/** How far so many strokes go on in a row that together go so far to the side. */
function strokeLength(strokes: number, asidePx: number): number {
  return Math.sqrt(strokes * strokes + asidePx * asidePx);
}

const firstPieces = 1 << 12;

/** Figures of a piece. */
const figures = 8;
const [leftAt, topAt, rightAt, bottomAt, areaAt, lengthAt, markedAt, markedLengthAt] = Array(figures).keys();

/** What pieces come to, while some of them turn out to be one. */
class Sums {
  private count = 0;
  private parents = new Uint32Array(firstPieces);
  private sums = new Float64Array(firstPieces * figures);

  begin(left: number): number {
    const piece = this.count++;
    if (piece === this.parents.length) {
      const [parents, sums] = [this.parents, this.sums];
      this.parents = new Uint32Array(piece * 2);
      this.parents.set(parents);
      this.sums = new Float64Array(piece * 2 * figures);
      this.sums.set(sums);
    }
    this.parents[piece] = piece;
    this.sums[piece * figures + leftAt] = left;
    this.sums[piece * figures + topAt] = -1;
    return piece;
  }

  addRun(piece: number, row: number, start: number, end: number, lengthPx: number): void {
    const { sums } = this;
    const at = piece * figures;
    if (start < sums[at + leftAt]) sums[at + leftAt] = start;
    if (sums[at + topAt] < 0) sums[at + topAt] = row;
    if (end > sums[at + rightAt]) sums[at + rightAt] = end;
    sums[at + bottomAt] = row + 1;
    sums[at + areaAt] += end - start;
    sums[at + lengthAt] += lengthPx;
  }

  addMarks(piece: number, areaPx: number, lengthPx: number): void {
    this.sums[piece * figures + markedAt] += areaPx;
    this.sums[piece * figures + markedLengthAt] += lengthPx;
  }

  pieceOf(label: number): number {
    const { parents } = this;
    let at = label;
    while (parents[at] !== at) {
      // Halving the way keeps it short for whoever asks next.
      parents[at] = parents[parents[at]];
      at = parents[at];
    }
    return at;
  }

  /** Makes two pieces one, that which began first. */
  join(one: number, other: number): number {
    if (one === other) return one;
    const [first, second] = one < other ? [one, other] : [other, one];
    this.parents[second] = first;
    const { sums } = this;
    const [to, from] = [first * figures, second * figures];
    sums[to + leftAt] = Math.min(sums[to + leftAt], sums[from + leftAt]);
    sums[to + rightAt] = Math.max(sums[to + rightAt], sums[from + rightAt]);
    sums[to + bottomAt] = Math.max(sums[to + bottomAt], sums[from + bottomAt]);
    for (let sum = areaAt; sum < figures; sum++) sums[to + sum] += sums[from + sum];
    return first;
  }

  pieces(): Piece[] {
    const pieces: Piece[] = [];
    for (let piece = 0; piece < this.count; piece++) {
      if (this.parents[piece] !== piece) continue;
      const own = this.sums.subarray(piece * figures, (piece + 1) * figures);
      const [left, top, right, bottom, areaPx, lengthPx, markedAreaPx, markedLengthPx] = own;
      pieces.push({ left, top, right, bottom, areaPx, lengthPx, markedAreaPx, markedLengthPx });
    }
    return pieces;
  }
}

/** Adds what is marked of a run to its piece. Each of the strokes that it cuts goes on by a row, and as far aside as nothing lies above. */
function addMarks(
  sums: Sums,
  piece: number,
  words: Uint32Array,
  firstWord: number,
  wordsInRow: number,
  start: number,
  end: number,
): void {
  let [area, begun, beneath, last] = [0, 0, 0, 0];
  for (let at = start >> 5; at * 32 < end; at++) {
    const word = words[firstWord + at] & bitsWithin(at, start, end);
    if (word !== 0) {
      area += bitCount(word);
      begun += bitCount(word & ~((word << 1) | last));
      if (firstWord > 0) beneath += bitCount(word & words[firstWord + at - wordsInRow]);
    }
    last = word >>> 31;
  }
  if (area > 0) sums.addMarks(piece, area, strokeLength(begun, area - beneath));
}

/** The bits of word `at` of a row that lie from `start` to before `end`. */
function bitsWithin(at: number, start: number, end: number): number {
  const from = Math.max(0, start - at * 32);
  const to = end - at * 32;
  return (-1 << from) & (to >= 32 ? -1 : (1 << to) - 1);
}

/** How many bits of a word are set, added up in pairs, fours and bytes. */
export function bitCount(word: number): number {
  const pairs = word - ((word >>> 1) & 0x55555555);
  const fours = (pairs & 0x33333333) + ((pairs >>> 2) & 0x33333333);
  return Math.imul((fours + (fours >>> 4)) & 0x0f0f0f0f, 0x01010101) >>> 24;
}
