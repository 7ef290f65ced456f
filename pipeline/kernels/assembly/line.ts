import { alphaLanes, alphasOf, pixelSize } from './tiles';

/**
 * Passes over the black line on tiles of layers. Numbers of double precision are used where the pipeline's definition does so, in
 * the same order, so that every sample is the same.
 */

const full: f64 = 65535;
const tileSide: i32 = 32;

/** Amount of line that a byte stands for; 65535 is 255 x 257, so that no quotient falls on a half. */
function in8(amount: u32): u32 {
  return (amount + 128) / 257;
}

/** Whether a pixel of a tile is opaque black. */
function isFullBlack(pixel: usize): bool {
  return load<u64>(pixel) === 0xffff000000000000;
}

/**
 * Brings the amount of line of each pixel of a tile to 8 bit, and lists the pixels that have to be judged: all with line but those
 * that are full of it and as black as black ink over anything.
 * @param amount line of each pixel, 16 bit, rows of 32
 * @param tile the page as it looks, with alpha
 * @param to receives the amounts of pixels with line, rows of `toRow` bytes; others are left alone
 * @param list receives the listed pixels, 16 bit each: 32 times their row, and their column
 * @returns how many are listed
 */
export function listLine(
  amount: usize,
  tile: usize,
  width: i32,
  rows: i32,
  to: usize,
  toRow: usize,
  list: usize,
): i32 {
  const start = list;
  for (let y = 0; y < rows; y++, to += toRow) {
    for (let x = 0; x < width; x += 8) {
      if (!v128.any_true(v128.load(amount + <usize>(y * tileSide + x) * 2))) continue;
      const end = min(width, x + 8);
      for (let at = x; at < end; at++) {
        const pixel = y * tileSide + at;
        const drawn: u32 = load<u16>(amount + <usize>pixel * 2);
        if (drawn === 0) continue;
        store<u8>(to + <usize>at, in8(drawn));
        if (drawn === 65535 && isFullBlack(tile + <usize>pixel * pixelSize)) continue;
        store<u16>(list, pixel);
        list += 2;
      }
    }
  }
  return <i32>((list - start) >> 1);
}

/**
 * Lists the pixels of a tile whose line has to be decided one by one: all but those without a mark or doubt, and those with as much
 * line as the threshold asks, marked as nothing but line, without doubt.
 * @param doubts a byte for each pixel, rows of `doubtRow` bytes
 * @param most doubt up to which a pixel is sure
 * @param marks a byte for each pixel, rows of 32
 * @param lineMark the byte of line that nothing else is known of
 * @param least amount of the threshold
 * @param list as for `listLine`
 * @param sure receives how many sure pixels are line, 32 bit
 * @returns how many are listed
 */
export function listDoubtful(
  doubts: usize,
  doubtRow: usize,
  most: u32,
  marks: usize,
  lineMark: u32,
  amount: usize,
  least: u32,
  width: i32,
  rows: i32,
  list: usize,
  sure: usize,
): i32 {
  const start = list;
  let lines: u32 = 0;
  for (let y = 0; y < rows; y++, doubts += doubtRow) {
    for (let x = 0; x < width; x += 8) {
      const first = <usize>(y * tileSide + x);
      if ((load<u64>(marks + first) | load<u64>(doubts + <usize>x)) === 0) continue;
      const end = min(width, x + 8);
      for (let at = x; at < end; at++) {
        const pixel = y * tileSide + at;
        const isSure = <u32>load<u8>(doubts + <usize>at) <= most;
        const mark: u32 = load<u8>(marks + <usize>pixel);
        if (isSure && mark === 0) continue;
        if (isSure && mark === lineMark && <u32>load<u16>(amount + <usize>pixel * 2) >= least) lines++;
        else {
          store<u16>(list, pixel);
          list += 2;
        }
      }
    }
  }
  store<u32>(sure, lines);
  return <i32>((list - start) >> 1);
}

/** The sum of a pixel's samples as its luminosity is reckoned, by the weights of W3C Compositing and Blending Level 1. */
function lum(pixel: usize): f64 {
  return 0.3 * <f64>load<u16>(pixel) + 0.59 * <f64>load<u16>(pixel, 2) + 0.11 * <f64>load<u16>(pixel, 4);
}

