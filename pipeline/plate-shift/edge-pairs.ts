import type { PageArena } from '../kernels/page-arena.js';
import { processPlanes, type Separation } from '../model/separation.js';
import type { Move } from './moves.js';

/**
 * Pixels that face another one across an edge at which a plate out of register could show. Most of a page has none, and the kernel
 * passes over that sixteen pixels at a time.
 */
export interface EdgePairs {
  /** Pixels, ascending. */
  readonly pixels: Int32Array;
  /** Of each: bits 0 to 3 for the moves across which inks run against each other, 4 to 7 for those across which black ends with others. */
  readonly marks: Uint8Array;
  /** One in so many squares of the page was looked at; its edges stand for those of the others. */
  readonly every: number;
}

/** An ink that changes by less across an edge opens nothing that is seen, nor sticks out. 8-bit counts, 20 %. Own choice. */
export const leastInk = 51;

/** Black that changes by less has no edge that others could stick out of. 8-bit counts, 50 %. Own choice. */
export const leastBlack = 128;

/** Side of the squares in which edges are measured, in pixels: short enough that an edge is straight in it. */
export const squarePx = 16;

/** More pairs than this are a screened or a grainy page, of which a part of the squares tells as much. Own choice, for speed. */
const mostPairs = 6_000;

/**
 * @param moves four, one of each opposite pair: a pair of pixels is looked at from both of its sides
 * @param arena for as long as this takes
 */
export function edgePairs(separation: Separation, moves: readonly Move[], arena: PageArena): EdgePairs {
  const { width, height } = separation;
  const marks = arena.allocate(width * height);
  marks.fill(0);
  for (const [n, { dx, dy }] of moves.entries()) markAlong(separation, dx, dy, 1 << n, marks, arena);
  const found = markedPixels(marks, width, moves);
  arena.free(marks);
  return found;
}

/** Rows that are worked on at a time: all that a call reads stays in the processor's cache. */
const bandRows = 64;

function markAlong(
  separation: Separation,
  dx: number,
  dy: number,
  bit: number,
  marks: Uint8Array,
  arena: PageArena,
): void {
  const { width, height } = separation;
  const planes = processPlanes(separation);
  const reach = (bandRows + dy) * width + Math.abs(dx);
  const [to, ...places] = arena.scratch(bandRows * width, ...new Array<number>(4).fill(reach));
  for (let row = 0; row + dy < height; row += bandRows) {
    const rows = Math.min(bandRows, height - dy - row);
    const start = row * width;
    // The last pixels of the last row have no neighbour to their right; they are left out below.
    const count = Math.min(rows * width, width * height - start - dy * width - Math.max(0, dx));
    const end = Math.min(width * height, start + count + dy * width + Math.max(0, dx));
    const [c, m, y, k] = planes.map((plane, i) => arena.addressOf(plane.subarray(start, end), places[i]));
    const into = marks.subarray(start, start + count);
    const at = arena.addressOf(into, to);
    arena.kernels.markEdges(c, m, y, k, count, dy * width + dx, leastInk, leastBlack, bit, at);
    arena.store(at, into);
  }
}

function markedPixels(marks: Uint8Array, width: number, moves: readonly Move[]): EdgePairs {
  const words = new Uint32Array(marks.buffer, marks.byteOffset, marks.length >> 2);
  let marked = 0;
  for (const word of words) if (word !== 0) marked += marksIn(word);
  const every = Math.max(1, Math.ceil(marked / mostPairs));
  const kept = new Growing();
  for (let w = 0, row = 0; w < words.length; w++) {
    if (words[w] === 0) continue;
    for (let i = w * 4; i < w * 4 + 4; i++) {
      if (marks[i] === 0) continue;
      while (i >= row + width) row += width;
      const mark = marks[i] & withinRow(i - row, width, moves);
      if (mark !== 0 && (every === 1 || isAsked(squareOf(i, width), every))) kept.add(i, mark);
    }
  }
  return { ...kept.done(), every };
}

/** How many bytes of a word are not 0. */
function marksIn(word: number): number {
  let count = 0;
  for (let rest = word; rest !== 0; rest >>>= 8) if ((rest & 255) !== 0) count++;
  return count;
}

/** The moves whose other pixel lies in the same row or the one it should, not at the other end of the page. */
function withinRow(x: number, width: number, moves: readonly Move[]): number {
  let bits = 0;
  for (const [n, { dx }] of moves.entries()) if (x + dx >= 0 && x + dx < width) bits |= 0x11 << n;
  return bits;
}

/** The square of a pixel: its number, row by row. */
export function squareOf(pixel: number, width: number): number {
  const x = pixel % width;
  const y = (pixel - x) / width;
  return Math.floor(y / squarePx) * Math.ceil(width / squarePx) + Math.floor(x / squarePx);
}

/** Spread over the page without falling in with its rows: multiplicative hashing (Knuth). */
function isAsked(square: number, every: number): boolean {
  return (Math.imul(square, 0x9e3779b1) >>> 8) % every === 0;
}

class Growing {
  private pixels = new Int32Array(1024);
  private marks = new Uint8Array(1024);
  private length = 0;

  add(pixel: number, mark: number): void {
    if (this.length === this.pixels.length) {
      const [pixels, marks] = [new Int32Array(this.length * 2), new Uint8Array(this.length * 2)];
      pixels.set(this.pixels);
      marks.set(this.marks);
      [this.pixels, this.marks] = [pixels, marks];
    }
    this.pixels[this.length] = pixel;
    this.marks[this.length++] = mark;
  }

  done(): Pick<EdgePairs, 'pixels' | 'marks'> {
    return { pixels: this.pixels.subarray(0, this.length), marks: this.marks.subarray(0, this.length) };
  }
}
