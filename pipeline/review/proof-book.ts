import type { IssuePage, Job } from '../../config/job.js';
import { mmToPx, type PixelBox } from '../../config/units.js';
import { visible } from '../../config/visible-text.js';
import type { Bookmark } from '../pdf/outlines.js';
import { type BookPage, type BookSheet, pictureBook } from '../pdf/picture-book.js';
import { ground } from '../sheets/drawing.js';
import { openingsOf } from '../sheets/openings.js';
import { proofCaution } from '../sheets/proof-slug.js';
import { smallProof } from './small-proof.js';

/** All proofs of a round in reading order as one PDF, as the reader will hold the book: facing pages side by side, at their size on paper. */

/** A page of the book. */
export interface ProofPage {
  readonly page: IssuePage;
  /** One line on how it stands: `done, changed since round 1`. */
  readonly caption: string;
  /** Why it is in its state; told on the empty place of a page without proof. */
  readonly why: string;
  /** Its proof; undefined for a page of which nothing could be made. */
  readonly proof:
    | {
        readonly path: string;
        readonly width: number;
        readonly height: number;
        readonly ppi: number;
        readonly trim?: PixelBox | undefined;
      }
    | undefined;
}

/** What the book says of itself. */
export interface ProofBook {
  readonly round: number;
  /** `YYYY-MM-DD`. */
  readonly day: string;
  /** One line on what has changed. */
  readonly summary: string;
  readonly pages: readonly ProofPage[];
}

type Side = 'left' | 'right' | 'alone';

/** A page with its place on a sheet. Lengths in points. */
interface Slot {
  readonly of: ProofPage;
  readonly crop: PixelBox | undefined;
  readonly width: number;
  /** From the top of what is shown of it to the top of its trim, and from there to its foot. */
  readonly above: number;
  readonly below: number;
}

const pointsPerInch = 72;
/** Around everything, in points; a line of text above the pages and one below. Own choice. */
const margin = 18;
const headHeight = 40;
const footHeight = 20;
const titleSize = 11;
const textSize = 8.5;
const lineHeight = 11;
/** A hairline between the words of facing pages, which begin and end at the fold: a wider one would cover letters. Own choice. */
const foldGap = 0.5;
const foldGrey = 0.4;
/** Around the empty place of a page that is not there: about what a proof has there. */
const emptyMargin = 36;
/** A sheet is at least so wide, for its words. */
const leastWidth = 380;

/** The file, piece by piece. @param path as errors name it */
export function proofBook(job: Job, book: ProofBook, path: string): AsyncGenerator<Uint8Array> {
  const number = job.number === undefined ? '' : `, number ${job.number}`;
  const title = visible(`${job.title}${number} (${job.issue}): round ${book.round}`);
  const sheets = sheetsOf(book.pages);
  const pages = sheets.map((slots) => bookPage(slots, title, book));
  return pictureBook({ title, day: book.day, pages, bookmarks: bookmarksOf(job, sheets) }, path);
}

/** Pages that face each other together, any other by itself, in reading order. */
function sheetsOf(pages: readonly ProofPage[]): Slot[][] {
  const openings = openingsOf(
    pages.map(({ page: { id, numbers, scene } }) => {
      return { id, numbers, scene, isSpread: numbers.length > 1, aspect: 1, hasNote: false };
    }),
  );
  const facing = new Map(
    openings.flatMap(({ left, right }) => {
      return left === undefined || right === undefined ? [] : [[left.id, right.id] as const];
    }),
  );
  const rights = new Set(facing.values());
  return pages.flatMap((own) => {
    if (rights.has(own.page.id)) return [];
    const right = pages.find(({ page }) => page.id === facing.get(own.page.id));
    return right === undefined ? [[slotOf(own, 'alone')]] : [[slotOf(own, 'left'), slotOf(right, 'right')]];
  });
}

/** Facing pages meet at the fold: what a proof has beyond its trim is left out there. */
function slotOf(of: ProofPage, side: Side): Slot {
  const { proof, page } = of;
  if (proof === undefined) return emptySlot(of, side);
  const { width, height, ppi, trim } = proof;
  const left = side === 'right' && trim !== undefined ? trim.left : 0;
  const right = side === 'left' && trim !== undefined ? trim.left + trim.width : width;
  const points = (px: number) => (px * pointsPerInch) / ppi;
  const above = points(trim?.top ?? 0);
  const crop = { left, top: 0, width: right - left, height };
  return { of: { ...of, page }, crop, width: points(crop.width), above, below: points(height) - above };
}

function emptySlot(of: ProofPage, side: Side): Slot {
  const { widthMm, heightMm } = of.page.spec.trim;
  const width = points(widthMm) + (side === 'alone' ? 2 : 1) * emptyMargin;
  return { of, crop: undefined, width, above: emptyMargin, below: points(heightMm) + emptyMargin };
}

