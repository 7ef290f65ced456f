import { mmToPx } from '../../config/units.js';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import { emptyBitmap, wordsOf } from '../line/bitmap.js';
import { cutBits } from '../line/cut-bits.js';
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
  const alone: Speck[] = [];
  for (const { left, top, right, bottom } of piecesOf(grown, { byCorners: isInk })) {
    const [across, down] = [right - left - 2 * reach, bottom - top - 2 * reach];
    const isCut = left === 0 || top === 0 || right === width || bottom === height;
    if (isCut || across > mostPx || down > mostPx) continue;
    alone.push({ left: left + reach, top: top + reach, width: across, height: down });
  }
  const around = new SmallThings(line, shape, ppi);
  // Each is one of those around it itself.
  return alone.filter((speck) => around.countNear(speck) - 1 < textureCount);
}

type Spot = Pick<Speck, 'left' | 'top'>;

/** Small things on a plate, square by square, found where somebody asks. */
class SmallThings {
  private readonly squares = new Map<number, readonly Spot[]>();
  private readonly side: number;
  private readonly mostPx: number;

  constructor(
    private readonly line: Bitmap,
    private readonly shape: 'ink' | 'paper',
    ppi: number,
  ) {
    this.side = Math.max(1, Math.round(mmToPx(textureMm, ppi)));
    this.mostPx = mmToPx(smallMm, ppi);
  }

  /** How many there are around a place, those at it included. */
  countNear({ left, top }: Spot): number {
    const { side } = this;
    const [column, row] = [Math.floor(left / side), Math.floor(top / side)];
    let near = 0;
    for (let y = row - 1; y <= row + 1; y++) {
      for (let x = column - 1; x <= column + 1; x++) {
        for (const other of this.inSquare(x, y)) {
          if (Math.hypot(other.left - left, other.top - top) <= side) near++;
        }
      }
    }
    return near;
  }

  private inSquare(column: number, row: number): readonly Spot[] {
    const { line, side, squares } = this;
    const columns = Math.ceil(line.width / side);
    if (column < 0 || row < 0 || column >= columns || row * side >= line.height) return [];
    const name = row * columns + column;
    const spots = squares.get(name) ?? this.find(column * side, row * side);
    squares.set(name, spots);
    return spots;
  }

  /** Things that begin in a square and are small. */
  private find(left: number, top: number): Spot[] {
    const { line, side, mostPx, shape } = this;
    const reach = side + Math.ceil(mostPx);
    const width = Math.min(reach, line.width - left);
    const cut = cutBits(line, { left, top, width, height: Math.min(reach, line.height - top) });
    const isInk = shape === 'ink';
    return piecesOf(isInk ? cut : flipped(cut), { byCorners: isInk })
      .filter((one) => one.right - one.left <= mostPx && one.bottom - one.top <= mostPx)
      .filter((one) => one.left < side && one.top < side)
      .map((one) => ({ left: left + one.left, top: top + one.top }));
  }
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
