import type { SizePx } from '../../config/units.js';
import { mostPlaces } from '../model/findings.js';
import type { MeasuredBox } from '../model/places.js';

/** Something that was found in many places. */
export interface FoundBoxes {
  /** The gravest first, at most as many as are shown. */
  readonly boxes: readonly MeasuredBox[];
  /** How many boxes there are in all. */
  readonly inAll: number;
}

/** Nothing found. */
export const noBoxes: FoundBoxes = { boxes: [], inAll: 0 };

/** Squares along the shorter side of a picture: one takes what is found near each other into a box. Own choice. */
const squaresAcross = 20;

/** No square is smaller than this, in pixels. */
const leastSquarePx = 32;

interface Gathered {
  left: number;
  top: number;
  right: number;
  bottom: number;
  weight: number;
}

/** Gathers what is found all over a picture into boxes, one for each square of it where there is something. */
export class BoxGatherer {
  private readonly squarePx: number;
  private readonly columns: number;
  private readonly squares = new Map<number, Gathered>();

  constructor({ width, height }: SizePx) {
    this.squarePx = Math.max(leastSquarePx, Math.ceil(Math.min(width, height) / squaresAcross));
    this.columns = Math.ceil(width / this.squarePx);
  }

  /** @param weight how much it counts: pixels, or one each */
  add(
    { left, top, width, height }: Pick<MeasuredBox, 'left' | 'top' | 'width' | 'height'>,
    weight: number,
  ): void {
    const { squarePx, columns, squares } = this;
    const middle =
      Math.floor((top + height / 2) / squarePx) * columns + Math.floor((left + width / 2) / squarePx);
    const known = squares.get(middle);
    if (known === undefined) {
      squares.set(middle, { left, top, right: left + width, bottom: top + height, weight });
      return;
    }
    known.left = Math.min(known.left, left);
    known.top = Math.min(known.top, top);
    known.right = Math.max(known.right, left + width);
    known.bottom = Math.max(known.bottom, top + height);
    known.weight += weight;
  }

  /** @param words what a weight means, such as `3 patches` */
  found(words: (weight: number) => string): FoundBoxes {
    const all = [...this.squares.values()];
    all.sort((a, b) => b.weight - a.weight || a.top - b.top || a.left - b.left);
    const boxes = all.slice(0, mostPlaces).map(({ left, top, right, bottom, weight }) => {
      return { left, top, width: right - left, height: bottom - top, measured: words(weight) };
    });
    return { boxes, inAll: all.length };
  }
}
