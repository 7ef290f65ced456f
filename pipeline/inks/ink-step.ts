/**
 * One step of: least of 1/2 d'Bd - p'd over changes d of four inks, with all inks together reaching a given sum and
 * each staying within its bounds. Inks that meet a bound are fixed there and the rest is solved again.
 */
export class QuadraticStep {
  /** B, 4 x 4, symmetric; filled by the caller. */
  readonly bend = new Float64Array(16);
  /** p; filled by the caller. */
  readonly pull = new Float64Array(4);
  /** The most of each ink, 0 to 1; the least is none. */
  readonly upper = new Float64Array(4);
  private readonly free = [true, true, true, true];
  private readonly move = new Float64Array(4);
  /** The free inks' equations and the one of the sum, each with its right side: at most 5 x 6. */
  private readonly rows = Array.from({ length: 5 }, () => new Float64Array(6));

  /** Moves `ink` (four values from 0 to 1) in place, so that they add up to `target` or less. */
  solve(ink: Float64Array, target: number): void {
    this.free.fill(true);
    this.move.fill(0);
    const missing = target - (ink[0] + ink[1] + ink[2] + ink[3]);
    for (let attempt = 0; attempt < 4; attempt++) {
      this.solveFree(missing);
      if (!this.fixWorst(ink)) break;
    }
    for (let i = 0; i < 4; i++) ink[i] = Math.min(this.upper[i], Math.max(0, ink[i] + this.move[i]));
    spend(ink, target);
  }

  /** Fixes the free ink that went furthest past a bound; false if none did. */
  private fixWorst(ink: Float64Array): boolean {
    let [worst, most] = [-1, 1e-9];
    for (let i = 0; i < 4; i++) {
      const goal = ink[i] + this.move[i];
      const beyond = Math.max(-goal, goal - this.upper[i]);
      if (this.free[i] && beyond > most) [worst, most] = [i, beyond];
    }
    if (worst < 0) return false;
    this.free[worst] = false;
    this.move[worst] = (ink[worst] + this.move[worst] < 0 ? 0 : this.upper[worst]) - ink[worst];
    return true;
  }

  private solveFree(missing: number): void {
    const inks = [0, 1, 2, 3].filter((i) => this.free[i]);
    const size = inks.length + 1;
    let rest = missing;
    for (let j = 0; j < 4; j++) if (!this.free[j]) rest -= this.move[j];
    inks.forEach((i, row) => {
      const line = this.rows[row];
      inks.forEach((j, column) => {
        line[column] = this.bend[i * 4 + j];
      });
      line[size - 1] = 1;
      line[size] = this.pull[i];
      for (let j = 0; j < 4; j++) if (!this.free[j]) line[size] -= this.bend[i * 4 + j] * this.move[j];
    });
    this.rows[size - 1].fill(1, 0, size - 1);
    this.rows[size - 1][size - 1] = 0;
    this.rows[size - 1][size] = rest;
    eliminate(this.rows, size);
    inks.forEach((i, row) => {
      this.move[i] = this.rows[row][size];
    });
  }
}

/** Gauss and Jordan with pivoting on `size` rows, the right side behind them; leaves the solution there. */
function eliminate(rows: Float64Array[], size: number): void {
  for (let column = 0; column < size; column++) {
    let pivot = column;
    for (let row = column + 1; row < size; row++) {
      if (Math.abs(rows[row][column]) > Math.abs(rows[pivot][column])) pivot = row;
    }
    [rows[column], rows[pivot]] = [rows[pivot], rows[column]];
    const own = rows[column];
    const scale = own[column] === 0 ? 0 : 1 / own[column];
    for (let at = column; at <= size; at++) own[at] *= scale;
    for (let row = 0; row < size; row++) {
      const factor = rows[row][column];
      if (row === column || factor === 0) continue;
      for (let at = column; at <= size; at++) rows[row][at] -= factor * own[at];
    }
  }
}

/** Takes what is still over the target from cyan, magenta and yellow alike, and only then from black. */
function spend(ink: Float64Array, target: number): void {
  const colour = ink[0] + ink[1] + ink[2];
  if (colour + ink[3] <= target) return;
  ink[3] = Math.min(ink[3], target);
  const scale = colour === 0 ? 0 : (target - ink[3]) / colour;
  for (let i = 0; i < 3; i++) ink[i] *= Math.min(1, scale);
}
