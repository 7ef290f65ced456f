import { type ChangedCells, type Counted, together } from './changed-cells.js';

/** Squares that changed, gathered into areas: what lies near each other is one place to look at. */

/** Squares between which so many others lie unchanged belong to one area: a brush leaves gaps. Own choice. */
const gapCells = 1;
/** An area that fills less of its box than this, in squares, is told as several: a frame around a page is no place. Own choice. */
const leastFilled = 0.25;
/** Areas up to so many squares across stay whole, however little they fill. Own choice. */
const wholeCells = 12;
/** Areas of this many squares and more are large: a quarter of a small page. And this share of one at most is little. Own choice. */
const largeCells = 2000;
const mostStrong = 0.2;
/** How far the eye takes a pixel of line, from paper to ink, for changed: as much as a colour by this CIEDE2000. Own choice. */
const lineDe = 50;

/** A square that counts, and where it is. */
interface Cell extends Counted {
  readonly column: number;
  readonly row: number;
}

/**
 * Areas of what changed, the gravest first.
 * @param leastDe squares in which colour alone changed, and by less than this anywhere, do not count
 * @param strongDe within a large area, squares in which colour changed by as much as this are places of their own: a patch on a graded page
 */
export function changedAreas(cells: ChangedCells, leastDe: number, strongDe: number): Counted[] {
  const groups = connected(countedCells(cells, leastDe), cells);
  const areas = groups.flatMap((group) =>
    byStrength(group, cells, strongDe).flatMap(withoutEmptiness).map(together),
  );
  return areas.sort(
    (one, other) => gravityOf(other) - gravityOf(one) || one.top - other.top || one.left - other.left,
  );
}

/** A large area in which little changed strongly is told as these places, and as the rest. */
function byStrength(group: readonly Cell[], cells: ChangedCells, strongDe: number): (readonly Cell[])[] {
  const isStrong = ({ mostDe }: Cell) => mostDe >= strongDe;
  const strong = group.filter(isStrong);
  const isWorth = strong.length > 0 && strong.length < mostStrong * group.length;
  if (!isWorth || group.length < largeCells) return [group];
  const numbered = (some: readonly Cell[]) =>
    new Map(some.map((cell) => [cell.row * cells.columns + cell.column, cell]));
  const rest = group.filter((cell) => !isStrong(cell));
  return [...connected(numbered(strong), cells), ...connected(numbered(rest), cells)];
}

/** How much an area weighs: how much changed in it, and by how much. */
function gravityOf({ sumDe, gainedPx, lostPx }: Counted): number {
  return sumDe + lineDe * (gainedPx + lostPx);
}

function countedCells(cells: ChangedCells, leastDe: number): Map<number, Cell> {
  const counted = new Map<number, Cell>();
  for (let cell = 0; cell < cells.columns * cells.rows; cell++) {
    const own = cells.at(cell);
    if (own === undefined) continue;
    if (own.mostDe < leastDe && own.gainedPx + own.lostPx === 0) continue;
    counted.set(cell, { ...own, column: cell % cells.columns, row: Math.floor(cell / cells.columns) });
  }
  return counted;
}

/** Squares that touch, or nearly do. */
function connected(counted: Map<number, Cell>, { columns, rows }: ChangedCells): Cell[][] {
  const left = new Map(counted);
  const groups: Cell[][] = [];
  const take = (cell: number, group: Cell[]) => {
    const own = left.get(cell);
    if (own === undefined) return;
    left.delete(cell);
    group.push(own);
  };
  for (const cell of counted.keys()) {
    const group: Cell[] = [];
    take(cell, group);
    for (let next = 0; next < group.length; next++) {
      const { column, row } = group[next];
      const reach = gapCells + 1;
      for (let y = Math.max(0, row - reach); y <= Math.min(rows - 1, row + reach); y++) {
        for (let x = Math.max(0, column - reach); x <= Math.min(columns - 1, column + reach); x++) {
          take(y * columns + x, group);
        }
      }
    }
    if (group.length > 0) groups.push(group);
  }
  return groups;
}

/** Cuts an area across its longer side until what is left fills its box. */
function withoutEmptiness(group: readonly Cell[]): (readonly Cell[])[] {
  const columns = group.map(({ column }) => column);
  const rows = group.map(({ row }) => row);
  const [firstColumn, lastColumn] = ends(columns);
  const [firstRow, lastRow] = ends(rows);
  const [across, down] = [lastColumn - firstColumn + 1, lastRow - firstRow + 1];
  const isFilled = group.length >= leastFilled * across * down;
  if (isFilled || Math.max(across, down) <= wholeCells) return [group];
  const isBefore =
    across >= down
      ? ({ column }: Cell) => column < firstColumn + across / 2
      : ({ row }: Cell) => row < firstRow + down / 2;
  const [before, behind] = [group.filter(isBefore), group.filter((cell) => !isBefore(cell))];
  return [before, behind].flatMap((part) => (part.length === 0 ? [] : withoutEmptiness(part)));
}

function ends(values: readonly number[]): readonly [number, number] {
  let [first, last] = [values[0], values[0]];
  for (const value of values) {
    if (value < first) first = value;
    if (value > last) last = value;
  }
  return [first, last];
}
