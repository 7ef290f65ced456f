import { findChanges, wordsOf } from '../line/bitmap.js';
import type { Bitmap } from '../model/raster.js';

/**
 * CCITT Group 4 for the line plate: two-dimensional coding after ITU-T T.6, with the run codes of ITU-T T.4 tables 2
 * and 3. Each row is told by where it differs from the row above, which suits inks well.
 *
 * Written here rather than taken from the image library, because the library takes 8-bit light and this takes the
 * plate as it is; tests read every result back with that library, so the two check each other.
 */

/** Codes for runs of 0 to 63, then of 64, 128 ... 1728, as bits. White is paper, black is ink. */
const whiteCodes = `
00110101 000111 0111 1000 1011 1100 1110 1111 10011 10100 00111 01000 001000 000011 110100 110101 101010
101011 0100111 0001100 0001000 0010111 0000011 0000100 0101000 0101011 0010011 0100100 0011000 00000010
00000011 00011010 00011011 00010010 00010011 00010100 00010101 00010110 00010111 00101000 00101001 00101010
00101011 00101100 00101101 00000100 00000101 00001010 00001011 01010010 01010011 01010100 01010101 00100100
00100101 01011000 01011001 01011010 01011011 01001010 01001011 00110010 00110011 00110100 11011 10010 010111
0110111 00110110 00110111 01100100 01100101 01101000 01100111 011001100 011001101 011010010 011010011
011010100 011010101 011010110 011010111 011011000 011011001 011011010 011011011 010011000 010011001
010011010 011000 010011011`;

const blackCodes = `
0000110111 010 11 10 011 0011 0010 00011 000101 000100 0000100 0000101 0000111 00000100 00000111 000011000
0000010111 0000011000 0000001000 00001100111 00001101000 00001101100 00000110111 00000101000 00000010111
00000011000 000011001010 000011001011 000011001100 000011001101 000001101000 000001101001 000001101010
000001101011 000011010010 000011010011 000011010100 000011010101 000011010110 000011010111 000001101100
000001101101 000011011010 000011011011 000001010100 000001010101 000001010110 000001010111 000001100100
000001100101 000001010010 000001010011 000000100100 000000110111 000000111000 000000100111 000000101000
000001011000 000001011001 000000101011 000000101100 000001011010 000001100110 000001100111 0000001111
000011001000 000011001001 000001011011 000000110011 000000110100 000000110101 0000001101100 0000001101101
0000001001010 0000001001011 0000001001100 0000001001101 0000001110010 0000001110011 0000001110100
0000001110101 0000001110110 0000001110111 0000001010010 0000001010011 0000001010100 0000001010101
0000001011010 0000001011011 0000001100100 0000001100101`;

/** Codes for runs of 1792, 1856 ... 2560 of either colour. */
const longCodes = `
00000001000 00000001100 00000001101 000000010010 000000010011 000000010100 000000010101 000000010110
000000010111 000000011100 000000011101 000000011110 000000011111`;

const longestRun = 2560;

interface Codes {
  readonly bits: Uint16Array;
  readonly lengths: Uint8Array;
}

function codesOf(text: string): Codes {
  const codes = text.trim().split(/\s+/);
  return {
    bits: Uint16Array.from(codes, (code) => Number.parseInt(code, 2)),
    lengths: Uint8Array.from(codes, (code) => code.length),
  };
}

/** By colour, 0 paper and 1 ink: terminating codes at 0 to 63, make-up codes from index 64 on (run / 64 + 63). */
const runCodes = [codesOf(whiteCodes + longCodes), codesOf(blackCodes + longCodes)];

/** T.6 table 4, as [bits, length]; the vertical ones for a1 three to the left of b1 up to three to the right. */
const passMode = [0b0001, 4] as const;
const horizontalMode = [0b001, 3] as const;
const verticalModes = [
  [0b0000010, 7],
  [0b000010, 6],
  [0b010, 3],
  [0b1, 1],
  [0b011, 3],
  [0b000011, 6],
  [0b0000011, 7],
] as const;
const endOfBlock = [0b000000000001, 12] as const;

