import type { PictureFact } from './receiver-facts.js';

/** Where small pictures of pages lie: in reading order, facing pages side by side, in rows. Lengths in points. */

/** A page's place. */
export interface PlacedPicture {
  readonly fact: PictureFact;
  readonly x: number;
  /** From the top of the grid. */
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** A grid of some height. */
export interface Grid {
  readonly rows: readonly (readonly PlacedPicture[])[];
  /** From one row to the next. */
  readonly rowHeight: number;
}

/** Between openings, and room for the label below a row. */
const gapPoints = 9;
const labelPoints = 11;

/** @param height of a page's picture; what would be wider than the grid is made lower */
export function gridOf(facts: readonly PictureFact[], width: number, height: number): Grid {
  const rows: PlacedPicture[][] = [[]];
  const rowHeight = height + labelPoints;
  let x = 0;
  for (const opening of openingsIn(facts)) {
    const sizes = opening.map(({ aspect }) => Math.min(width / opening.length, height * aspect));
    const whole = sizes.reduce((sum, one) => sum + one, 0);
    if (x > 0 && x + whole > width) {
      rows.push([]);
      x = 0;
    }
    const y = (rows.length - 1) * rowHeight;
    opening.forEach((fact, i) => {
      rows.at(-1)?.push({ fact, x, y, width: sizes[i], height: sizes[i] / fact.aspect });
      x += sizes[i];
    });
    x += gapPoints;
  }
  return { rows, rowHeight };
}

/** Pages that face each other, an even number on the left; any other page by itself. */
function openingsIn(facts: readonly PictureFact[]): PictureFact[][] {
  const openings: PictureFact[][] = [];
  for (const fact of facts) {
    const before = openings.at(-1);
    if (before?.length === 1 && isFacing(before[0], fact)) before.push(fact);
    else openings.push([fact]);
  }
  return openings;
}

function isFacing({ numbers: left }: PictureFact, { numbers: right }: PictureFact): boolean {
  return left.length === 1 && right.length === 1 && left[0] % 2 === 0 && right[0] === left[0] + 1;
}
