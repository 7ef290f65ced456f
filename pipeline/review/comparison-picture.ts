import type { Press } from '../../config/press.js';
import { type PrintSpec, trimBoxPx } from '../../config/print-spec.js';
import { mmToPx, type SizePx } from '../../config/units.js';
import { openSoftProofer } from '../inks/soft-proof.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Raster } from '../model/raster.js';
import type { ComparedPicture, PageComparison } from '../rounds/compare-page.js';
import type { ChangedPlace, PictureState } from '../rounds/compare-pictures.js';
import { drawOver } from '../sheets/draw-over.js';
import { box, canvasOf, fill, ground, ink, line, type PxBox, place, text } from '../sheets/drawing.js';
import { proofCaution } from '../sheets/proof-slug.js';
import { textWidth, wrapText } from '../sheets/type.js';
import { encodePicture } from '../write.js';
import { enlarged, InkedPage } from './inked-page.js';

/** A page before beside the same page after: both whole, with what changed outlined and numbered, then the gravest places enlarged. */

/** What is drawn. */
export interface ComparisonToDraw {
  readonly title: string;
  readonly comparison: PageComparison;
  readonly compared: ComparedPicture;
  readonly spec: Pick<PrintSpec, 'trim' | 'proofPaperWhite'>;
  readonly press: Press;
  /** What it is compared with, in words. */
  readonly since: string;
  readonly before: PictureState;
  readonly now: PictureState;
}

/** Widths and heights in pixels; own design. */
const marginPx = 24;
const pageHeightPx = 900;
const mostPageWidthPx = 1300;
const cellPx = 440;
const labelPx = 46;
const typePx = 15;
const linePx = 20;
/** A place that is larger than this share of the page both ways is not shown enlarged. Own choice. */
const largeShare = 0.6;
/** Places that are shown enlarged. Own choice. */
const mostEnlarged = 4;
/** An enlarged place shows this much of the page at least, in millimetres: enough to know where it is. Own choice. */
const leastShownMm = 6;
/** And so much around what changed, as a share of it. */
const around = 1.4;
const statedPpi = 100;
/** A box is drawn so far outside of what it marks, in pixels. */
const gapPx = 3;
const boxColour = '#d00000';

/** @returns a PNG @throws PlatehandError `picture-unreadable` */
export async function comparisonPicture(what: ComparisonToDraw, arena: PageArena): Promise<Buffer> {
  const { compared, before, now, press, spec } = what;
  const proofer = openSoftProofer(press);
  const show = (inks: Raster) => proofer.proof(inks, { paperWhite: spec.proofPaperWhite }, arena);
  const pages = [await InkedPage.open(before), await InkedPage.open(now)] as const;
  const size = pageSize(pages[1]);
  const shownPlaces = enlargedPlaces(what, pages[1]);
  const rows = Math.ceil(shownPlaces.length / cellsAcross(size));
  const width = 3 * marginPx + 2 * size.width;
  const head = headLines(what, shownPlaces.length, width - 2 * marginPx);
  const top = marginPx + 34 + head.length * linePx + 26;
  const below = top + size.height + 28;
  const canvas = canvasOf(width, below + rows * (cellPx + labelPx) + 40, ground.proof, arena);
  const shapes = heading(what, head, size, top);
  for (const [at, page] of pages.entries()) {
    const left = marginPx + at * (size.width + marginPx);
    place(canvas, show(await page.reduced(size, arena)), left, top);
    const scale = size.width / page.width;
    shapes.push(
      ...compared.places.map((one, n) => outline(boxOf(one, what, page), scale, { left, top }, n + 1)),
    );
  }
  for (const [n, one] of shownPlaces.entries()) {
    const cells = cellsAcross(size);
    const left = marginPx + (n % cells) * (2 * cellPx + 2 * marginPx);
    const cellTop = below + Math.floor(n / cells) * (cellPx + labelPx);
    const number = compared.places.indexOf(one) + 1;
    for (const [at, page] of pages.entries()) {
      const crop = cropAround(boxOf(one, what, page), page, compared.ppi);
      const cell = await enlarged(page, crop, cellPx, show);
      const cellLeft = left + at * (cellPx + 8);
      place(canvas, cell.picture, cellLeft, cellTop);
      const inside = shifted(boxOf(one, what, page), crop);
      shapes.push(outline(inside, cell.scale, { left: cellLeft, top: cellTop }, number));
    }
    shapes.push(...cellLabel(one, number, left, cellTop + cellPx + 18));
  }
  shapes.push(text(proofCaution.join('. '), marginPx, canvas.height - 14, { sizePx: 13 }));
  await drawOver(canvas, shapes, arena);
  return encodePicture(canvas, { ppi: statedPpi, format: 'png' });
}

/** Enlarged places beside each other: two on the sheet of a spread. */
function cellsAcross(size: SizePx): number {
  return Math.max(1, Math.floor((2 * size.width + 2 * marginPx) / (2 * cellPx + 2 * marginPx)));
}

