import { mostOfInts, sumInFours } from './planes';

/**
 * Runs of pixels of one colour. Flats and gradients along a row are most of a coloured page, and what is worked out for one
 * pixel holds for its whole run.
 */

/**
 * Leaves one pixel of each run.
 * @param from interleaved pixels of three or four bytes, as `bytes` says; a byte beyond the last one is looked at
 * @param to receives the first pixel of each run; written up to a pixel and a byte beyond the last one
 * @param starts receives which pixel each run begins with, 16 bit, and behind them the number of pixels (up to 65535)
 * @returns how many runs there are
 */
export function squeeze(from: usize, count: i32, bytes: i32, to: usize, starts: usize): i32 {
  const mask: u32 = bytes === 3 ? 0xffffff : 0xffffffff;
  let last = ~load<u32>(from) & mask;
  let runs = 0;
  for (let i = 0; i < count; i += 16) {
    if (i > 0 && i + 16 <= count && isEven(from + i * bytes, bytes)) continue;
    // Written down in any case and kept only if it begins a run: grain would have a branch guessed wrong every time.
    for (let end = min(count, i + 16), at = i; at < end; at++) {
      const pixel = load<u32>(from + at * bytes) & mask;
      store<u32>(to + runs * bytes, pixel);
      store<u16>(starts + runs * 2, <u16>at);
      runs += i32(pixel !== last);
      last = pixel;
    }
  }
  store<u16>(starts + runs * 2, <u16>count);
  return runs;
}

/** Whether sixteen pixels are all like the one before them. */
function isEven(at: usize, bytes: i32): bool {
  let even = i8x16.splat(-1);
  for (let vector = 0; vector < bytes; vector++, at += 16) {
    even = v128.and(even, i8x16.eq(v128.load(at), v128.load(at - bytes)));
  }
  return i8x16.all_true(even);
}

/**
 * Puts interleaved pixels of three samples as often as their runs are long; written up to a byte beyond the last one.
 * @param starts as `squeeze` gives them
 */
export function repeatRuns(from: usize, starts: usize, runs: i32, to: usize): void {
  for (let run = 0; run < runs; run++, from += 3, starts += 2) {
    const pixel = load<u32>(from);
    const end = to + <i32>load<u16>(starts, 2) * 3;
    for (let at = to + <i32>load<u16>(starts) * 3; at < end; at += 3) store<u32>(at, pixel);
  }
}

/** Splits interleaved pixels of four samples into planes, each pixel from where its run starts to where the next one does. */
export function splitRuns(
  from: usize,
  starts: usize,
  runs: i32,
  c: usize,
  m: usize,
  y: usize,
  k: usize,
): void {
  for (let run = 0; run < runs; run++, from += 4, starts += 2) {
    const start = <i32>load<u16>(starts);
    const length = <i32>load<u16>(starts, 2) - start;
    fill(c + start, v128.load8_splat(from), length);
    fill(m + start, v128.load8_splat(from, 1), length);
    fill(y + start, v128.load8_splat(from, 2), length);
    fill(k + start, v128.load8_splat(from, 3), length);
  }
}

/** Fills samples; what lies up to 15 bytes behind them is written over, since it is filled next. */
function fill(to: usize, sample: v128, count: i32): void {
  v128.store(to, sample);
  for (let i = 16; i < count; i += 16) v128.store(to + i, sample);
}

/**
 * The largest sum of a pixel's four samples, for each stretch of so many pixels.
 * @param stretch a multiple of four
 * @param mosts receives a number of 32 bit for each stretch
 */
export function mostOfStretches(from: usize, count: i32, stretch: i32, mosts: usize): void {
  for (let start = 0; start < count; start += stretch, mosts += 4) {
    const end = min(count, start + stretch);
    let most = i32x4.splat(0);
    let i = start;
    for (; i + 4 <= end; i += 4) {
      most = i32x4.max_s(most, sumInFours(v128.load(from + i * 4)));
    }
    let last = mostOfInts(most);
    for (; i < end; i++) {
      const at = from + i * 4;
      const sum = <i32>load<u8>(at) + <i32>load<u8>(at, 1) + <i32>load<u8>(at, 2) + <i32>load<u8>(at, 3);
      last = max(last, sum);
    }
    store<i32>(mosts, last);
  }
}
