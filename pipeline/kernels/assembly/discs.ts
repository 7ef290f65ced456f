/**
 * Opening bitmaps by discs. Rows of whole 64-bit words, the first pixel of a row its lowest bit; `row` is the length of a row in
 * bytes.
 */

/** Bytes that a row is longer while it is worked on: a word before it and one behind it. */
const padBytes: i32 = 16;

/**
 * Leaves what is thinner than a disc: pixels that are set (or, if `flip` is 1, not set) and that no disc covers of which all pixels
 * are. Beyond the bitmap everything counts as set.
 * @param diameter of the disc, 1 to 32
 * @param lengths how many pixels each of the disc's rows has, a byte each; every row lies in the middle
 * @param spread scratch of three times (rows + 2 x diameter) rows of `row` + 16 bytes
 */
export function thinBits(
  from: usize,
  row: i32,
  width: i32,
  rows: i32,
  diameter: i32,
  lengths: usize,
  flip: i32,
  spread: usize,
  to: usize,
): void {
  const turn: u64 = -(<u64>flip);
  const padded = row + padBytes;
  const margin = diameter - 1;
  const all = rows + 2 * margin;
  const moved = spread + all * padded;
  const centres = moved + all * padded;
  memory.fill(spread, 0xff, all * padded);
  for (let y = 0; y < rows; y++)
    loadRow(from + y * row, row, width, turn, spread + (y + margin) * padded + 8);
  findCentres(spread, moved, centres, padded, rows, diameter, lengths);
  // What discs cover takes the place of what was set, which is read again at the end.
  cover(centres, moved, spread, padded, rows, diameter, lengths);
  for (let y = 0; y < rows; y++) {
    for (let x = 0; x < row; x += 8) {
      const set = (load<u64>(from + y * row + x) ^ turn) & inWidth(width, x);
      store<u64>(to + y * row + x, set & ~load<u64>(spread + y * padded + 8 + x));
    }
  }
}

/** Marks where a disc may begin, its left and upper corner: all of its pixels are set. */
function findCentres(
  set: usize,
  moved: usize,
  centres: usize,
  padded: i32,
  rows: i32,
  diameter: i32,
  lengths: usize,
): void {
  const fits = rows + diameter - 1;
  memory.fill(centres, 0xff, fits * padded);
  for (let k = 0; k < diameter; k++) {
    const length = <i32>load<u8>(lengths + k);
    if (!isFirst(lengths, k)) continue;
    for (let y = 0; y < fits + diameter - 1; y++) {
      shrinkRow(set + y * padded, padded, length, (diameter - length) >> 1, moved + y * padded);
    }
    for (let other = k; other < diameter; other++) {
      if (<i32>load<u8>(lengths + other) === length) andRows(centres, moved + other * padded, fits * padded);
    }
  }
}

/** Marks what discs cover that begin at the centres. */
function cover(
  centres: usize,
  moved: usize,
  to: usize,
  padded: i32,
  rows: i32,
  diameter: i32,
  lengths: usize,
): void {
  memory.fill(to, 0, rows * padded);
  for (let k = 0; k < diameter; k++) {
    const length = <i32>load<u8>(lengths + k);
    if (!isFirst(lengths, k)) continue;
    for (let y = 0; y < rows + diameter - 1; y++) {
      growRow(centres + y * padded, padded, length, (diameter - length) >> 1, moved + y * padded);
    }
    for (let other = k; other < diameter; other++) {
      if (<i32>load<u8>(lengths + other) !== length) continue;
      orRows(to, moved + (diameter - 1 - other) * padded, rows * padded);
    }
  }
}

/** Whether no row of the disc above this one is as long. */
function isFirst(lengths: usize, k: i32): bool {
  for (let other = 0; other < k; other++) {
    if (load<u8>(lengths + other) === load<u8>(lengths + k)) return false;
  }
  return true;
}

/** The bits of the word at byte `x` of a row that are within its width. */
function inWidth(width: i32, x: i32): u64 {
  const bits = width - x * 8;
  return bits >= 64 ? ~(<u64>0) : bits <= 0 ? 0 : ((<u64>1) << bits) - 1;
}

function loadRow(from: usize, row: i32, width: i32, turn: u64, to: usize): void {
  for (let x = 0; x < row; x += 8) store<u64>(to + x, (load<u64>(from + x) ^ turn) | ~inWidth(width, x));
}

/** Sets a bit where it and the `length` - 1 behind it are set, all `shift` pixels farther on. */
function shrinkRow(from: usize, bytes: i32, length: i32, shift: i32, to: usize): void {
  towardsStart(from, bytes, shift, false, to);
  for (let covered = 1; covered < length; ) {
    const step = min(covered, length - covered);
    towardsStart(to, bytes, step, true, to);
    covered += step;
  }
}

/** Moves a row's bits `step` (0 to 63) towards its start, ones behind them; keeps only what is set there already if `both`. */
function towardsStart(from: usize, bytes: i32, step: i32, both: bool, to: usize): void {
  for (let x = 0; x < bytes; x += 8) {
    const own = load<u64>(from + x);
    const next = x + 8 < bytes ? load<u64>(from + x + 8) : ~(<u64>0);
    const moved = step === 0 ? own : (own >> step) | (next << (64 - step));
    store<u64>(to + x, both ? own & moved : moved);
  }
}

/** Sets a bit where it or any of the `length` - 1 before it is set, all `shift` pixels farther back. */
function growRow(from: usize, bytes: i32, length: i32, shift: i32, to: usize): void {
  towardsEnd(from, bytes, shift, false, to);
  for (let covered = 1; covered < length; ) {
    const step = min(covered, length - covered);
    towardsEnd(to, bytes, step, true, to);
    covered += step;
  }
}

/** Moves a row's bits `step` (0 to 63) towards its end, noughts before them; keeps what is set there as well if `both`. */
function towardsEnd(from: usize, bytes: i32, step: i32, both: bool, to: usize): void {
  for (let x = bytes - 8; x >= 0; x -= 8) {
    const own = load<u64>(from + x);
    const before: u64 = x === 0 ? 0 : load<u64>(from + x - 8);
    const moved = step === 0 ? own : (own << step) | (before >> (64 - step));
    store<u64>(to + x, both ? own | moved : moved);
  }
}

function andRows(to: usize, other: usize, bytes: i32): void {
  for (let at = 0; at < bytes; at += 8) store<u64>(to + at, load<u64>(to + at) & load<u64>(other + at));
}

function orRows(to: usize, other: usize, bytes: i32): void {
  for (let at = 0; at < bytes; at += 8) store<u64>(to + at, load<u64>(to + at) | load<u64>(other + at));
}
