import type { SizePx } from '../../config/units.js';
import { squareOf, squarePx } from './edge-pairs.js';

/** What is seen at one pixel when a plate is moved. */
export interface Shown {
  readonly pixel: number;
  readonly kind: 'open' | 'fringe';
  /** Which process ink, 0 to 3. */
  readonly plate: number;
  /** Where the plate is moved to, in pixels. */
  readonly right: number;
  readonly down: number;
  /** How plainly it shows, in multiples of what is told at all. */
  readonly amount: number;
}

/** What is seen within one square of the page. */
export interface ShownSquare {
  readonly worst: Shown;
  readonly openPx: number;
  readonly fringePx: number;
}

const bits = { open: 1, fringe: 2 } as const;

/** Edges that do not stand a move, pixel by pixel, and how long they are. */
export class ShownEdges {
  private readonly marks: Uint8Array;
  private readonly worst = new Map<number, Shown>();

  constructor(private readonly size: SizePx) {
    this.marks = new Uint8Array(size.width * size.height);
  }

  add(shown: Shown): void {
    this.marks[shown.pixel] |= bits[shown.kind];
    const square = squareOf(shown.pixel, this.size.width);
    const worst = this.worst.get(square);
    if (worst === undefined || shown.amount > worst.amount) this.worst.set(square, shown);
  }

  /** All squares in which something is seen, in reading order. */
  squares(): ShownSquare[] {
    const inOrder = [...this.worst].sort(([a], [b]) => a - b);
    return inOrder.map(([square, worst]) => ({
      worst,
      openPx: this.lengthIn(square, bits.open),
      fringePx: this.lengthIn(square, bits.fringe),
    }));
  }

  /**
   * How long the edges within a square are, in pixels, whatever the width of the stripe along them: rows and columns of pixels
   * each cross a straight edge once for every pixel of its extent down and across (Cauchy's formula, for one direction).
   */
  private lengthIn(square: number, bit: number): number {
    const { width, height } = this.size;
    const columns = Math.ceil(width / squarePx);
    const [left, top] = [(square % columns) * squarePx, Math.floor(square / columns) * squarePx];
    const [right, bottom] = [Math.min(width, left + squarePx), Math.min(height, top + squarePx)];
    const isMarked = (x: number, y: number) => (this.marks[y * width + x] & bit) !== 0;
    let [across, down] = [0, 0];
    for (let y = top; y < bottom; y++) {
      for (let x = left; x < right; x++) {
        if (!isMarked(x, y)) continue;
        if (x === left || !isMarked(x - 1, y)) down++;
        if (y === top || !isMarked(x, y - 1)) across++;
      }
    }
    return Math.hypot(across, down);
  }
}
