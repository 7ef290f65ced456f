/** Sums over differences of millions of pixels, in steps of a twentieth of a CIEDE2000. */

const stepsPerDe = 20;
/** The largest that is told apart; CIEDE2000 between any two printable colours stays below it. */
const largestDe = 150;
const percentile = 0.95;

/** Mean, 95th percentile and most of what was added. */
export class DeSums {
  private readonly counts = new Float64Array(largestDe * stepsPerDe + 1);
  private count = 0;
  private visible = 0;
  private sum = 0;
  private most = 0;

  /** @param visibleDe differences from this on count as visible */
  constructor(private readonly visibleDe: number) {}

  /** So many pixels that differ by so much. */
  add(de: number, pixels: number): void {
    this.counts[Math.min(this.counts.length - 1, Math.round(de * stepsPerDe))] += pixels;
    this.count += pixels;
    this.sum += de * pixels;
    if (de >= this.visibleDe) this.visible += pixels;
    if (de > this.most) this.most = de;
  }

  /** @param pagePx pixels of the whole page */
  change(pagePx: number) {
    const percent = (count: number) => (count * 100) / pagePx;
    return {
      changedPercent: percent(this.count),
      visiblePercent: percent(this.visible),
      meanDe: this.count === 0 ? 0 : this.sum / this.count,
      p95De: Math.min(this.most, this.atPercentile()),
      mostDe: this.most,
    };
  }

  private atPercentile(): number {
    let left = this.count * percentile;
    for (let step = 0; step < this.counts.length; step++) {
      left -= this.counts[step];
      if (left <= 0) return step / stepsPerDe;
    }
    return 0;
  }
}
