/** Two bitmaps as one, a word of 128 bits at a time. Bytes are multiples of 8; works on up to 8 bytes beyond the last one. */

/** What is set in both. */
export function bitsOfBoth(one: usize, other: usize, bytes: i32, to: usize): void {
  for (let i = 0; i < bytes; i += 16) {
    v128.store(to + i, v128.and(v128.load(one + i), v128.load(other + i)));
  }
}

/** What is set in either. */
export function bitsOfEither(one: usize, other: usize, bytes: i32, to: usize): void {
  for (let i = 0; i < bytes; i += 16) {
    v128.store(to + i, v128.or(v128.load(one + i), v128.load(other + i)));
  }
}

/** What is set in the first and not in the other. */
export function bitsWithout(one: usize, other: usize, bytes: i32, to: usize): void {
  for (let i = 0; i < bytes; i += 16) {
    v128.store(to + i, v128.andnot(v128.load(one + i), v128.load(other + i)));
  }
}
