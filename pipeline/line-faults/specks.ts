import { mmToPx } from '../../config/units.js';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import { emptyBitmap, wordsOf } from '../line/bitmap.js';
import { grow, shrink } from '../line/morphology.js';
import type { Bitmap } from '../model/raster.js';
import { piecesOf } from './pieces.js';

/**
 * Dust: ink or holes so small that nobody drew them, alone on paper or in black. What stands near other ink is a dot of a letter, the
 * end of a stroke, or a dot among dots, and so is what has others of its kind around it: stipple, spatter, a screen.
 * A full stop that is small enough for a speck belongs to type of some 5 points, where no dot stands as far from its letters as
 * `aloneMm`; so lettering is safe by its measures.
 */

/** Nothing else is as near to a speck, in millimetres. Own choice. */
const aloneMm = 0.5;

/** A speck with so many others within a distance, in millimetres, is one of a texture. Own choice, tried on drawn stipple. */
const textureMm = 4;
const textureCount = 3;

/** What is no longer than this counts as one of them, in millimetres: some dots that run together. Own choice. */
const smallMm = 2;

/** More cells of that distance than any page is wide. */
const cellsInRow = 1 << 16;

/** A speck or a pinhole: its box, in pixels. */
export interface Speck {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

/**
 * Finds specks, or pinholes, of a line plate.
 * @param shape `ink` looks for ink on paper, `paper` for holes in black
 * @param mostMm the longer side of the largest
 * @returns in reading order
 */
export function findSpecks(
  line: Bitmap,
  shape: 'ink' | 'paper',
  mostMm: number,
  ppi: number,
  memory: KernelMemory,
): Speck[] {
  const mostPx = Math.round(mmToPx(mostMm, ppi));
  if (mostPx < 1) return [];
  const reach = Math.max(1, Math.round(mmToPx(aloneMm, ppi) / 2));
  const isInk = shape === 'ink';
  // What is nearer than twice the reach grows into one piece.
  const grown = isInk ? grow(line, reach, memory) : flipped(shrink(line, reach, memory));
  const { width, height } = line;
  const smallPx = mmToPx(smallMm, ppi);
  const alone: Speck[] = [];
  const small: Spot[] = [];
  for (const { left, top, right, bottom } of piecesOf(grown, { byCorners: isInk })) {
    const [across, down] = [right - left - 2 * reach, bottom - top - 2 * reach];
    if (across <= smallPx && down <= smallPx) small.push({ left, top });
    const isCut = left === 0 || top === 0 || right === width || bottom === height;
    if (isCut || across > mostPx || down > mostPx) continue;
    alone.push({ left: left + reach, top: top + reach, width: across, height: down });
  }
  return withoutTexture(alone, small, mmToPx(textureMm, ppi));
}

type Spot = Pick<Speck, 'left' | 'top'>;

/** Specks that have few other small things around them. */
function withoutTexture(specks: readonly Speck[], small: readonly Spot[], nearPx: number): Speck[] {
  const cells = new Map<number, Spot[]>();
  const cellAt = (px: number) => Math.floor(px / nearPx) + 1;
  const nameOf = (column: number, row: number) => row * cellsInRow + column;
  for (const spot of small) {
    const name = nameOf(cellAt(spot.left), cellAt(spot.top));
    const cell = cells.get(name);
    if (cell === undefined) cells.set(name, [spot]);
    else cell.push(spot);
  }
  const nearOf = ({ left, top }: Speck) => {
    let near = 0;
    for (let row = cellAt(top) - 1; row <= cellAt(top) + 1; row++) {
      for (let column = cellAt(left) - 1; column <= cellAt(left) + 1; column++) {
        for (const other of cells.get(nameOf(column, row)) ?? []) {
          if (Math.hypot(other.left - left, other.top - top) <= nearPx) near++;
        }
      }
    }
    return near;
  };
  // Each is one of those around it itself.
  return specks.filter((speck) => nearOf(speck) - 1 < textureCount);
}

/** A line plate without specks; the one that is handed in stays as it is. */
export function withoutSpecks(line: Bitmap, specks: readonly Speck[]): Bitmap {
  const { rowBytes } = line;
  const bits = line.bits.slice();
  for (const { left, top, width, height } of specks) {
    for (let y = top; y < top + height; y++) {
      for (let x = left; x < left + width; x++) bits[y * rowBytes + (x >> 3)] &= ~(1 << (x & 7));
    }
  }
  return { ...line, bits };
}

/** What is not set of a bitmap. */
function flipped(bitmap: Bitmap): Bitmap {
  const result = emptyBitmap(bitmap);
  const [from, to] = [wordsOf(bitmap), wordsOf(result)];
  const wordsInRow = bitmap.rowBytes >> 2;
  for (let at = 0; at < to.length; at++) {
    const within = bitmap.width - (at % wordsInRow) * 32;
    to[at] = ~from[at] & (within >= 32 ? -1 : within <= 0 ? 0 : (1 << within) - 1);
  }
  return result;
}
