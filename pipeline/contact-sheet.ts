import type { PageArena } from './kernels/page-arena.js';
import type { Raster } from './model/raster.js';
import { drawOver, type RowShapes } from './sheets/draw-over.js';
import { type Canvas, canvasOf, ground, type PxBox, place, scaled } from './sheets/drawing.js';
import type { PageMark } from './sheets/marks.js';
import type { LayoutPage } from './sheets/openings.js';
import type { ContactSheet, PlacedPage, SheetPage } from './sheets/sheet-cells.js';
import { drawCell } from './sheets/sheet-cells.js';
import { drawFooter, drawHeader, drawHeadings } from './sheets/sheet-header.js';
import { layOutSheet, type SheetCell } from './sheets/sheet-layout.js';
import { drawSceneBands } from './sheets/sheet-scenes.js';

export interface ContactSheetOptions {
  /** Width of a single page on the sheet in pixels; default 240. Very long issues are drawn smaller. */
  readonly pageWidthPx?: number;
}

const defaultPageWidthPx = 240;

/** States whose page is not shown even if there is a picture of it: it would not be the page that is owed. */
const alwaysBlank: ReadonlySet<PageMark> = new Set<PageMark>(['waiting', 'missing', 'contested', 'held']);

/**
 * All pages of an issue on one picture, as the reader will hold the book.
 * @returns rgb, 8 bit, allocated in the arena; the same input gives the same bytes, with or without fonts on the machine
 */
export async function drawContactSheet(
  sheet: ContactSheet,
  options: ContactSheetOptions,
  arena: PageArena,
): Promise<Raster> {
  const layout = layOutSheet(
    sheet.pages.map((page) => asLayoutPage(page, sheet)),
    options.pageWidthPx ?? defaultPageWidthPx,
  );
  const canvas = canvasOf(layout.width, layout.height, ground.sheet, arena);
  const placed = await placePictures(canvas, sheet, layout.cells, arena);
  const shapes = [
    ...drawHeader(sheet, layout),
    ...drawHeadings(sheet, layout),
    ...drawSceneBands(sheet, layout),
    ...placed.map((each, index) => cellShapes(each, layout.unit, index)),
    ...drawFooter(layout),
  ];
  await drawOver(canvas, shapes, arena);
  return canvas;
}

/** What a cell has above its picture and below it, its folio and its note, at the most; in the sheet's measure. */
const reach = { above: 30, below: 120 } as const;

function cellShapes(placed: PlacedPage, unit: number, index: number): RowShapes {
  const { top, height } = placed.cell.slot;
  const shapes = drawCell(placed, unit, index);
  return { shapes, top: top - reach.above * unit, bottom: top + height + reach.below * unit };
}

function asLayoutPage(page: SheetPage, { palettes = {} }: Pick<ContactSheet, 'palettes'>): LayoutPage {
  const { id, numbers, isSpread, aspect, scene } = page;
  return {
    id,
    numbers,
    isSpread,
    aspect,
    scene,
    hasNote: noteUnder(page, isSpread && isOdd(numbers[0])) !== undefined,
    hasStrip: scene !== undefined && (palettes[scene] ?? []).length > 0,
  };
}

function isOdd(number: number | undefined): boolean {
  return number !== undefined && number % 2 === 1;
}

function isBlank(page: SheetPage): boolean {
  return page.thumbnail === undefined || alwaysBlank.has(page.state);
}

/** A blank carries its reason inside; a picture carries it below. */
function noteUnder(page: SheetPage, isOffParity: boolean): string | undefined {
  if (isOffParity) return 'A spread must begin on a left-hand page, an even number.';
  return isBlank(page) || page.note === '' ? undefined : page.note;
}

/** Pictures that are in memory at the same time: those of thousands of pages would be a gigabyte. */
const picturesAtOnce = 8;

/** What a thumbnail takes while it is read, decoded and scaled, and how much of that may lie about. Estimated, no published source. */
const pictureBytes = 2_000_000;
const reclaimedBytes = 80_000_000;

async function placePictures(
  canvas: Canvas,
  sheet: ContactSheet,
  cells: readonly SheetCell[],
  { reclaim }: PageArena,
): Promise<PlacedPage[]> {
  const pages = new Map(sheet.pages.map((page) => [page.id, page]));
  const placed: PlacedPage[] = [];
  let dropped = 0;
  for (let first = 0; first < cells.length; first += picturesAtOnce) {
    const some = cells.slice(first, first + picturesAtOnce);
    placed.push(...(await Promise.all(some.map((cell) => placePicture(canvas, pages.get(cell.id), cell)))));
    dropped += some.length * pictureBytes;
    if (dropped < reclaimedBytes) continue;
    await reclaim.pictures(dropped);
    dropped = 0;
  }
  return placed;
}

/** Copies a page's small picture to its place: never stretched, so it may leave a sliver of its box free. */
async function placePicture(
  canvas: Canvas,
  page: SheetPage | undefined,
  cell: SheetCell,
): Promise<PlacedPage> {
  if (page === undefined)
    throw new Error(`The layout speaks of page ${cell.id}, which the sheet does not have`);
  const note = noteUnder(page, cell.isOffParity);
  if (page.thumbnail === undefined || isBlank(page)) return { page, cell, picture: undefined, note };
  const thumbnail = typeof page.thumbnail === 'function' ? await page.thumbnail() : page.thumbnail;
  const picture = insideOf(cell, thumbnail);
  place(canvas, await scaled(thumbnail, picture.width, picture.height), picture.left, picture.top);
  return { page, cell, picture, note };
}

/** A difference of one pixel in the aspect is rounding, and is scaled away; a larger one keeps its own aspect. */
function insideOf(cell: SheetCell, picture: Raster): PxBox {
  const { box } = cell;
  const scale = Math.min(box.width / picture.width, box.height / picture.height);
  const width = Math.max(1, Math.round(picture.width * scale));
  const height = Math.max(1, Math.round(picture.height * scale));
  if (box.width - width <= 1 && box.height - height <= 1) return box;
  const spare = box.width - width;
  const left = box.left + Math.round({ left: spare, right: 0, across: spare / 2, apart: 0 }[cell.side]);
  return { left, top: box.top + box.height - height, width, height };
}
