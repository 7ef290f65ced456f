/**
 * Whether thin strokes show in the colour beneath them: whether a stroke's own colour is darker than what lies beside it.
 * What is asked of a pixel, and why, stands in pipeline/line/line-shown.ts.
 */

/** A window of rows of a page: the colour of its pixels, and how far line covers each. */
let colourAt: usize = 0;
let coverAt: usize = 0;
let windowWidth: i32 = 0;
let windowRows: i32 = 0;
let colourChannels: i32 = 0;
/** 1 for 8 bit, 2 for 16. */
let colourSampleBytes: i32 = 0;

/** Says where the window lies that the next counts are about. */
export function lookAt(
  colour: usize,
  cover: usize,
  width: i32,
  rows: i32,
  channels: i32,
  sampleBytes: i32,
): void {
  colourAt = colour;
  coverAt = cover;
  windowWidth = width;
  windowRows = rows;
  colourChannels = channels;
  colourSampleBytes = sampleBytes;
}

/**
 * Counts strokes that show and strokes that do not, among the pixels of some rows that are set in one bitmap and not in
 * another; every `every`th is asked, along diagonals.
 * @param bits and `but` of the rows, each of `row` bytes
 * @param first of these rows in the window
 * @param pageRow which row of the page that is
 * @param look how far beside a stroke is looked, in pixels: the window holds one row more than that around these rows, as
 *   far as the page goes
 * @param blackTo the brightest black, 0 to 255
 * @param darkerBy by how much of 255 a stroke has to be darker than what is beside it
 * @param counts receives how many show and how many do not, 32 bit each
 */
export function countStrokes(
  bits: usize,
  but: usize,
  row: i32,
  first: i32,
  count: i32,
  pageRow: i32,
  every: i32,
  look: i32,
  blackTo: f64,
  darkerBy: f64,
  counts: usize,
): void {
  let shown = 0;
  let hidden = 0;
  for (let y = 0; y < count; y++) {
    for (let x = 0; x < windowWidth; x += 64) {
      const at = y * row + (x >> 3);
      for (let thin = load<u64>(bits + at) & ~load<u64>(but + at); thin !== 0; thin &= thin - 1) {
        const place = x + <i32>ctz(thin);
        if (place % every !== (pageRow + y) % every) continue;
        const told = strokeShows(place, first + y, look, blackTo, darkerBy);
        shown += i32(told > 0);
        hidden += i32(told < 0);
      }
    }
  }
  store<i32>(counts, shown);
  store<i32>(counts, hidden, 4);
}

/** 1 where the stroke shows, -1 where it does not, 0 where nothing tells: black beside it, or no end in reach. */
function strokeShows(x: i32, y: i32, look: i32, blackTo: f64, darkerBy: f64): i32 {
  const own = lumaAt(y * windowWidth + x);
  let told = 0;
  for (let stepY = -1; stepY <= 1; stepY++) {
    for (let stepX = -1; stepX <= 1; stepX++) {
      if (stepX === 0 && stepY === 0) continue;
      const beside = besideStroke(x, y, stepX, stepY, look);
      if (beside < 0) continue;
      const light = lumaAt(beside);
      if (light <= blackTo) continue;
      if (light - own < darkerBy) return -1;
      told = 1;
    }
  }
  return told;
}

/** The second pixel without line in one direction (the first may have a soft edge); -1 where there is none. */
function besideStroke(x: i32, y: i32, stepX: i32, stepY: i32, look: i32): i32 {
  const inside = min(stepsInside(x, stepX, windowWidth), stepsInside(y, stepY, windowRows));
  const most = min(look, inside);
  const stride = stepY * windowWidth + stepX;
  let at = y * windowWidth + x + stride;
  for (let step = 1; step <= most; step++, at += stride) {
    if (load<u8>(coverAt + at) !== 0) continue;
    return step < inside && load<u8>(coverAt + at + stride) === 0 ? at + stride : at;
  }
  return -1;
}

/** How many steps lead from a place to the last one within a length. */
function stepsInside(place: i32, step: i32, length: i32): i32 {
  if (step === 0) return length;
  return step > 0 ? length - 1 - place : place;
}

/** Brightness of a pixel, 0 to 255, with the weights of ITU-R BT.601. */
function lumaAt(pixel: i32): f64 {
  const at = pixel * colourChannels;
  if (colourChannels === 3 && colourSampleBytes === 1) {
    const first = colourAt + at;
    return <f64>load<u8>(first) * 0.299 + <f64>load<u8>(first, 1) * 0.587 + <f64>load<u8>(first, 2) * 0.114;
  }
  const scale: f64 = colourSampleBytes === 1 ? 1 : 257;
  if (colourChannels < 3) return sampleAt(at) / scale;
  return (sampleAt(at) * 0.299 + sampleAt(at + 1) * 0.587 + sampleAt(at + 2) * 0.114) / scale;
}

function sampleAt(index: i32): f64 {
  return colourSampleBytes === 1 ? <f64>load<u8>(colourAt + index) : <f64>load<u16>(colourAt + index * 2);
}
