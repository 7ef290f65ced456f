import { mmToPx, type SizePx } from '../../config/units.js';

/**
 * Where two states of a page differ, gathered in squares of a millimetre: what was counted there, and the box around it to the pixel. A
 * page has some fifty thousand of them, whatever its resolution.
 */

/** Side of a square, in millimetres: finer than what anybody would call two places. Own choice. */
const cellMm = 1;

/** What was counted in one square, or in several. Pixels of the composite; those of line as parts of these. */
export interface Counted {
  /** Pixels whose colour changed, and how much: the sum of their differences and the largest, CIEDE2000. */
  readonly colourPx: number;
  readonly sumDe: number;
  readonly mostDe: number;
  /** Area that the line, or an extra ink, gained and lost there. */
  readonly gainedPx: number;
  readonly lostPx: number;
  /** Box around all of it: first column and row, and those behind the last. */
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

const fields = [
  'colourPx',
  'sumDe',
  'mostDe',
  'gainedPx',
  'lostPx',
  'left',
  'top',
  'right',
  'bottom',
] as const;
const size = fields.length;
const [colourPx, sumDe, mostDe, gainedPx, lostPx, left, top, right, bottom] = fields.map((_, i) => i);

/** The squares of a page; those in which nothing was counted take no part in anything. */
export class ChangedCells {
  readonly columns: number;
  readonly rows: number;
  private readonly cellPx: number;
  private readonly counts: Float64Array;

  /** @param page size of the composite, @param ppi its pixels per inch */
  constructor(page: SizePx, ppi: number) {
    this.cellPx = Math.max(1, mmToPx(cellMm, ppi));
    this.columns = Math.ceil(page.width / this.cellPx);
    this.rows = Math.ceil(page.height / this.cellPx);
    this.counts = new Float64Array(this.columns * this.rows * size);
  }

  /** A pixel whose colour changed by so much. */
  addColour(x: number, y: number, de: number): void {
    const { counts } = this;
    const at = this.reach(x, y, x + 1, y + 1);
    counts[at + colourPx]++;
    counts[at + sumDe] += de;
    if (de > counts[at + mostDe]) counts[at + mostDe] = de;
  }

  /**
   * A pixel of a plate that changed, of whatever resolution.
   * @param scale pixels of the composite that one of the plate is wide
   */
  addPlate(x: number, y: number, scale: SizePx, isGained: boolean): void {
    const at = this.reach(x * scale.width, y * scale.height, (x + 1) * scale.width, (y + 1) * scale.height);
    this.counts[at + (isGained ? gainedPx : lostPx)] += scale.width * scale.height;
  }

  /** What one square has; undefined for nothing. */
  at(cell: number): Counted | undefined {
    const from = cell * size;
    const own = this.counts.subarray(from, from + size);
    if (own[right] === 0) return undefined;
    return Object.fromEntries(fields.map((field, i) => [field, own[i]])) as Record<
      (typeof fields)[number],
      number
    >;
  }

  /** Lengthens the box of the square that a pixel begins in. @returns where its counts begin */
  private reach(fromX: number, fromY: number, toX: number, toY: number): number {
    const { counts } = this;
    const column = Math.floor(fromX / this.cellPx);
    const row = Math.floor(fromY / this.cellPx);
    const at = (row * this.columns + column) * size;
    const isFirst = counts[at + right] === 0;
    if (isFirst || fromX < counts[at + left]) counts[at + left] = fromX;
    if (isFirst || fromY < counts[at + top]) counts[at + top] = fromY;
    if (toX > counts[at + right]) counts[at + right] = toX;
    if (toY > counts[at + bottom]) counts[at + bottom] = toY;
    return at;
  }
}

/** Several squares as one. */
export function together(all: readonly Counted[]): Counted {
  return all.reduce((one, other) => ({
    colourPx: one.colourPx + other.colourPx,
    sumDe: one.sumDe + other.sumDe,
    mostDe: Math.max(one.mostDe, other.mostDe),
    gainedPx: one.gainedPx + other.gainedPx,
    lostPx: one.lostPx + other.lostPx,
    left: Math.min(one.left, other.left),
    top: Math.min(one.top, other.top),
    right: Math.max(one.right, other.right),
    bottom: Math.max(one.bottom, other.bottom),
  }));
}
