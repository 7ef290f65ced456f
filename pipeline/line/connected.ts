import type { Bitmap } from '../model/raster.js';
import { emptyBitmap, findChanges, wordsOf } from './bitmap.js';

/**
 * What of a mask hangs together with seeds in it, side by side (not by corners). Works on runs, the stretches of a row
 * that are set: a page has thousands of them where it has millions of pixels.
 *
 * @param seeds a mask of the same size, set only where the first one is
 * @returns the pieces of the mask that hold a seed
 */
export function piecesWithSeeds(mask: Bitmap, seeds: Bitmap): Bitmap {
  return piecesWhere(mask, seeds, undefined, (count) => count > 0);
}

/**
 * Pieces of a mask chosen by the marks that they hold.
 * @param one marks of one kind; only those on the mask count
 * @param other marks of another kind
 * @param keep told how many of each a piece holds, and a pixel of it
 * @returns the pieces that are kept
 */
export function piecesWhere(
  mask: Bitmap,
  one: Bitmap,
  other: Bitmap | undefined,
  keep: (one: number, other: number, x: number, y: number) => boolean,
): Bitmap {
  const runs = findRuns(mask, one, other);
  const kept = new Uint8Array(runs.count);
  for (let run = 0; run < runs.count; run++) {
    if (runs.pieceOf(run) !== run) continue;
    kept[run] = keep(runs.ones[run], runs.others[run], runs.starts[run], runs.rows[run]) ? 1 : 0;
  }
  const result = emptyBitmap(mask);
  const words = wordsOf(result);
  const wordsInRow = mask.rowBytes >> 2;
  for (let run = 0; run < runs.count; run++) {
    if (kept[runs.pieceOf(run)] === 1) {
      setRun(words, runs.rows[run] * wordsInRow, runs.starts[run], runs.ends[run]);
    }
  }
  return result;
}

function findRuns(mask: Bitmap, one: Bitmap, other: Bitmap | undefined): Runs {
  reused ??= new Runs();
  const runs = reused;
  runs.clear();
  const [words, ones] = [wordsOf(mask), wordsOf(one)];
  const others = other === undefined ? undefined : wordsOf(other);
  const wordsInRow = mask.rowBytes >> 2;
  const changes = new Uint32Array(mask.width + 1);
  let above = 0;
  for (let y = 0; y < mask.height; y++) {
    const first = runs.count;
    const count = findChanges(words, y * wordsInRow, wordsInRow, changes);
    // A row that ends set has no last change where it fills its words to the end.
    if (count % 2 === 1) changes[count] = mask.width;
    for (let i = 0; i < count; i += 2) {
      const [start, end] = [changes[i], changes[i + 1]];
      const row = y * wordsInRow;
      runs.add(y, start, end, countIn(ones, row, start, end), others ? countIn(others, row, start, end) : 0);
    }
    joinRows(runs, above, first);
    above = first;
  }
  return runs;
}

/** Runs in reading order; each belongs to a piece that is named by one of its runs. */
class Runs {
  count = 0;
  rows = new Uint32Array(firstRuns);
  starts = new Uint32Array(firstRuns);
  ends = new Uint32Array(firstRuns);
  /** Of the run that names a piece: how many marks of each kind all its runs hold. */
  ones = new Uint32Array(firstRuns);
  others = new Uint32Array(firstRuns);
  private parents = new Uint32Array(firstRuns);

  clear(): void {
    this.count = 0;
  }

  add(row: number, start: number, end: number, ones: number, others: number): void {
    const run = this.count++;
    if (run === this.rows.length) this.enlarge();
    this.parents[run] = run;
    this.rows[run] = row;
    this.starts[run] = start;
    this.ends[run] = end;
    this.ones[run] = ones;
    this.others[run] = others;
  }

  private enlarge(): void {
    const twice = (numbers: Uint32Array) => {
      const larger = new Uint32Array(numbers.length * 2);
      larger.set(numbers);
      return larger;
    };
    this.rows = twice(this.rows);
    this.starts = twice(this.starts);
    this.ends = twice(this.ends);
    this.ones = twice(this.ones);
    this.others = twice(this.others);
    this.parents = twice(this.parents);
  }

  pieceOf(run: number): number {
    const { parents } = this;
    let at = run;
    while (parents[at] !== at) {
      // Halving the way keeps it short for whoever asks next.
      parents[at] = parents[parents[at]];
      at = parents[at];
    }
    return at;
  }

  join(one: number, other: number): void {
    const [a, b] = [this.pieceOf(one), this.pieceOf(other)];
    if (a === b) return;
    this.parents[b] = a;
    this.ones[a] += this.ones[b];
    this.others[a] += this.others[b];
  }
}

/** Enough for the runs of most pages; doubled where more are needed. */
const firstRuns = 1 << 16;

/** One for all pages: a new one for each would be some 10 MB for the engine to clean up, and code to optimise again. */
let reused: Runs | undefined;

/** Joins the runs from `first` on with those of the row above, which begin at `above`, wherever they touch. */
function joinRows(runs: Runs, above: number, first: number): void {
  let upper = above;
  for (let lower = first; lower < runs.count; lower++) {
    const start = runs.starts[lower];
    const end = runs.ends[lower];
    while (upper < first && runs.ends[upper] <= start) upper++;
    for (let near = upper; near < first && runs.starts[near] < end; near++) runs.join(near, lower);
  }
}

/** The bits of word `at` of a row that lie from `start` to before `end`. */
function bitsWithin(at: number, start: number, end: number): number {
  const from = Math.max(0, start - at * 32);
  const to = end - at * 32;
  return (-1 << from) & (to >= 32 ? -1 : (1 << to) - 1);
}

function countIn(words: Uint32Array, firstWord: number, start: number, end: number): number {
  let count = 0;
  for (let at = start >> 5; at * 32 < end; at++) {
    const word = words[firstWord + at];
    if (word === 0) continue;
    for (let rest = word & bitsWithin(at, start, end); rest !== 0; rest &= rest - 1) count++;
  }
  return count;
}

/** Sets the bits of a row from `start` to before `end`. */
export function setRun(words: Uint32Array, firstWord: number, start: number, end: number): void {
  for (let at = start >> 5; at * 32 < end; at++) words[firstWord + at] |= bitsWithin(at, start, end);
}