function pageSize({ width, height }: SizePx): SizePx {
  const scale = Math.min(pageHeightPx / height, mostPageWidthPx / width, 1);
  const least = Math.max(scale, cellPx / width);
  return { width: Math.round(width * least), height: Math.round(height * least) };
}

function headLines({ comparison, compared }: ComparisonToDraw, shown: number, room: number): string[] {
  const { places, placesInAll } = compared;
  const counted = `${placesInAll} ${placesInAll === 1 ? 'place' : 'places'}${placesInAll > places.length ? `, ${places.length} outlined` : ''}, ${shown} enlarged below.`;
  return wrapText(`${comparison.why}. ${counted}`, room, 4, { sizePx: typePx });
}

function heading(
  { title, comparison, since }: ComparisonToDraw,
  head: readonly string[],
  size: SizePx,
  top: number,
): string[] {
  const names = (used: PageComparison['now']) => used.map(({ name }) => name).join(', ');
  const sides = [`Before (${since}): ${names(comparison.before)}`, `Now: ${names(comparison.now)}`];
  return [
    text(title, marginPx, marginPx + 20, {
      sizePx: 22,
      bold: true,
      fill: ink.strong,
      maxWidthPx: 2 * size.width,
    }),
    ...head.map((words, n) => text(words, marginPx, marginPx + 44 + n * linePx, { sizePx: typePx })),
    ...sides.map((words, at) =>
      text(words, marginPx + at * (size.width + marginPx), top - 8, {
        sizePx: typePx,
        bold: true,
        maxWidthPx: size.width,
      }),
    ),
  ];
}

/** Where a place lies on the composite, in its pixels. */
function boxOf(
  { xMm, yMm, widthMm, heightMm }: ChangedPlace,
  { spec, compared }: ComparisonToDraw,
  page: SizePx,
): PxBox {
  const { ppi } = compared;
  const trim = trimBoxPx(page, spec, ppi);
  const px = (mm: number) => mmToPx(mm, ppi);
  return { left: trim.left + px(xMm), top: trim.top + px(yMm), width: px(widthMm), height: px(heightMm) };
}

/** A box as it lies on a part of the page, as far as it does. */
function shifted({ left, top, width, height }: PxBox, crop: PxBox): PxBox {
  const [x, y] = [Math.max(0, left - crop.left), Math.max(0, top - crop.top)];
  const right = Math.min(crop.width, left + width - crop.left);
  const bottom = Math.min(crop.height, top + height - crop.top);
  return { left: x, top: y, width: right - x, height: bottom - y };
}

/** The gravest places but those of nearly the whole page, of which nothing is seen that is not seen above. */
function enlargedPlaces(what: ComparisonToDraw, page: SizePx): readonly ChangedPlace[] {
  const isLarge = ({ width, height }: PxBox) =>
    width > largeShare * page.width && height > largeShare * page.height;
  return what.compared.places.filter((one) => !isLarge(boxOf(one, what, page))).slice(0, mostEnlarged);
}

/** A square around a place, within the page, in whole pixels. */
function cropAround({ left, top, width, height }: PxBox, page: SizePx, ppi: number): PxBox {
  const wanted = Math.max(mmToPx(leastShownMm, ppi), around * Math.max(width, height));
  const side = Math.min(page.width, page.height, Math.ceil(wanted));
  const from = (middle: number, length: number) =>
    Math.min(length - side, Math.max(0, Math.round(middle - side / 2)));
  return {
    left: from(left + width / 2, page.width),
    top: from(top + height / 2, page.height),
    width: side,
    height: side,
  };
}

/** A box in red on white, so that it shows on any art, with its number. */
function outline(
  { left, top, width, height }: PxBox,
  scale: number,
  origin: { left: number; top: number },
  number: number,
): string {
  const x = origin.left + left * scale - gapPx;
  const y = origin.top + top * scale - gapPx;
  const around = box(x, y, width * scale + 2 * gapPx, height * scale + 2 * gapPx);
  const look = { sizePx: 12, bold: true, fill: '#fff' };
  const tagWidth = textWidth(String(number), look) + 8;
  const tagTop = Math.max(origin.top, y - 16);
  return [
    line(around, { stroke: '#fff', width: 3.5 }),
    line(around, { stroke: boxColour, width: 1.5 }),
    fill(box(x, tagTop, tagWidth, 16), boxColour),
    text(String(number), x + 4, tagTop + 12.5, look),
  ].join('');
}

function cellLabel(
  { xMm, yMm, widthMm, heightMm, measured }: ChangedPlace,
  number: number,
  x: number,
  y: number,
): string[] {
  const look = { sizePx: typePx, maxWidthPx: 2 * cellPx };
  return [
    text(
      `${number}. ${xMm} / ${yMm} mm, ${widthMm} x ${heightMm} mm; before on the left, now on the right`,
      x,
      y,
      { ...look, bold: true },
    ),
    text(measured, x, y + 18, look),
  ];
}
