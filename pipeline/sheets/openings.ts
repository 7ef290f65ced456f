/** Which pages face each other in the book. */

export interface LayoutPage {
  readonly id: string;
  /** None for a cover, one for a page, two for a spread. */
  readonly numbers: readonly number[];
  readonly isSpread: boolean;
  /** Width by height of the trim; a spread's is that of both pages together. */
  readonly aspect: number;
  readonly scene: string | undefined;
  /** Whether a note stands under it, which makes its row higher. */
  readonly hasNote: boolean;
  /** Whether its scene has a palette, for which its row has room below. */
  readonly hasStrip?: boolean;
}

/** Two facing pages as they lie in the book, or a spread across both. */
export interface Opening {
  left?: LayoutPage;
  right?: LayoutPage;
  across?: LayoutPage;
}

/** Covers and whatever else the page list gives no number. */
export const isCover = (page: LayoutPage): boolean => page.numbers.length === 0;

/** Pages put where the book has them, in the order of their numbers; two that claim one place get openings of their own. */
export function openingsOf(pages: readonly LayoutPage[]): Opening[] {
  const numbered = pages.filter((page) => !isCover(page));
  numbered.sort((a, b) => (a.numbers[0] ?? 0) - (b.numbers[0] ?? 0));
  const openings: Opening[] = [];
  let current: Opening = {};
  let sheetOfCurrent = Number.NaN;
  for (const page of numbered) {
    const number = page.numbers[0] ?? 0;
    const sheet = Math.floor(number / 2);
    const side = page.isSpread ? 'across' : number % 2 === 0 ? 'left' : 'right';
    const isTaken =
      current[side] !== undefined || current.across !== undefined || current.right !== undefined;
    if (sheet !== sheetOfCurrent || isTaken || side === 'across') {
      current = {};
      openings.push(current);
    }
    sheetOfCurrent = sheet;
    current[side] = page;
  }
  return openings;
}
