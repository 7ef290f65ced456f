import type { Swatch } from '../../config/job.js';

/** Where the swatches of a sheet stand: in columns, those of one character together beneath its name. Pixels. */

/** A swatch's place: it stands between its top and the next. */
export interface SwatchCell {
  /** Which of the swatches. */
  readonly index: number;
  readonly left: number;
  readonly top: number;
}

/** A character's name over its swatches; `baseline` is where its letters stand. */
export interface SwatchHeading {
  readonly words: string;
  readonly left: number;
  readonly baseline: number;
}

export interface SwatchLayout {
  readonly width: number;
  readonly height: number;
  readonly cells: readonly SwatchCell[];
  readonly headings: readonly SwatchHeading[];
}

/** Measures of the sheet in pixels. Our own design. */
export const swatchMeasures = {
  margin: 48,
  header: 168,
  footer: 92,
  cellWidth: 760,
  cellHeight: 164,
  gutter: 40,
  heading: 52,
} as const;

const headingGap = 18;

/** Over swatches that are of no character, beneath those that are of one. */
const nobodys = 'Further colours';

/** So many columns for so many swatches: a sheet is about as high as it is wide. Own choice. */
function columnsFor(count: number): number {
  if (count <= 4) return 1;
  return count <= 24 ? 2 : 3;
}

/** Lays swatches out in the order of their characters' first ones; those of no character come last. */
export function layOutSwatches(swatches: readonly Pick<Swatch, 'name' | 'character'>[]): SwatchLayout {
  const { margin, header, footer, cellWidth, cellHeight, gutter, heading } = swatchMeasures;
  const columns = columnsFor(swatches.length);
  const cells: SwatchCell[] = [];
  const headings: SwatchHeading[] = [];
  let top = margin + header;
  const groups = byCharacter(swatches);
  for (const { character, indices } of groups) {
    // Where nothing is anybody's there is nothing to tell apart.
    if (character !== undefined || groups.length > 1) {
      headings.push({ words: character ?? nobodys, left: margin, baseline: top + heading - headingGap });
      top += heading;
    }
    for (const [n, index] of indices.entries()) {
      const column = n % columns;
      cells.push({
        index,
        left: margin + column * (cellWidth + gutter),
        top: top + Math.floor(n / columns) * cellHeight,
      });
    }
    top += Math.ceil(indices.length / columns) * cellHeight;
  }
  const width = 2 * margin + columns * cellWidth + (columns - 1) * gutter;
  return { width, height: top + footer, cells, headings };
}

function byCharacter(swatches: readonly Pick<Swatch, 'name' | 'character'>[]) {
  const groups = new Map<string | undefined, number[]>();
  for (const [index, { character }] of swatches.entries()) {
    groups.set(character, [...(groups.get(character) ?? []), index]);
  }
  const all = [...groups].map(([character, indices]) => ({ character, indices }));
  return [
    ...all.filter(({ character }) => character !== undefined),
    ...all.filter(({ character }) => character === undefined),
  ];
}
