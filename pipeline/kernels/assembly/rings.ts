/** Filling from the edge inwards, in the order of distance; see pipeline/line/fill-beneath.ts. */

/**
 * Gives pixels the mean of those of the eight around them that are nearer to what is visible. Of each row y of a window those are
 * filled whose distance lies from `from - y` to before `to - y`, at least 1 and at most `depth`, the nearest ones first: when
 * such windows follow each other down a page, everything that a pixel needs is there when its turn comes.
 * @param data rows of pixels, changed in place
 * @param distances a byte for each pixel: 0 where it is visible
 * @param channels 1 or 3 samples a pixel, of `sampleBytes` (1 or 2)
 * @param starts room for `depth` + 2 numbers of 32 bit
 * @param list room for as many as there are pixels
 */
export function fillRings(
  data: usize,
  distances: usize,
  width: i32,
  rows: i32,
  channels: i32,
  sampleBytes: i32,
  from: i32,
  to: i32,
  depth: i32,
  starts: usize,
  list: usize,
): void {
  memory.fill(starts, 0, (depth + 2) << 2);
  for (let y = 0; y < rows; y++) sortRow(distances, y, width, from - y, min(to - y, depth + 1), starts, 0);
  // How many there are of each distance becomes where they begin in the list.
  let sum = 0;
  for (let distance = 0; distance <= depth + 1; distance++) {
    const count = load<i32>(starts + (distance << 2));
    store<i32>(starts + (distance << 2), sum);
    sum += count;
  }
  for (let y = 0; y < rows; y++) sortRow(distances, y, width, from - y, min(to - y, depth + 1), starts, list);
  for (let n = 0; n < sum; n++) {
    const i = load<i32>(list + (n << 2));
    if (sampleBytes === 1) meanOfNearer<u8>(data, distances, i, width, rows, channels);
    else meanOfNearer<u16>(data, distances, i, width, rows, channels);
  }
}

/** Counts the pixels of a row by distance, or, where there is a list, puts them into it. */
function sortRow(
  distances: usize,
  y: i32,
  width: i32,
  least: i32,
  end: i32,
  starts: usize,
  list: usize,
): void {
  const first = max(1, least);
  if (first >= end) return;
  const row = distances + y * width;
  for (let x = 0; x < width; x++) {
    while (x + 16 <= width && !v128.any_true(v128.load(row + x))) x += 16;
    if (x >= width) return;
    const distance = <i32>load<u8>(row + x);
    if (distance < first || distance >= end) continue;
    const start = starts + (distance << 2);
    const at = load<i32>(start);
    store<i32>(start, at + 1);
    if (list !== 0) store<i32>(list + (at << 2), y * width + x);
  }
}

function meanOfNearer<T>(data: usize, distances: usize, i: i32, width: i32, rows: i32, channels: i32): void {
  const y = i / width;
  const x = i - y * width;
  const own = load<u8>(distances + i);
  const second = channels === 1 ? 0 : sizeof<T>();
  let red = 0;
  let green = 0;
  let blue = 0;
  let count = 0;
  for (let v = max(0, y - 1); v <= min(rows - 1, y + 1); v++) {
    for (let u = max(0, x - 1); u <= min(width - 1, x + 1); u++) {
      const near = v * width + u;
      if (load<u8>(distances + near) >= own) continue;
      const at = data + near * channels * sizeof<T>();
      red += <i32>load<T>(at);
      green += <i32>load<T>(at + second);
      blue += <i32>load<T>(at + 2 * second);
      count++;
    }
  }
  if (count === 0) return;
  const at = data + i * channels * sizeof<T>();
  store<T>(at, <T>rounded(red, count));
  store<T>(at + second, <T>rounded(green, count));
  store<T>(at + 2 * second, <T>rounded(blue, count));
}

/** A quotient to the nearest whole number, halves upwards. */
function rounded(sum: i32, count: i32): i32 {
  return (2 * sum + count) / (2 * count);
}