/**
 * Adds the line of a tile to what there is: amounts a and b together are 1 - (1 - a)(1 - b).
 * @param over the line, with alpha
 * @param covers 1 where line counts as far as it is opaque, whatever its colour; 0 as far as it is dark as well
 * @param amount line of each pixel, 16 bit; changed in place
 * @param marks a byte for each pixel; gets `lineMark` where the amount comes to `least`
 */
export function addLine(
  over: usize,
  covers: i32,
  amount: usize,
  marks: usize,
  lineMark: u32,
  least: u32,
  pixels: i32,
): void {
  for (let pixel = 0; pixel < pixels; pixel += 2, over += 2 * pixelSize) {
    if (!v128.any_true(v128.and(v128.load(over), alphaLanes()))) continue;
    for (let i = 0; i < 2; i++) {
      const from = over + <usize>i * pixelSize;
      const alpha: f64 = <f64>load<u16>(from, 6);
      if (alpha === 0) continue;
      const darkness: f64 = covers !== 0 ? 1 : 1 - lum(from) / full;
      const more = alpha * darkness;
      const to = amount + <usize>(pixel + i) * 2;
      const before: f64 = <f64>load<u16>(to);
      const after: u32 = <u32>(before + more - (before * more) / full + 0.5);
      store<u16>(to, after);
      const mark = marks + <usize>(pixel + i);
      if (after >= least) store<u8>(mark, <u32>load<u8>(mark) | lineMark);
    }
  }
}

/** Whether every pixel of a tile that shows at all is white. */
export function isPaper(tile: usize, pixels: i32): bool {
  for (let pixel = 0; pixel < pixels; pixel += 2, tile += 2 * pixelSize) {
    const samples = v128.load(tile);
    const isNothing = i16x8.eq(alphasOf(samples), i16x8.splat(0));
    const isWhite = v128.or(i16x8.eq(samples, i16x8.splat(-1)), alphaLanes());
    if (!i16x8.all_true(v128.or(isWhite, isNothing))) return false;
  }
  return true;
}

const hasPaint: i32 = 1;
const hasInk: i32 = 2;

/**
 * Splits white paint off a tile of line: a pixel that is neither coloured nor black becomes paint and the black on top of it,
 * any other is ink as it is (`splitPixel` of the pipeline has the formula).
 * @param chroma most difference between the samples of a neutral pixel
 * @param level most of any sample of black
 * @param paint ink both wholly overwritten
 * @returns 1 where there is any paint, plus 2 where there is any ink
 */
export function splitLine(from: usize, chroma: f64, level: f64, paint: usize, ink: usize, pixels: i32): i32 {
  memory.fill(paint, 0, <usize>pixels * pixelSize);
  memory.fill(ink, 0, <usize>pixels * pixelSize);
  let found = 0;
  for (let at: usize = 0; at < <usize>pixels * pixelSize; at += 2 * pixelSize) {
    if (!v128.any_true(v128.and(v128.load(from + at), alphaLanes()))) continue;
    found |= splitPixel(from + at, chroma, level, paint + at, ink + at);
    const next = at + pixelSize;
    if (next < <usize>pixels * pixelSize)
      found |= splitPixel(from + next, chroma, level, paint + next, ink + next);
  }
  return found;
}

function splitPixel(from: usize, chroma: f64, level: f64, paint: usize, ink: usize): i32 {
  const opacity: u32 = load<u16>(from, 6);
  if (opacity === 0) return 0;
  const red: u32 = load<u16>(from);
  const green: u32 = load<u16>(from, 2);
  const blue: u32 = load<u16>(from, 4);
  const most = max(red, max(green, blue));
  if (<f64>(most - min(red, min(green, blue))) > chroma || <f64>most <= level) {
    store<u64>(ink, load<u64>(from));
    return hasInk;
  }
  const share: f64 = <f64>most / full;
  const alpha: f64 = <f64>opacity / full;
  const black: f64 = alpha * (1 - share);
  for (let c: usize = 0; c < 6; c += 2) {
    store<u16>(paint + c, <u32>min<f64>(full, <f64>load<u16>(from + c) / share + 0.5));
  }
  store<u16>(paint, <u32>min<f64>(full, ((alpha * share) / (1 - black)) * full + 0.5), 6);
  const left = <u32>(black * full + 0.5);
  store<u16>(ink, left, 6);
  return left === 0 ? hasPaint : hasPaint | hasInk;
}
