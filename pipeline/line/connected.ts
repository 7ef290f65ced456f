/**
 * What of a mask hangs together with seeds in it, side by side (not by corners). Works on runs, the stretches of a row
 * that are set: a page has thousands of them where it has millions of pixels.
 *
 * @param mask width x height x 1, holding 0 and 255
 * @param seeds of the same size, holding 0 and 255, set only where the mask is
 * @returns 255 for the pieces of the mask that hold a seed, 0 elsewhere
 */
export function piecesWithSeeds(
  mask: Uint8Array,
  seeds: Uint8Array,
  width: number,
  height: number,
): Uint8Array {
  const runs = new Runs();
  let above = 0;
  for (let y = 0; y < height; y++) {
    const first = runs.count;
    addRow(runs, mask, seeds, y * width, width);
    joinRows(runs, above, first, width);
    above = first;
  }
  const result = new Uint8Array(mask.length);
  for (let run = 0; run < runs.count; run++) {
    if (runs.seeded[runs.pieceOf(run)]) result.fill(255, runs.starts[run], runs.ends[run]);
  }
  return result;
}

/** Runs in reading order; each belongs to a piece that is named by one of its runs. */
class Runs {
  readonly starts: number[] = [];
  readonly ends: number[] = [];
  /** Of the run that names a piece: whether any of its runs holds a seed. */
  readonly seeded: boolean[] = [];
  private readonly parents: number[] = [];

  get count(): number {
    return this.starts.length;
  }

  add(start: number, end: number, seeded: boolean): void {
    this.parents.push(this.count);
    this.starts.push(start);
    this.ends.push(end);
    this.seeded.push(seeded);
  }

  pieceOf(run: number): number {
    let at = run;
    while (this.parents[at] !== at) {
      // Halving the way keeps it short for whoever asks next.
      this.parents[at] = this.parents[this.parents[at]];
      at = this.parents[at];
    }
    return at;
  }

  join(one: number, other: number): void {
    const [a, b] = [this.pieceOf(one), this.pieceOf(other)];
    if (a === b) return;
    this.parents[b] = a;
    this.seeded[a] ||= this.seeded[b];
  }
}

function addRow(runs: Runs, mask: Uint8Array, seeds: Uint8Array, rowStart: number, width: number): void {
  const row = mask.subarray(rowStart, rowStart + width);
  for (let from = row.indexOf(255); from >= 0; ) {
    const next = row.indexOf(0, from);
    const to = next < 0 ? width : next;
    const seeded = seeds.subarray(rowStart + from, rowStart + to).includes(255);
    runs.add(rowStart + from, rowStart + to, seeded);
    from = next < 0 ? -1 : row.indexOf(255, next);
  }
}

/** Joins the runs from `first` on with those of the row above, which begin at `above`, wherever they touch. */
function joinRows(runs: Runs, above: number, first: number, width: number): void {
  let upper = above;
  for (let lower = first; lower < runs.count; lower++) {
    const start = runs.starts[lower] - width;
    const end = runs.ends[lower] - width;
    while (upper < first && runs.ends[upper] <= start) upper++;
    for (let near = upper; near < first && runs.starts[near] < end; near++) runs.join(near, lower);
  }
}
