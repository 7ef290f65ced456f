import type { MeasuredBox } from '../model/places.js';
import { processPlanes, type Separation } from '../model/separation.js';

/** How much ink lies on a page. */
export interface InkCoverage {
  /** Mean of C+M+Y+K over the page, percent of one solid. */
  readonly meanPercent: number;
  /** The square inch with the most ink, and how much it has on average, in percent of one solid. */
  readonly heaviest: MeasuredBox & { readonly percent: number };
}

/** Ink is summed up in squares, some sixty an inch: a window begins at one of them. Own choice. */
const squaresPerInch = 60;

/**
 * Sums the ink of every pixel, and looks for the heaviest square inch: a page that is smaller is its own window.
 * @param composite the page as it prints, at `ppi`
 */
export function measureCoverage(composite: Separation, ppi: number): InkCoverage {
  const side = Math.max(1, Math.round(ppi / squaresPerInch));
  const { sums, columns, rows } = tableOfSums(composite, side);
  const { width, height } = composite;
  const inch = Math.max(1, Math.round(ppi / side));
  const [across, down] = [Math.min(columns, inch), Math.min(rows, inch)];
  const stride = columns + 1;
  let [most, left, top] = [-1, 0, 0];
  for (let y = 0; y + down <= rows; y++) {
    for (let x = 0; x + across <= columns; x++) {
      const [above, below] = [y * stride + x, (y + down) * stride + x];
      const sum = sums[below + across] - sums[below] - sums[above + across] + sums[above];
      if (sum <= most) continue;
      [most, left, top] = [sum, x, y];
    }
  }
  const box = boxOf(left, top, across, down, side, composite);
  const percentOf = (sum: number, pixels: number) => (sum * 100) / 255 / pixels;
  return {
    meanPercent: percentOf(sums[rows * stride + columns], width * height),
    heaviest: { ...box, percent: percentOf(most, box.width * box.height) },
  };
}

function boxOf(
  column: number,
  row: number,
  across: number,
  down: number,
  side: number,
  page: Separation,
): MeasuredBox {
  const [left, top] = [column * side, row * side];
  const width = Math.min(page.width - left, across * side);
  return { left, top, width, height: Math.min(page.height - top, down * side) };
}

/** Sums of all squares above and to the left of each: a table of (columns + 1) x (rows + 1). */
function tableOfSums(page: Separation, side: number) {
  const [cyan, magenta, yellow, black] = processPlanes(page);
  const { width, height } = page;
  const [columns, rows] = [Math.ceil(width / side), Math.ceil(height / side)];
  const stride = columns + 1;
  const sums = new Float64Array(stride * (rows + 1));
  const ofRow = new Float64Array(columns);
  for (let row = 0; row < rows; row++) {
    ofRow.fill(0);
    for (let y = row * side; y < Math.min(height, (row + 1) * side); y++) {
      for (let column = 0, i = y * width; column < columns; column++) {
        const end = Math.min((y + 1) * width, i + side);
        let sum = 0;
        for (; i < end; i++) sum += cyan[i] + magenta[i] + yellow[i] + black[i];
        ofRow[column] += sum;
      }
    }
    for (let column = 0, left = 0; column < columns; column++) {
      left += ofRow[column];
      sums[(row + 1) * stride + column + 1] = sums[row * stride + column + 1] + left;
    }
  }
  return { sums, columns, rows };
}
