/** Where a wave stands in tiles of a page: how far it is turned beside one that goes on from the page's corner. */

/** A tile, counted across and down, and the turn in it, in radians, whole turns included. */
export interface Stand {
  readonly x: number;
  readonly y: number;
  readonly turn: number;
}

/** Turns that grow evenly from tile to tile. */
export interface PhasePlane {
  /** By how much from a tile to the next, in radians. */
  readonly acrossTile: number;
  readonly downTile: number;
  /** Root mean square of how far turns lie beside the plane, in radians. */
  readonly rough: number;
  /** The turn that is expected in a tile. */
  at(x: number, y: number): number;
}

/** So little is no spread of tiles in a direction: all of them lie in one row. */
const noSpread = 1e-6;

/**
 * The plane nearest to all turns. Where tiles lie in one row, or are one, nothing is known of the other direction: it is taken
 * as level.
 */
export function planeThrough(stands: readonly Stand[]): PhasePlane {
  const count = stands.length;
  const meanOf = (of: (stand: Stand) => number) => stands.reduce((sum, one) => sum + of(one), 0) / count;
  const [x0, y0, turn0] = [meanOf(({ x }) => x), meanOf(({ y }) => y), meanOf(({ turn }) => turn)];
  let [xx, xy, yy, xt, yt] = [0, 0, 0, 0, 0];
  for (const { x, y, turn } of stands) {
    const [dx, dy, dt] = [x - x0, y - y0, turn - turn0];
    xx += dx * dx;
    xy += dx * dy;
    yy += dy * dy;
    xt += dx * dt;
    yt += dy * dt;
  }
  const spread = xx * yy - xy * xy;
  // A little pull towards level, so that two or three tiles do not tell more than they know.
  const pull = count < 4 || spread < noSpread ? noSpread + 0.5 : noSpread;
  const determinant = (xx + pull) * (yy + pull) - xy * xy;
  const acrossTile = (xt * (yy + pull) - yt * xy) / determinant;
  const downTile = (yt * (xx + pull) - xt * xy) / determinant;
  const at = (x: number, y: number) => turn0 + acrossTile * (x - x0) + downTile * (y - y0);
  const squares = stands.reduce((sum, { x, y, turn }) => sum + (turn - at(x, y)) ** 2, 0);
  return { acrossTile, downTile, rough: Math.sqrt(squares / count), at };
}
