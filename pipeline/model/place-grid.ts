import type { SizePx } from '../../config/units.js';
import type { MeasuredBox } from './places.js';

/** What was marked within one square of a page. */
interface Square {
  left: number;
  top: number;
  right: number;
  bottom: number;
  weight: number;
  most: number;
  boxed: boolean;
}

/**
 * Marks on a picture gathered into few boxes: in squares, of which those that have enough and touch each other become one box, as
 * tight as its marks.
 */
export class PlaceGrid {
  private readonly columns: number;
  private readonly squares = new Map<number, Square>();

  /**
   * @param page the picture that is marked
   * @param sidePx side of a square, in pixels of the picture
   */
  constructor(
    page: SizePx,
    private readonly sidePx: number,
  ) {
    this.columns = Math.ceil(page.width / sidePx) + 1;
  }

  /**
   * Marks a pixel.
   * @param weight what it counts for
   * @param most the worst that was measured there; default its weight
   * @param widthPx, heightPx what is marked, from the pixel on; default the pixel alone
   */
  add(x: number, y: number, weight: number, most = weight, widthPx = 1, heightPx = 1): void {
    const name = Math.floor(y / this.sidePx) * this.columns + Math.floor(x / this.sidePx);
    const known = this.squares.get(name);
    if (known === undefined) {
      const [right, bottom] = [x + widthPx, y + heightPx];
      this.squares.set(name, { left: x, top: y, right, bottom, weight, most, boxed: false });
      return;
    }
    known.weight += weight;
    if (most > known.most) known.most = most;
    widen(known, { left: x, top: y, right: x + widthPx, bottom: y + heightPx });
  }

  /**
   * The boxes, the one with the most weight first.
   * @param least weight that a square has to have
   * @param say what was measured in a box, from its worst mark and its weight
   */
  boxes(least: number, say?: (most: number, weight: number) => string): MeasuredBox[] {
    const boxes: (Square & { at: number })[] = [];
    for (const [name, square] of this.squares) {
      if (square.boxed || square.weight < least) continue;
      boxes.push({ ...this.joined(name, square, least), at: name });
    }
    boxes.sort((a, b) => b.weight - a.weight || a.at - b.at);
    return boxes.map(({ left, top, right, bottom, most, weight }) => {
      const box = { left, top, width: right - left, height: bottom - top };
      return say === undefined ? box : { ...box, measured: say(most, weight) };
    });
  }

  /** A square with all that touch it, one after the other. */
  private joined(name: number, first: Square, least: number): Square {
    const whole = { ...first };
    first.boxed = true;
    const waiting = [name];
    for (let at = waiting.pop(); at !== undefined; at = waiting.pop()) {
      for (const step of [-this.columns - 1, -this.columns, 1 - this.columns, -1, 1, this.columns - 1]) {
        for (const next of [at + step, at - step]) {
          const square = this.squares.get(next);
          if (square === undefined || square.boxed || square.weight < least) continue;
          square.boxed = true;
          widen(whole, square);
          whole.weight += square.weight;
          whole.most = Math.max(whole.most, square.most);
          waiting.push(next);
        }
      }
    }
    return whole;
  }
}

type Sides = Pick<Square, 'left' | 'top' | 'right' | 'bottom'>;

function widen(square: Square, { left, top, right, bottom }: Sides): void {
  square.left = Math.min(square.left, left);
  square.top = Math.min(square.top, top);
  square.right = Math.max(square.right, right);
  square.bottom = Math.max(square.bottom, bottom);
}
