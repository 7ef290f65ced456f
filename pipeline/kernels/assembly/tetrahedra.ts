/**
 * Looks up interleaved pixels of three samples in a table of nodes with four inks each, and interpolates over the tetrahedron
 * of four nodes that a pixel lies in. Along the three axes a pixel has gone some share of the way to the next node; the
 * tetrahedron's corners are reached from the nearest node below by taking those steps in the order of their shares.
 * @param from read up to a byte beyond the last pixel
 * @param axes for each axis and each of 256 samples: the share (8 bit) above the bytes that the step is long (24 bit), and
 *   where the node below stands, in bytes (32 bit)
 * @param nodes four inks of 16 bit, lowered by 32768 so that they count as signed
 * @param to receives four samples of 8 bit for each pixel
 */
export function lookUp(from: usize, count: i32, axes: usize, nodes: usize, to: usize): void {
  const end = to + count * 4;
  for (; to < end; from += 3, to += 4) {
    const pixel = load<u32>(from);
    const first = axes + ((pixel & 255) << 3);
    const second = axes + ((pixel >> 8) & 255) * 8;
    const third = axes + ((pixel >> 16) & 255) * 8;
    const a = load<u32>(first);
    const b = load<u32>(second, 2048);
    const c = load<u32>(third, 4096);
    const below = nodes + load<u32>(first, 4) + load<u32>(second, 2052) + load<u32>(third, 4100);
    // The largest share first; the steps follow their shares.
    const high = max(a, b);
    const low = min(a, b);
    const most = max(high, c);
    const rest = min(high, c);
    const middle = max(low, rest);
    const least = min(low, rest);
    const one = below + (most & stepMask);
    const two = one + (middle & stepMask);
    const three = two + (least & stepMask);
    const near = weights(256 - (most >> 24), (most >> 24) - (middle >> 24));
    const far = weights((middle >> 24) - (least >> 24), least >> 24);
    const sum = i32x4.add(
      i32x4.dot_i16x8_s(pair(below, one), near),
      i32x4.dot_i16x8_s(pair(two, three), far),
    );
    const inks = i32x4.add(sum, i32x4.splat(raised));
    v128.store_lane<u32>(
      to,
      i8x16.shuffle(inks, inks, 2, 6, 10, 14, 2, 6, 10, 14, 2, 6, 10, 14, 2, 6, 10, 14),
      0,
    );
  }
}

const stepMask: u32 = 0xffffff;

/** Weights sum to 256, so this takes back the 32768 of the nodes; with it, half of what is cut off, twice. */
const raised: i32 = 256 * 32768 + 128 * 256 + 128;

function weights(first: u32, second: u32): v128 {
  return i32x4.splat(first | (second << 16));
}

function pair(first: usize, second: usize): v128 {
  return v128.shuffle<i16>(v128.load64_zero(first), v128.load64_zero(second), 0, 8, 1, 9, 2, 10, 3, 11);
}
