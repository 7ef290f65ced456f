import type { PrintSpec } from '../../config/print-spec.js';
import { mmToPx, pxToMm } from '../../config/units.js';
import type { Difference, DifferingPlace } from '../model/fidelity.js';

/** Differences are counted in steps of this much; percentiles are given to the upper end of a step. */
const stepDe = 0.05;
const mostDe = 120;

/** A difference that an eye sees side by side: common practice, no published source. */
const visibleDe = 3;

/** Differences of pixels that each stand for several, summed up. */
export class Differences {
  private readonly counts = new Float64Array(Math.ceil(mostDe / stepDe) + 1);
  private all = 0;
  private sum = 0;
  private most = 0;
  private over = 0;

  add(de: number, weight: number): void {
    this.counts[Math.min(this.counts.length - 1, Math.ceil(de / stepDe))] += weight;
    this.all += weight;
    this.sum += de * weight;
    this.most = Math.max(this.most, de);
    if (de > visibleDe) this.over += weight;
  }

  get isEmpty(): boolean {
    return this.all === 0;
  }

  summary(): Difference {
    const { all, sum, over } = this;
    return {
      meanDe: all === 0 ? 0 : rounded(sum / all),
      p95De: this.percentile(0.95),
      p999De: this.percentile(0.999),
      mostDe: rounded(this.most),
      over3Percent: all === 0 ? 0 : rounded((over / all) * 100),
    };
  }

  /** What this share of all does not exceed. */
  private percentile(share: number): number {
    let below = 0;
    for (let step = 0; step < this.counts.length; step++) {
      below += this.counts[step];
      if (below >= share * this.all) return Math.min(rounded(step * stepDe), rounded(this.most));
    }
    return rounded(this.most);
  }
}

/** Two decimals tell more than an eye does. */
function rounded(value: number): number {
  return Number(value.toFixed(2));
}

/** Side of the squares that a page is searched in for its worst places: what a finger covers. Own choice. */
const cellMm = 8;
const mostPlaces = 5;

interface Cell {
  sum: number;
  mostDe: number;
  pixel: number;
}

/** Where a page differs most: by squares, so that one bad place is named once. */
export class WorstPlaces {
  private readonly cells = new Map<number, Cell>();
  private readonly cellPx: number;

  constructor(
    private readonly spec: Pick<PrintSpec, 'colourPpi' | 'bleedMm' | 'fidelity'>,
    private readonly width: number,
  ) {
    this.cellPx = mmToPx(cellMm, spec.colourPpi);
  }

  add(pixel: number, de: number, weight: number): void {
    const { warnDe, edgeDe } = this.spec.fidelity;
    if (de <= Math.min(warnDe, edgeDe)) return;
    const [x, y] = [pixel % this.width, Math.floor(pixel / this.width)];
    const name = Math.floor(y / this.cellPx) * this.width + Math.floor(x / this.cellPx);
    const cell = this.cells.get(name) ?? { sum: 0, mostDe: 0, pixel };
    this.cells.set(name, cell);
    cell.sum += de * weight;
    if (de <= cell.mostDe) return;
    cell.mostDe = de;
    cell.pixel = pixel;
  }

  worst(): DifferingPlace[] {
    const cells = [...this.cells.values()].sort((a, b) => b.sum - a.sum || a.pixel - b.pixel);
    return cells.slice(0, mostPlaces).map(({ mostDe: most, pixel }) => {
      const mm = (px: number) => Number((pxToMm(px, this.spec.colourPpi) - this.spec.bleedMm).toFixed(1));
      return { xMm: mm(pixel % this.width), yMm: mm(Math.floor(pixel / this.width)), mostDe: rounded(most) };
    });
  }
}
