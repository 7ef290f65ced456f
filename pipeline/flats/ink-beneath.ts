import type { PixelBox, SizePx } from '../../config/units.js';
import { emptyBitmap, findChanges, wordsOf } from '../line/bitmap.js';
import { setRun } from '../line/connected.js';
import type { Bitmap } from '../model/raster.js';

/** A line as it lies over flats: the same page box in the pixels of both. */
export interface LineOver {
  readonly line: Bitmap;
  /** Trim plus bleed in the line's pixels, and in those of the flats. */
  readonly inLine: PixelBox;
  readonly inFlats: PixelBox;
}

/** Longer than the noise of floating point, shorter than a pixel that counts. */
const noise = 1e-6;

/**
 * The line in the pixels of the flats. A pixel of the flats counts as ink where any of it is: flats of half the line's resolution cannot
 * end more exactly.
 * @returns the line itself where it has the same pixels
 */
export function inkOver({ line, inLine, inFlats }: LineOver, size: SizePx): Bitmap {
  const isSame = line.width === size.width && line.height === size.height && areEqual(inLine, inFlats);
  if (isSame) return line;
  const mask = emptyBitmap(size);
  const [words, lineWords] = [wordsOf(mask), wordsOf(line)];
  const [across, down] = [inFlats.width / inLine.width, inFlats.height / inLine.height];
  const lineInRow = line.rowBytes >> 2;
  const joined = new Uint32Array(lineInRow);
  const changes = new Uint32Array(line.width + 1);
  for (let y = 0; y < size.height; y++) {
    const top = Math.max(0, Math.floor(inLine.top + (y - inFlats.top) / down + noise));
    const bottom = Math.min(line.height, Math.ceil(inLine.top + (y + 1 - inFlats.top) / down - noise));
    if (bottom <= top) continue;
    joined.fill(0);
    for (let row = top; row < bottom; row++) {
      for (let at = 0; at < lineInRow; at++) joined[at] |= lineWords[row * lineInRow + at];
    }
    const count = findChanges(joined, 0, lineInRow, changes);
    if (count % 2 === 1) changes[count] = line.width;
    for (let i = 0; i < count; i += 2) {
      const left = Math.floor(inFlats.left + (changes[i] - inLine.left) * across + noise);
      const right = Math.ceil(inFlats.left + (changes[i + 1] - inLine.left) * across - noise);
      const [start, end] = [Math.max(0, left), Math.min(size.width, right)];
      if (start < end) setRun(words, y * (mask.rowBytes >> 2), start, end);
    }
  }
  return mask;
}

function areEqual(one: PixelBox, other: PixelBox): boolean {
  return (
    one.left === other.left &&
    one.top === other.top &&
    one.width === other.width &&
    one.height === other.height
  );
}
