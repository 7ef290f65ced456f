import { mostOfInts, sumInFours } from './planes';

/**
 * Runs of pixels of one colour. Flats and gradients along a row are most of a coloured page, and what is worked out for one
 * pixel holds for its whole run.
 */

/**
 * Leaves one pixel of each run.
 * @param from interleaved pixels of three samples; up to 16 bytes beyond the last one are looked at
 * @param to receives the first pixel of each run; written up to one pixel and a byte beyond the last one
 * @param starts receives which pixel each run begins with, 16 bit, and behind them the number of pixels (up to 65535)
 * @returns how many runs there are
 */
export function squeeze(from: usize, count: i32, to: usize, starts: usize): i32 {
  let last = ~(load<u32>(from) & 0xffffff);
  let runs = 0;
  for (let i = 0; i < count; i += 16) {
    if (i > 0 && i + 16 <= count && isEven(from + i * 3)) continue;
    // Written down in any case and kept only if it begins a run: grain would have a branch guessed wrong every time.
    for (let end = min(count, i + 16), at = i; at < end; at++) {
      const pixel = load<u32>(from + at * 3) & 0xffffff;
      store<u32>(to + runs * 3, pixel);
      store<u16>(starts + runs * 2, <u16>at);
      runs += i32(pixel !== last);
      last = pixel;
    }
  }
  store<u16>(starts + runs * 2, <u16>count);
  return runs;
}

/** Whether sixteen pixels are all like the one before them. */
function isEven(at: usize): bool {
  const first = i8x16.eq(v128.load(at), v128.load(at - 3));
  const second = i8x16.eq(v128.load(at, 16), v128.load(at - 3, 16));
  const third = i8x16.eq(v128.load(at, 32), v128.load(at - 3, 32));
  return i8x16.all_true(v128.and(first, v128.and(second, third)));
}

/** Parts interleaved pixels of four samples into planes, each pixel from where its run starts to where the next one does. */
export function partRuns(
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
