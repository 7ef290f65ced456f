import type { WeighedColour } from './common-palette.js';
import { oklabDistance } from './oklab.js';

/**
 * How far apart two palettes are: the least way that colour has to be moved, in OKLab, to turn one into the other, on average over the
 * area (earth mover's distance; Rubner, Tomasi and Guibas, International Journal of Computer Vision 40(2), 2000). Exact, by shortest
 * paths one after the other, so that it is the same on every machine. 0.02 is what an eye just tells apart in one flat.
 */
export function paletteDistance(one: readonly WeighedColour[], other: readonly WeighedColour[]): number {
  if (one.length === 0 || other.length === 0) return 0;
  const costs = one.map(({ oklab }) => other.map((to) => oklabDistance(oklab, to.oklab)));
  return leastCost(sharesOf(one), sharesOf(other), costs);
}

function sharesOf(colours: readonly WeighedColour[]): number[] {
  const whole = colours.reduce((sum, { weight }) => sum + weight, 0);
  return colours.map(({ weight }) => weight / whole);
}

/** Shares smaller than this are the noise of floating point. */
const nothing = 1e-12;

/** What it costs to bring all supply to where it is wanted. @param costs from each row to each column */
function leastCost(supply: number[], wanted: number[], costs: readonly (readonly number[])[]): number {
  const flow = supply.map(() => wanted.map(() => 0));
  let cost = 0;
  for (let row = 0; row < supply.length; row++) {
    while (supply[row] > nothing) {
      const way = cheapestWay(row, wanted, flow, costs);
      if (way === undefined) return cost;
      let amount = Math.min(supply[row], wanted[way.to]);
      // Back from a column to a row goes only what has come from there.
      for (const { at, column, isBack } of way.steps) if (isBack) amount = Math.min(amount, flow[at][column]);
      for (const { at, column, isBack } of way.steps) flow[at][column] += isBack ? -amount : amount;
      supply[row] -= amount;
      wanted[way.to] -= amount;
      cost += amount * way.cost;
    }
  }
  return cost;
}

/** One step of a way: from a row to a column, or back. */
interface Step {
  readonly at: number;
  readonly column: number;
  readonly isBack: boolean;
}

interface Way {
  /** Column with something still wanted. */
  readonly to: number;
  readonly cost: number;
  readonly steps: readonly Step[];
}

/** The cheapest way from a row to where something is wanted, also by sending elsewhere what others have brought (Bellman and Ford). */
function cheapestWay(
  from: number,
  wanted: readonly number[],
  flow: readonly (readonly number[])[],
  costs: readonly (readonly number[])[],
): Way | undefined {
  const toRow = flow.map((_, row) => (row === from ? 0 : Number.POSITIVE_INFINITY));
  const toColumn = wanted.map(() => Number.POSITIVE_INFINITY);
  const rowBefore = wanted.map(() => -1);
  const columnBefore = flow.map(() => -1);
  for (let isNearer = true; isNearer; ) {
    isNearer = false;
    for (let row = 0; row < toRow.length; row++) {
      for (let column = 0; column < wanted.length; column++) {
        const cost = costs[row][column];
        if (toRow[row] + cost < toColumn[column] - nothing) {
          toColumn[column] = toRow[row] + cost;
          rowBefore[column] = row;
          isNearer = true;
        }
        if (flow[row][column] > nothing && toColumn[column] - cost < toRow[row] - nothing) {
          toRow[row] = toColumn[column] - cost;
          columnBefore[row] = column;
          isNearer = true;
        }
      }
    }
  }
  const open = wanted.flatMap((amount, column) => (amount > nothing ? [column] : []));
  if (open.length === 0) return undefined;
  const to = open.reduce((best, column) => (toColumn[column] < toColumn[best] ? column : best));
  return { to, cost: toColumn[to], steps: stepsTo(to, from, rowBefore, columnBefore) };
}

function stepsTo(
  to: number,
  from: number,
  rowBefore: readonly number[],
  columnBefore: readonly number[],
): Step[] {
  const steps: Step[] = [];
  for (let column = to; ; ) {
    const row = rowBefore[column];
    steps.push({ at: row, column, isBack: false });
    if (row === from) return steps;
    column = columnBefore[row];
    steps.push({ at: row, column, isBack: true });
  }
}
