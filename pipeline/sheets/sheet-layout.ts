import type { PxBox } from './drawing.js';
import { isCover, type LayoutPage, type Opening, openingsOf } from './openings.js';

/**
 * Where everything lies on a contact sheet: pure figures, no drawing. Pages lie as the reader will hold the book: odd
 * numbers on the right, even ones on the left, facing pages touching at the fold, covers apart in a band of their own.
 */

export interface SheetCell {
  readonly id: string;
  /** Side of the fold it lies on; a spread lies across it, a cover apart from it. */
  readonly side: 'left' | 'right' | 'across' | 'apart';
  /** The room the page has on the sheet. */
  readonly slot: PxBox;
  /** The page itself at its own aspect: at the fold, at the foot of its slot. */
  readonly box: PxBox;
  /** A spread whose first page is a right-hand page: it cannot lie across a fold, and is shown by itself. */
  readonly isOffParity: boolean;
}

/** A stretch of one row that belongs to one scene. */
export interface SceneBand {
  readonly scene: string;
  readonly left: number;
  readonly right: number;
  /** Top of the slots beneath it. */
  readonly bottom: number;
  /** Top of the scene's palette, below its pages and their notes; undefined where it has none. */
  readonly stripTop?: number;
  /** Whether the page before its first page, on the row above, belongs to the scene too. */
  readonly isContinued: boolean;
}

export interface SheetLayout {
  readonly width: number;
  readonly height: number;
  /** The measure of text and gaps: 1 where pages are 240 px wide, never below 0.75, so that words stay readable. */
  readonly unit: number;
  readonly margin: number;
  /** Facing pages in a row, at most. */
  readonly columns: number;
  readonly cells: readonly SheetCell[];
  readonly bands: readonly SceneBand[];
  /** Baselines of the headings over covers and pages; undefined where a part is empty. */
  readonly coversY: number | undefined;
  readonly pagesY: number | undefined;
  readonly footerY: number;
}

/** Distances at unit 1, in pixels. Our own design. */
const at = {
  margin: 64,
  header: 188,
  heading: 34,
  gap: 40,
  band: 36,
  label: 32,
  note: 38,
  strip: 30,
  rowGap: 24,
  footer: 76,
} as const;

/** Height of a scene's palette, and what is free above it; at unit 1. */
export const stripHeight = 18;
const stripGap = 6;

/** A sheet is made near the shape of A-series paper held upright (ISO 216: sides as 1 to the square root of 2). */
const sheetAspect = Math.SQRT1_2;

/** Larger sheets help nobody and would not fit in memory: pages are drawn smaller instead. Our own choice. */
const maxSheetPixels = 48_000_000;
const minPageWidthPx = 48;

/**
 * Lays out a contact sheet.
 * @param pages in reading order
 * @param pageWidthPx width of a single page on the sheet, in pixels; made smaller where the sheet would grow too large
 */
export function layOutSheet(pages: readonly LayoutPage[], pageWidthPx: number): SheetLayout {
  const openings = openingsOf(pages);
  let pageWidth = Math.max(minPageWidthPx, Math.round(pageWidthPx));
  for (;;) {
    const layout = layOutNearPaper(pages, openings, pageWidth);
    if (layout.width * layout.height <= maxSheetPixels || pageWidth === minPageWidthPx) return layout;
    pageWidth = Math.max(minPageWidthPx, Math.floor(pageWidth * 0.85));
  }
}

/** Tries numbers of columns and keeps the one that comes nearest to a sheet of paper. */
function layOutNearPaper(
  pages: readonly LayoutPage[],
  openings: readonly Opening[],
  pageWidth: number,
): SheetLayout {
  const farFrom = (layout: SheetLayout) => Math.abs(Math.log(layout.width / layout.height / sheetAspect));
  let best = layOut(pages, openings, pageWidth, 2);
  for (let columns = 3; columns <= Math.max(2, openings.length); columns++) {
    const next = layOut(pages, openings, pageWidth, columns);
    // Sheets only get wider with more columns, so the first step away from the paper's shape ends the search.
    if (farFrom(next) >= farFrom(best)) break;
    best = next;
  }
  return best;
}

/** Width by height of a single page as most pages have it, kept within what a sheet can show. */
function usualAspect(pages: readonly LayoutPage[]): number {
  const aspects = pages.map((page) => (page.isSpread ? page.aspect / 2 : page.aspect)).sort((a, b) => a - b);
  const middle = aspects[Math.floor(aspects.length / 2)] ?? sheetAspect;
  return Math.min(2.5, Math.max(0.4, middle));
}

/** Fills rows from the top; holds what grows while pages are put down. */
class Rows {
  readonly cells: SheetCell[] = [];
  readonly bands: SceneBand[] = [];
  private last: LayoutPage | undefined;

  constructor(
    readonly pageWidth: number,
    readonly pageHeight: number,
    readonly unit: number,
    public y: number,
  ) {}

