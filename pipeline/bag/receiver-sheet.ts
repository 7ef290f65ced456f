import { messageOf, PlatehandError } from '../../config/errors.js';
import type { JpegPicture } from '../pdf/pdf-file.js';
import { a4Points, TextPdf } from '../pdf/text-file.js';
import type { FactSection } from './delivery-news.js';
import type { PictureFact, ReceiverFacts } from './receiver-facts.js';
import {
  bodyPoints,
  brokenText,
  type Filled,
  type SetLine,
  setSections,
  twoColumns,
} from './sheet-columns.js';
import { type Grid, gridOf } from './sheet-grid.js';

/**
 * The receiver's sheet: what the receiver's note says, on paper, with small pictures of the pages. One page of A4 for most issues;
 * what does not fit goes on. Lengths in points.
 */

/** Letter paper is 18 mm lower than A4 and 6 mm wider: what stands within these margins is whole on both. Own choice. */
const margin = { side: 44, top: 50, bottom: 54 } as const;
const width = a4Points.width - 2 * margin.side;
const bottom = a4Points.height - margin.bottom;
const columnGap = 14;
const columnWidth = (width - columnGap) / 2;
const titlePoints = 13;
const deliveryPoints = 9.5;
const labelPoints = 6.5;
const hairline = 0.3;
/** Heights of a page's picture beneath the text, the largest that fits; on sheets of their own the first of them. */
const pictureHeights = [110, 96, 84, 72, 62, 54, 48] as const;
/** Pixels of a picture: 150 to an inch at its largest. */
const picturePx = 230;

/**
 * @param manifestSha256 of the bag's manifest, which stands for all files in it
 * @returns a PDF; the same facts and pictures give the same bytes
 * @throws PlatehandError `bundle-failed` where a small picture cannot be read
 */
export async function receiverSheet(facts: ReceiverFacts, manifestSha256: string): Promise<Uint8Array> {
  const pdf = new TextPdf();
  pdf.nextPage();
  let y = heading(pdf, facts, manifestSha256);
  let lines: readonly SetLine[] = linesOf(pdf, facts);
  while (lines.length > 0) {
    const both = twoColumns(lines, bottom - y);
    both.forEach((column, i) => {
      drawColumn(pdf, column, margin.side + i * (columnWidth + columnGap), y);
    });
    lines = both[1].rest;
    y += Math.max(both[0].height, both[1].height);
    if (lines.length > 0) y = turnPage(pdf, facts);
  }
  await drawPictures(pdf, facts, y + titlePoints);
  footer(pdf, facts);
  return Buffer.concat(pdf.bytes(`${facts.title}: receiver's sheet`, facts.day));
}

function heading(pdf: TextPdf, { title, delivery }: ReceiverFacts, manifestSha256: string): number {
  let y: number = margin.top;
  const put = (text: string, size: number, weight: 'bold' | 'regular') => {
    for (const line of brokenText(pdf, text, { weight, size, width, hang: 0 })) {
      y += size * 1.2;
      pdf.text(line, { x: margin.side, y, size, weight });
    }
  };
  put(title, titlePoints, 'bold');
  put(delivery, deliveryPoints, 'regular');
  put(`SHA-256 of manifest-sha256.txt: ${manifestSha256}`, bodyPoints, 'regular');
  return y + bodyPoints;
}

/** The sections, then how to check the whole, then what was left out of words for want of letters. */
function linesOf(pdf: TextPdf, { sections, checksums }: ReceiverFacts): SetLine[] {
  const whole: FactSection = { heading: 'Checksums of the whole', lines: checksums };
  const lines = setSections(pdf, [...sections, whole], columnWidth);
  if (!pdf.fonts.regular.lacks && !pdf.fonts.bold.lacks) return lines;
  const what = 'In [brackets] stand signs that the font of this sheet lacks; data/READ-ME.txt has them.';
  return [...lines, ...setSections(pdf, [{ lines: [what] }], columnWidth)];
}

function drawColumn(pdf: TextPdf, { column }: Filled, x: number, top: number): void {
  let y = top;
  column.forEach(({ text, weight, indent, advance }, i) => {
    y += i === 0 ? bodyPoints + 1 : advance;
    pdf.text(text, { x: x + indent, y, size: bodyPoints, weight });
  });
}

/** Beneath the text where they fit, else on sheets of their own. */
async function drawPictures(pdf: TextPdf, facts: ReceiverFacts, top: number): Promise<void> {
  const fits = pictureHeights.find((height) => {
    const { rows, rowHeight } = gridOf(facts.pages, width, height);
    return top + rows.length * rowHeight <= bottom;
  });
  const grid = gridOf(facts.pages, width, fits ?? pictureHeights[0]);
  let y = fits === undefined ? turnPage(pdf, facts) : top;
  for (const row of grid.rows) {
    if (y + grid.rowHeight > bottom) y = turnPage(pdf, facts);
    await drawRow(pdf, row, y);
    y += grid.rowHeight;
  }
}

async function drawRow(pdf: TextPdf, row: Grid['rows'][number], top: number): Promise<void> {
  for (const { fact, x, width: wide, height } of row) {
    const box = { x: margin.side + x, y: top, width: wide, height };
    const picture = await pictureOf(fact);
    if (picture !== undefined) pdf.picture(picture, box);
    pdf.frame(box, hairline);
    const label = pdf.fonts.regular.settable(fact.toLookAt ? `${fact.page} LOOK` : fact.page);
    const narrow = Math.min(labelPoints, (labelPoints * wide) / pdf.fonts.regular.width(label, labelPoints));
    pdf.text(label, { x: box.x, y: top + height + labelPoints + 0.5, size: narrow });
  }
}

async function pictureOf({ thumbnail, page }: PictureFact): Promise<JpegPicture | undefined> {
  if (thumbnail === undefined) return undefined;
  const { smallPicture } = await import('../outputs/sheet-picture.js');
  return smallPicture(thumbnail, picturePx).catch((cause: unknown) => {
    const what = `The small picture of page ${page} cannot be read: ${messageOf(cause)}`;
    const remedy = 'Run the pages again, then deliver.';
    throw new PlatehandError('bundle-failed', what, remedy, { place: { file: thumbnail }, cause });
  });
}

/** @returns where the next page's content begins */
function turnPage(pdf: TextPdf, facts: ReceiverFacts): number {
  footer(pdf, facts);
  pdf.nextPage();
  return margin.top;
}

function footer(pdf: TextPdf, { issue, delivery }: ReceiverFacts): void {
  const what = `${issue}. ${delivery} Sheet ${pdf.pageCount}. The small pictures are not for print.`;
  const [line] = brokenText(pdf, what, { weight: 'regular', size: labelPoints, width, hang: 0 });
  pdf.text(line, { x: margin.side, y: bottom + labelPoints * 2, size: labelPoints });
}
