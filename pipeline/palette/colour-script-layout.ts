import type { PageColours } from '../model/palette.js';

/** Where everything lies on a colour script: pure figures, no drawing. */

/** Sizes in pixels. Our own design. */
export const scriptSizes = {
  margin: 56,
  header: 124,
  /** Room over a row for the names of its scenes. */
  scenes: 42,
  label: { sizePx: 13, height: 36 },
  table: { heading: 66, row: 58 },
  footer: 150,
} as const;

/** Widest drawing that people need not scroll on a wide screen; narrower ones have room for words. Own choice. */
const [widestPx, narrowestPx] = [2400, 1280];
/** Widest band of a page, and the narrowest that has its number below it. */
const [widestBandPx, numberedBandPx] = [88, 24];
/** Bands in a row as long as there are few rows; then rows become longer. */
const [usualInRow, mostRows] = [32, 12];

/** The band of one page. */
export interface ScriptBand {
  readonly page: string;
  readonly left: number;
  readonly top: number;
  readonly width: number;
  /** What stands below it; undefined where there is no room for each. */
  readonly label: string | undefined;
}

/** Pages of one scene beside each other in a row. */
export interface SceneStretch {
  readonly scene: string;
  readonly left: number;
  readonly right: number;
  /** Top of the bands beneath. */
  readonly bottom: number;
  /** Whether the scene has begun before. */
  readonly isContinued: boolean;
}

export interface ScriptLayout {
  readonly width: number;
  readonly height: number;
  readonly bandHeight: number;
  /** The most that a label may be wide. */
  readonly labelWidth: number;
  readonly bands: readonly ScriptBand[];
  readonly stretches: readonly SceneStretch[];
  /** Top of the table of scenes. */
  readonly tableTop: number;
}

/** A page as wide as it has pages: two for a spread. */
const widthOf = ({ numbers }: PageColours) => Math.max(1, numbers.length);

/**
 * Lays out a colour script, at most 2400 pixels wide.
 * @param pages in reading order
 * @param scenes how many there are
 */
export function layOutScript(pages: readonly PageColours[], scenes: number): ScriptLayout {
  const { margin, header, scenes: over, label, table, footer } = scriptSizes;
  const total = pages.reduce((sum, page) => sum + widthOf(page), 0);
  const inRow = Math.max(2, Math.min(total, Math.max(usualInRow, Math.ceil(total / mostRows))));
  const room = widestPx - 2 * margin;
  const unit = Math.min(widestBandPx, Math.floor(room / inRow));
  const rows = rowsOf(pages, inRow);
  const bandHeight = rows.length > 4 ? 130 : 200;
  const bands: ScriptBand[] = [];
  const stretches: SceneStretch[] = [];
  let top = margin + header;
  for (const row of rows) {
    top += over;
    placeRow(row, { top, unit }, bands, stretches);
    top += bandHeight + label.height;
  }
  return {
    width: Math.max(narrowestPx, inRow * unit + 2 * margin),
    height: top + table.heading + scenes * table.row + footer,
    bandHeight,
    labelWidth: unit * labelStep(unit) - 2,
    bands,
    stretches,
    tableTop: top,
  };
}

/** A spread stays whole: what does not fit goes to the next row. */
function rowsOf(pages: readonly PageColours[], inRow: number): PageColours[][] {
  const rows: PageColours[][] = [];
  let left = 0;
  for (const page of pages) {
    if (widthOf(page) > left) {
      rows.push([]);
      left = inRow;
    }
    rows.at(-1)?.push(page);
    left -= widthOf(page);
  }
  return rows;
}

/** Every page has its number, or every so manieth. */
function labelStep(unit: number): number {
  return [1, 2, 5, 10].find((step) => unit * step >= numberedBandPx) ?? 10;
}

function placeRow(
  row: readonly PageColours[],
  { top, unit }: { top: number; unit: number },
  bands: ScriptBand[],
  stretches: SceneStretch[],
): void {
  let left: number = scriptSizes.margin;
  const step = labelStep(unit);
  let open: SceneStretch | undefined;
  for (const [at, page] of row.entries()) {
    const width = widthOf(page) * unit;
    const label = at % step === 0 ? page.page : undefined;
    bands.push({ page: page.page, left, top, width: width - 1, label });
    const { scene } = page;
    if (scene === undefined) open = undefined;
    else if (open?.scene === scene) {
      open = { ...open, right: left + width };
      stretches[stretches.length - 1] = open;
    } else {
      const isContinued = stretches.some((one) => one.scene === scene);
      open = { scene, left, right: left + width, bottom: top, isContinued };
      stretches.push(open);
    }
    left += width;
  }
}
