import type { PrintSpec } from '../../config/print-spec.js';
import {
  type CellReader,
  cellKinds,
  cellReader,
  layOutCells,
  type PageCells,
  type PaintedColour,
} from './page-cells.js';

/**
 * What becomes of cells in which colours meet. In a screen, grain or paint they make one colour together. At the edge of two flats they
 * do not: there a cell would be a colour that nobody painted, and counts as one of its pixels.
 */

/** Roots of amounts that differ by more are two colours, not one with noise: some 12 levels of 255. Own choice. */
const otherColour = 0.05;

/** Reduces a page to cells. @returns amounts in the model of its colour, whatever its numbers mean */
export function cellsOf(page: PaintedColour, spec: PrintSpec): PageCells {
  const cells = layOutCells(page.colour, spec);
  const reader = cellReader(page, cells);
  const { kinds } = cells;
  for (let n = 0; n < kinds.length; n++) reader.readFew(n);
  readMixed(cells, reader);
  findEdges(cells);
  for (let n = 0; n < kinds.length; n++) if (kinds[n] === cellKinds.edge) reader.takeOne(n);
  return { ...cells, amounts: evened(cells) };
}

/**
 * Where several colours show in a cell, a few of its pixels do not tell how much of each: all of them are asked. So are those of its
 * neighbours, whose few may all lie between the dots of a screen, and so on.
 */
function readMixed(cells: PageCells, reader: CellReader): void {
  const { kinds } = cells;
  const isRead = new Uint8Array(kinds.length);
  // Row by row and again, as pixels lie in memory: a page of screens is read in one go, and most are in two.
  for (let isMore = true; isMore; ) {
    isMore = false;
    for (let n = 0; n < kinds.length; n++) {
      const kind = kinds[n];
      if (isRead[n] === 1 || kind === cellKinds.empty) continue;
      if (kind !== cellKinds.mixed && !hasBeside(cellKinds.mixed, n, cells)) continue;
      isRead[n] = 1;
      reader.readMany(n);
      // What its few pixels showed is there, however few of many they are.
      if (kind === cellKinds.mixed) kinds[n] = kind;
      else if (kinds[n] === cellKinds.mixed) isMore = true;
    }
  }
}

/** Whether a cell has one of a kind at one of its sides. */
function hasBeside(kind: number, n: number, { columns, kinds }: PageCells): boolean {
  const column = n % columns;
  return (
    (column > 0 && kinds[n - 1] === kind) ||
    (column < columns - 1 && kinds[n + 1] === kind) ||
    kinds[n - columns] === kind ||
    kinds[n + columns] === kind
  );
}

/** A mixed cell beside a steady one of another colour is an edge; among mixed ones it is a screen, or paint. */
function findEdges({ columns, rows, kinds, amounts, channels }: PageCells): void {
  const isOther = (n: number, beside: number) =>
    kinds[beside] === cellKinds.steady && differ(amounts, n * channels, beside * channels, channels);
  for (let row = 0, n = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++, n++) {
      if (kinds[n] !== cellKinds.mixed) continue;
      const isEdge =
        (column > 0 && isOther(n, n - 1)) ||
        (column < columns - 1 && isOther(n, n + 1)) ||
        (row > 0 && isOther(n, n - columns)) ||
        (row < rows - 1 && isOther(n, n + columns));
      if (isEdge) kinds[n] = cellKinds.edge;
    }
  }
}

/** Whether amounts differ by more than noise; their roots are about as even to the eye as levels. */
function differ(amounts: Float32Array, one: number, other: number, channels: number): boolean {
  for (let c = 0; c < channels; c++) {
    if (Math.abs(Math.sqrt(amounts[one + c]) - Math.sqrt(amounts[other + c])) > otherColour) return true;
  }
  return false;
}

/** Within a screen or grain, dots fall in with cells now more and now less: there a cell has the mean of those around it, itself included. */
function evened(cells: PageCells): Float32Array {
  const { columns, rows, amounts, channels } = cells;
  const even = amounts.slice();
  const rowLength = columns * channels;
  for (let row = 1; row < rows - 1; row++) {
    for (let column = 1, n = row * columns + 1; column < columns - 1; column++, n++) {
      if (!isAmongMixed(n, cells)) continue;
      for (let at = n * channels; at < (n + 1) * channels; at++) {
        let sum = 0;
        for (let k = at - rowLength; k <= at + rowLength; k += rowLength) {
          sum += amounts[k - channels] + amounts[k] + amounts[k + channels];
        }
        even[at] = sum / 9;
      }
    }
  }
  return even;
}

/** Whether a cell and all eight around it are mixed. */
function isAmongMixed(n: number, { columns, kinds }: PageCells): boolean {
  for (let k = n - columns; k <= n + columns; k += columns) {
    const isMixed =
      kinds[k] === cellKinds.mixed && kinds[k - 1] === cellKinds.mixed && kinds[k + 1] === cellKinds.mixed;
    if (!isMixed) return false;
  }
  return true;
}