function bookPage(slots: readonly Slot[], title: string, { round, summary }: ProofBook): BookPage {
  const above = Math.max(...slots.map((slot) => slot.above));
  const below = Math.max(...slots.map((slot) => slot.below));
  const inner = slots.reduce((sum, { width }) => sum + width, 0);
  const width = Math.max(inner, leastWidth) + 2 * margin;
  const top = margin + headHeight;
  const height = top + above + below + footHeight + margin;
  const draw = async (sheet: BookSheet) => {
    const room = width - 2 * margin;
    const put = (content: string, y: number, size: number, weight: 'bold' | 'regular') =>
      sheet.text(fitted(sheet, content, size, weight, room), { x: margin, y, size, weight });
    put(title, margin + titleSize, titleSize, 'bold');
    put(summary, margin + titleSize + lineHeight, textSize, 'regular');
    const first = (width - inner) / 2;
    // Facing proofs are not equally high: the ground of both goes on beneath the lower one.
    sheet.fill({ x: first, y: top, width: inner, height: above + below }, ground.proof / 255);
    let x = first;
    for (const slot of slots) {
      const caption = fitted(sheet, slot.of.caption, textSize, 'bold', slot.width - 4);
      sheet.text(caption, { x, y: top - 4, size: textSize, weight: 'bold' });
      await drawSlot(sheet, slot, x, top + above);
      x += slot.width;
    }
    // Beneath the trim words of both would run into each other.
    const trimHeight = Math.max(...slots.map(({ of: { page } }) => points(page.spec.trim.heightMm)));
    const fold = { x: first + slots[0].width - foldGap / 2, width: foldGap };
    if (slots.length > 1)
      sheet.fill({ ...fold, y: top + above + trimHeight, height: below - trimHeight }, foldGrey);
    put(`${proofCaution.join('. ')} Round ${round}.`, height - margin, textSize, 'regular');
  };
  return { width, height, label: slots.map(({ of }) => of.page.id).join('-'), draw };
}

/** @param x left edge of the slot, @param trimTop where the trim of all pages on the sheet begins */
async function drawSlot(
  sheet: BookSheet,
  { of, crop, width, above, below }: Slot,
  x: number,
  trimTop: number,
): Promise<void> {
  if (of.proof === undefined || crop === undefined) {
    drawEmpty(sheet, of, x, trimTop, width);
    return;
  }
  const { path, ppi } = of.proof;
  const jpeg = await smallProof(path, crop, ppi, Math.max(1, of.page.numbers.length));
  sheet.picture(jpeg, { x, y: trimTop - above, width, height: above + below });
}

function points(mm: number): number {
  return mmToPx(mm, pointsPerInch);
}

/** An empty place of the trim's size that says what is missing. */
function drawEmpty(
  sheet: BookSheet,
  { page, caption, why }: ProofPage,
  x: number,
  y: number,
  slotWidth: number,
): void {
  const [width, height] = [points(page.spec.trim.widthMm), points(page.spec.trim.heightMm)];
  const left =
    page.numbers.length === 1 && page.numbers[0] % 2 === 1 && slotWidth < width + 2 * emptyMargin
      ? x
      : x + Math.min(emptyMargin, slotWidth - width);
  const box = { x: left, y, width, height };
  sheet.fill(box, 0.97);
  sheet.frame(box, { width: 1, grey: 0.45, dash: [6, 4] });
  const room = width - 2 * margin;
  let line = y + height / 3;
  const put = (content: string, size: number, weight: 'bold' | 'regular') => {
    for (const part of wrapped(sheet, content, size, weight, room)) {
      sheet.text(part, { x: left + margin, y: line, size, weight });
      line += size * 1.3;
    }
  };
  put(caption, 2 * titleSize, 'bold');
  put(why, titleSize, 'regular');
}

/** A text cut to a width, with dots where it was cut. */
function fitted(
  sheet: BookSheet,
  content: string,
  size: number,
  weight: 'bold' | 'regular',
  room: number,
): string {
  const font = sheet.fonts[weight];
  let text = font.settable(content);
  if (font.width(text, size) <= room) return text;
  while (text !== '' && font.width(`${text}...`, size) > room) text = text.slice(0, -1);
  return `${text.trimEnd()}...`;
}

function wrapped(
  sheet: BookSheet,
  content: string,
  size: number,
  weight: 'bold' | 'regular',
  room: number,
): string[] {
  const font = sheet.fonts[weight];
  const lines: string[] = [];
  for (const word of font.settable(content).split(' ')) {
    const longer = lines.length === 0 ? word : `${lines[lines.length - 1]} ${word}`;
    if (lines.length > 0 && font.width(longer, size) <= room) lines[lines.length - 1] = longer;
    else lines.push(fitted(sheet, word, size, weight, room));
  }
  return lines;
}

/** A scene where it begins, its pages below it; pages in none by themselves. */
function bookmarksOf(job: Job, sheets: readonly (readonly Slot[])[]): Bookmark[] {
  const marks: {
    title: string;
    page: number;
    below: { title: string; page: number }[];
    scene: string | undefined;
  }[] = [];
  for (const [at, slots] of sheets.entries()) {
    for (const { of } of slots) {
      const { id, scene } = of.page;
      const own = { title: `${id}: ${of.caption}`, page: at };
      const last = marks.at(-1);
      if (scene === undefined) marks.push({ ...own, below: [], scene });
      else if (last?.scene === scene) last.below.push(own);
      else
        marks.push({
          title: job.scenes.find((one) => one.id === scene)?.title ?? scene,
          page: at,
          below: [own],
          scene,
        });
    }
  }
  return marks;
}
