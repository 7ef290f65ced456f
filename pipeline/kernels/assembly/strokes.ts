/**
 * Whether thin strokes show in the colour beneath them: whether a stroke's own colour is darker than what lies beside it.
 * What is asked of a pixel, and why, stands in pipeline/line/line-shown.ts.
 */

/** A window of rows of a page: the colour of its pixels, and how far line covers each. */
let colour: usize = 0;
let cover: usize = 0;
let width: i32 = 0;
let rows: i32 = 0;
let channels: i32 = 0;
/** 1 for 8 bit, 2 for 16. */
let sampleBytes: i32 = 0;

/** Says where the window lies that the next counts are about. */
export function lookAt(at: usize, line: usize, across: i32, down: i32, samples: i32, bytes: i32): void {
  colour = at;
  cover = line;
  width = across;
  rows = down;
  channels = samples;
  sampleBytes = bytes;
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
    for (let x = 0; x < width; x += 64) {
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
  const own = lumaAt(y * width + x);
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
  const inside = min(stepsInside(x, stepX, width), stepsInside(y, stepY, rows));
  const most = min(look, inside);
  const stride = stepY * width + stepX;
  let at = y * width + x + stride;
  for (let step = 1; step <= most; step++, at += stride) {
    if (load<u8>(cover + at) !== 0) continue;
    return step < inside && load<u8>(cover + at + stride) === 0 ? at + stride : at;
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
  const at = pixel * channels;
  if (channels === 3 && sampleBytes === 1) {
    const first = colour + at;
    return <f64>load<u8>(first) * 0.299 + <f64>load<u8>(first, 1) * 0.587 + <f64>load<u8>(first, 2) * 0.114;
  }
  const scale: f64 = sampleBytes === 1 ? 1 : 257;
  if (channels < 3) return sampleAt(at) / scale;
  return (sampleAt(at) * 0.299 + sampleAt(at + 1) * 0.587 + sampleAt(at + 2) * 0.114) / scale;
}

function sampleAt(index: i32): f64 {
  return sampleBytes === 1 ? <f64>load<u8>(colour + index) : <f64>load<u16>(colour + index * 2);
}
