/**
 * Growing and shrinking of masks by a square. Masks are width x height x 1; anything nonzero is set. Results hold 0 and
 * 255.
 *
 * A mask is packed to one bit a pixel first, so that one step of a computer word moves 32 pixels, and the square is
 * built by doubling: what reaches 1, 2, 4 ... pixels is laid over itself. The cost hardly depends on the distance; on a
 * page of 7 megapixels it is a tenth of counting runs byte by byte.
 */

/**
 * Shrinks a mask by `distancePx` on all sides. What runs off the page counts as going on beyond it, so a black that
 * bleeds is not pulled back from the edge of the page.
 */
export function shrink(mask: Uint8Array, width: number, height: number, distancePx: number): Uint8Array {
  // Shrinking is growing what is not set; what is not set ends at the edge of the page.
  const bits = pack(mask, width, height, distancePx, false);
  spread(bits, distancePx);
  return unpack(bits, width, height, false);
}

/** Grows a mask by `distancePx` on all sides. */
export function grow(mask: Uint8Array, width: number, height: number, distancePx: number): Uint8Array {
  const bits = pack(mask, width, height, distancePx, true);
  spread(bits, distancePx);
  return unpack(bits, width, height, true);
}

/** Bits of a mask, with room for `distance` further pixels on all sides; pixel 0 is the lowest bit of a row's first word. */
interface PackedMask {
  readonly words: Uint32Array;
  readonly wordsInRow: number;
  readonly rows: number;
}

/** Sets a bit wherever the mask is set (or is not set), `distance` rows and columns into the packed mask. */
function pack(
  mask: Uint8Array,
  width: number,
  height: number,
  distance: number,
  whereSet: boolean,
): PackedMask {
  const wordsInRow = Math.ceil((width + 2 * distance) / 32);
  const rows = height + 2 * distance;
  const words = new Uint32Array(wordsInRow * rows);
  const view = new DataView(mask.buffer, mask.byteOffset, mask.length);
  for (let y = 0, i = 0; y < height; y++) {
    let at = (y + distance) * wordsInRow * 32 + distance;
    const end = i + width;
    for (; i + 4 <= end; i += 4, at += 4) {
      const four = fourBits(view.getUint32(i, true)) ^ (whereSet ? 0 : 15);
      if (four === 0) continue;
      words[at >> 5] |= four << (at & 31);
      if ((at & 31) > 28) words[(at >> 5) + 1] |= four >>> (32 - (at & 31));
    }
    for (; i < end; i++, at++) if ((mask[i] !== 0) === whereSet) words[at >> 5] |= 1 << (at & 31);
  }
  return { words, wordsInRow, rows };
}

/** One bit for each of four samples, set where the sample is; the first sample is the lowest byte and bit. */
function fourBits(four: number): number {
  if (four === 0) return 0;
  if (four === 0xffffffff) return 15;
  return (
    ((four & 0xff) === 0 ? 0 : 1) |
    ((four & 0xff00) === 0 ? 0 : 2) |
    ((four & 0xff0000) === 0 ? 0 : 4) |
    (four >>> 24 === 0 ? 0 : 8)
  );
}

/**
 * Lays the mask over itself, shifted by 0 to 2 x distance pixels towards lower columns and rows: since it lies
 * `distance` into its room, the result lies at the start of it.
 */
function spread(mask: PackedMask, distance: number): void {
  const reach = 2 * distance + 1;
  // After each step a bit stands for `covered` neighbours, itself included; the last step may overlap.
  for (let covered = 1; covered < reach; ) {
    const step = Math.min(covered, reach - covered);
    mergeColumns(mask, step);
    mergeRows(mask, step);
    covered += step;
  }
}

function mergeColumns({ words, wordsInRow, rows }: PackedMask, step: number): void {
  const whole = step >> 5;
  const part = step & 31;
  for (let start = 0; start < rows * wordsInRow; start += wordsInRow) {
    const end = start + wordsInRow;
    for (let at = start; at + whole < end; at++) {
      const near = words[at + whole];
      const next = at + whole + 1 < end ? words[at + whole + 1] : 0;
      words[at] |= part === 0 ? near : (near >>> part) | (next << (32 - part));
    }
  }
}

function mergeRows({ words, wordsInRow }: PackedMask, step: number): void {
  for (let at = 0, from = step * wordsInRow; from < words.length; at++, from++) words[at] |= words[from];
}

/** 255 wherever the packed mask has (or lacks) a bit. */
function unpack(mask: PackedMask, width: number, height: number, whereSet: boolean): Uint8Array {
  const { words, wordsInRow } = mask;
  const result = new Uint8Array(width * height);
  for (let y = 0; y < height; y++) {
    for (let x = 0, word = y * wordsInRow; x < width; x += 32, word++) {
      const bits = whereSet ? words[word] : ~words[word];
      if (bits === 0) continue;
      const start = y * width + x;
      const end = start + Math.min(32, width - x);
      if (bits === -1 || bits === 0xffffffff) result.fill(255, start, end);
      else for (let i = start, rest = bits; i < end; i++, rest >>>= 1) if ((rest & 1) !== 0) result[i] = 255;
    }
  }
  return result;
}