  /** One row: the pages with the side and the left edge of the slot of each. Moves `y` below it. */
  add(row: readonly { page: LayoutPage; side: SheetCell['side']; left: number }[]): void {
    const top = this.y + Math.round(at.band * this.unit);
    let band: SceneBand | undefined;
    for (const { page, side, left } of row) {
      const slot = { left, top, width: this.pageWidth * (page.isSpread ? 2 : 1), height: this.pageHeight };
      const box = standIn(slot, page.aspect, side);
      const isOffParity = page.isSpread && (page.numbers[0] ?? 0) % 2 === 1;
      this.cells.push({ id: page.id, side, slot, box, isOffParity });
      band = this.extend(band, page, box, top);
      this.last = page;
    }
    const hasNote = row.some(({ page }) => page.hasNote);
    const hasStrip = row.some(({ page }) => page.hasStrip);
    const notes = at.label + (hasNote ? at.note : 0);
    if (hasStrip)
      this.addStrips(row, top + this.pageHeight + Math.round((notes + stripGap) * this.unit), top);
    const below = notes + (hasStrip ? at.strip : 0) + at.rowGap;
    this.y = top + this.pageHeight + Math.round(below * this.unit);
  }

  /** Puts palettes below the bands of a row whose scenes have one. */
  private addStrips(row: readonly { page: LayoutPage }[], stripTop: number, top: number): void {
    const shown = new Set(row.flatMap(({ page }) => (page.hasStrip ? [page.scene] : [])));
    for (const [n, band] of this.bands.entries()) {
      if (band.bottom === top && shown.has(band.scene)) this.bands[n] = { ...band, stripTop };
    }
  }

  /** Lengthens the row's last band over a page of the same scene, or begins one. */
  private extend(
    band: SceneBand | undefined,
    page: LayoutPage,
    box: PxBox,
    bottom: number,
  ): SceneBand | undefined {
    if (page.scene === undefined) return undefined;
    const right = box.left + box.width;
    if (band?.scene === page.scene) {
      const longer = { ...band, right };
      this.bands[this.bands.length - 1] = longer;
      return longer;
    }
    const isContinued = this.last?.scene === page.scene && isCover(this.last) === isCover(page);
    const begun = { scene: page.scene, left: box.left, right, bottom, isContinued };
    this.bands.push(begun);
    return begun;
  }
}

/** A page at its aspect inside its slot: as large as fits, at the fold, at the foot. */
function standIn(slot: PxBox, aspect: number, side: SheetCell['side']): PxBox {
  const sound = Number.isFinite(aspect) && aspect > 0 ? aspect : slot.width / slot.height;
  const width = Math.max(1, Math.round(Math.min(slot.width, slot.height * sound)));
  const height = Math.max(1, Math.min(slot.height, Math.round(width / sound)));
  const spare = slot.width - width;
  const left = slot.left + Math.round({ left: spare, right: 0, across: spare / 2, apart: 0 }[side]);
  return { left, top: slot.top + slot.height - height, width, height };
}

function layOut(
  pages: readonly LayoutPage[],
  openings: readonly Opening[],
  pageWidth: number,
  columns: number,
): SheetLayout {
  const unit = Math.max(0.75, pageWidth / 240);
  const margin = Math.round(at.margin * unit);
  const gap = Math.round(at.gap * unit);
  const width = 2 * margin + columns * 2 * pageWidth + (columns - 1) * gap;
  const usual = pages.filter((page) => !isCover(page));
  const pageHeight = Math.round(pageWidth / usualAspect(usual.length === 0 ? pages : usual));
  const rows = new Rows(pageWidth, pageHeight, unit, Math.round(at.header * unit) + margin);
  const heading = (isWanted: boolean): number | undefined => {
    if (!isWanted) return undefined;
    rows.y += Math.round(at.heading * unit);
    return rows.y - Math.round(8 * unit);
  };
  const coversY = heading(pages.some(isCover));
  for (const row of coverRows(pages.filter(isCover), { pageWidth, gap, margin, width })) rows.add(row);
  const pagesY = heading(coversY !== undefined && openings.length > 0);
  for (let first = 0; first < openings.length; first += columns) {
    const inRow = openings.slice(first, first + columns);
    rows.add(
      inRow.flatMap((opening, column) =>
        slotsOf(opening, margin + column * (2 * pageWidth + gap), pageWidth),
      ),
    );
  }
  const footerY = rows.y + Math.round(at.footer * 0.4 * unit);
  const height = rows.y + Math.round(at.footer * unit);
  return {
    width,
    height,
    unit,
    margin,
    columns,
    cells: rows.cells,
    bands: rows.bands,
    coversY,
    pagesY,
    footerY,
  };
}

function slotsOf(opening: Opening, left: number, pageWidth: number) {
  const slots: { page: LayoutPage; side: SheetCell['side']; left: number }[] = [];
  if (opening.across !== undefined) slots.push({ page: opening.across, side: 'across', left });
  if (opening.left !== undefined) slots.push({ page: opening.left, side: 'left', left });
  if (opening.right !== undefined) slots.push({ page: opening.right, side: 'right', left: left + pageWidth });
  return slots;
}

/** Covers side by side with gaps between them, as many to a row as fit. */
function coverRows(
  covers: readonly LayoutPage[],
  room: { pageWidth: number; gap: number; margin: number; width: number },
) {
  const rows: { page: LayoutPage; side: 'apart'; left: number }[][] = [];
  let left = Number.POSITIVE_INFINITY;
  for (const page of covers) {
    const width = room.pageWidth * (page.isSpread ? 2 : 1);
    if (left + width > room.width - room.margin) {
      rows.push([]);
      left = room.margin;
    }
    rows.at(-1)?.push({ page, side: 'apart', left });
    left += width + room.gap;
  }
  return rows;
}