/** Gathers bits, most significant first. */
class BitWriter {
  #bytes = new Uint8Array(64 * 1024);
  #length = 0;
  #pending = 0;
  #pendingBits = 0;

  clear(): void {
    this.#length = 0;
    this.#pending = 0;
    this.#pendingBits = 0;
  }

  /** Makes sure that so many more bytes fit. */
  reserve(count: number): void {
    if (this.#length + count <= this.#bytes.length) return;
    const larger = new Uint8Array(Math.max(this.#bytes.length * 2, this.#length + count));
    larger.set(this.#bytes.subarray(0, this.#length));
    this.#bytes = larger;
  }

  /** At most 13 bits at once, so that with up to 7 pending ones they stay within 32. */
  put(bits: number, length: number): void {
    this.#pending = (this.#pending << length) | bits;
    this.#pendingBits += length;
    while (this.#pendingBits >= 8) {
      this.#pendingBits -= 8;
      this.#bytes[this.#length++] = this.#pending >>> this.#pendingBits;
    }
    this.#pending &= 0xff;
  }

  finish(): Uint8Array {
    this.reserve(1);
    if (this.#pendingBits > 0) this.put(0, 8 - this.#pendingBits);
    return this.#bytes.slice(0, this.#length);
  }
}

/** One for all plates: with a new one for each, the engine would optimise the code that uses it again and again. */
const out = new BitWriter();

/** Packs a plate of width x height x 1 bit as one block of T.6, ended by EOFB: what is set is coded as black. */
export function packG4(plate: Bitmap): Uint8Array {
  const { width, height } = plate;
  out.clear();
  const words = wordsOf(plate);
  const wordsInRow = plate.rowBytes >> 2;
  // One place for every possible change, and room for the ends that searching may look at beyond the last one.
  let above = new Uint32Array(width + 5).fill(width);
  let here = new Uint32Array(width + 5);
  for (let row = 0; row < height; row++) {
    // Columns where the row turns from paper to ink and back, closed by the width, four times.
    const count = findChanges(words, row * wordsInRow, wordsInRow, here);
    here.fill(width, count, count + 4);
    // No change takes more than four bytes, passing over one above half a byte; runs over 2560 repeat their code.
    out.reserve((count + 4) * 4 + Math.ceil(width / 4) + Math.ceil(width / longestRun) * 2);
    packRow(here, above, width);
    [above, here] = [here, above];
  }
  out.reserve(4);
  out.put(...endOfBlock);
  out.put(...endOfBlock);
  return out.finish();
}

/** One row after the flow of T.6 figure 7; a0, a1, a2, b1, b2 are the names used there. */
function packRow(here: Uint32Array, above: Uint32Array, width: number): void {
  let a0 = -1;
  let colour = 0;
  let a = 0;
  let b = 0;
  while (a0 < width) {
    // b1: the first change above to the right of a0 that turns to the other colour; its index is even for paper.
    b = b > 0 ? b - 1 : 0;
    if ((b & 1) !== colour) b++;
    while (above[b] <= a0 && above[b] < width) b += 2;
    const a1 = here[a];
    const b1 = above[b];
    const b2 = above[b + 1];
    if (b2 < a1) {
      out.put(passMode[0], passMode[1]);
      a0 = b2;
      continue;
    }
    const shift = a1 - b1;
    if (shift >= -3 && shift <= 3) {
      const mode = verticalModes[shift + 3];
      out.put(mode[0], mode[1]);
      a0 = a1;
      a += 1;
      colour ^= 1;
      continue;
    }
    const a2 = here[a + 1];
    out.put(horizontalMode[0], horizontalMode[1]);
    putRun(colour, a1 - Math.max(a0, 0));
    putRun(colour ^ 1, a2 - a1);
    a0 = a2;
    a += 2;
  }
}

function putRun(colour: number, run: number): void {
  const { bits, lengths } = runCodes[colour];
  let left = run;
  while (left >= 64) {
    const made = Math.min(left - (left % 64), longestRun);
    const code = made / 64 + 63;
    out.put(bits[code], lengths[code]);
    left -= made;
  }
  out.put(bits[left], lengths[left]);
}
