import { createHash } from 'node:crypto';
import { deflateSync } from 'node:zlib';
import { datesOf, pdfDictionary, pdfNumber, pdfNumbers, pdfText, ref } from './notation.js';
import { type Bookmark, outlineObjects, outlineSize } from './outlines.js';
import { type JpegPicture, PdfFile } from './pdf-file.js';
import type { Box, TextPlace } from './text-file.js';
import { type FontWeight, fontObjects, TextFont } from './text-font.js';

/**
 * A PDF of pictures for people, no file for a press: pages of any size, JPEG inside, text that can be searched, bookmarks. It is handed
 * out page by page, so that a book of any length takes the memory of one page. Places are in points from the left and from the top.
 */

/** PDF 1.4 has all that is used here. */
const version = '1.4';

/** A page, made when its turn has come. */
export interface BookPage {
  readonly width: number;
  readonly height: number;
  /** How readers call it: `7`, `cover`, `2-3`. */
  readonly label: string;
  /** Puts everything on it. */
  draw(sheet: BookSheet): Promise<void>;
}

/** What the book is, beside its pages. */
export interface PictureBook {
  readonly title: string;
  /** `YYYY-MM-DD`, that the file is dated by. */
  readonly day: string;
  /** One at least. */
  readonly pages: readonly BookPage[];
  readonly bookmarks: readonly Bookmark[];
}

/** Objects that every file has: catalogue, pages, Info, fonts, outlines; then the pages, and what is on them. */
const catalogue = 1;
const pageTree = 2;
const info = 3;
const fontAt: Readonly<Record<FontWeight, number>> = { regular: 4, bold: 4 + fontObjects };
const outlines = 4 + 2 * fontObjects;

/** One page while it is drawn. */
export class BookSheet {
  readonly marks: string[] = [];
  readonly pictures: JpegPicture[] = [];

  /** @param height of the page */
  constructor(
    readonly fonts: Readonly<Record<FontWeight, TextFont>>,
    private readonly height: number,
  ) {}

  /** A picture that fills a box. */
  picture(picture: JpegPicture, box: Box): void {
    const number = this.pictures.push(picture) - 1;
    const matrix = [box.width, 0, 0, box.height, box.x, this.height - box.y - box.height];
    this.marks.push(`q ${numbers(matrix)} cm /P${number} Do Q`);
  }

  /** One line of text; what its font lacks is told in words. @param grey 0 black to 1 white, default 0 */
  text(content: string, { x, y, size, weight = 'regular' }: TextPlace, grey = 0): void {
    const shown = this.fonts[weight].shown(this.fonts[weight].settable(content));
    const at = numbers([x, this.height - y]);
    this.marks.push(`${pdfNumber(grey)} g BT /${weight} ${pdfNumber(size)} Tf ${at} Td ${shown} Tj ET`);
  }

  /** A filled box. @param grey 0 black to 1 white */
  fill(box: Box, grey: number): void {
    this.marks.push(`${pdfNumber(grey)} g ${this.rectangle(box)} re f`);
  }

  /** The edges of a box. @param width of the line, @param dash lengths of dashes and gaps, default none */
  frame(
    box: Box,
    { width, grey, dash = [] }: { width: number; grey: number; dash?: readonly number[] },
  ): void {
    const look = `${pdfNumber(grey)} G ${pdfNumber(width)} w ${pdfNumbers(dash)} 0 d`;
    this.marks.push(`q ${look} ${this.rectangle(box)} re S Q`);
  }

  private rectangle({ x, y, width, height }: Box): string {
    return numbers([x, this.height - y - height, width, height]);
  }
}

/**
 * The file, piece by piece. The same pages give the same bytes.
 * @param path of the file, as errors name it
 * @throws PlatehandError `pdf-too-large`; what drawing a page throws
 */
export async function* pictureBook(book: PictureBook, path: string): AsyncGenerator<Uint8Array> {
  const hash = createHash('sha256');
  const file = new PdfFile(path);
  for await (const piece of body(book, file)) {
    hash.update(piece);
    yield piece;
  }
  yield* file.end({ root: catalogue, info, identity: hash.digest('hex') });
}

async function* body(
  { title, day, pages, bookmarks }: PictureBook,
  file: PdfFile,
): AsyncGenerator<Uint8Array> {
  const fonts = { regular: new TextFont('regular'), bold: new TextFont('bold') };
  const firstPage = outlines + outlineSize(bookmarks);
  // A page and what it shows, then the pictures: how many there are of these is known when they have been drawn.
  const idOf = (page: number) => firstPage + 2 * page;
  const date = pdfText(datesOf(day).pdf);
  yield* file.header(version);
  yield* file.object(catalogue, catalogueOf(pages));
  const kids = pages.map((_, page) => ref(idOf(page))).join(' ');
  yield* file.object(
    pageTree,
    pdfDictionary({ Type: '/Pages', Kids: `[${kids}]`, Count: `${pages.length}` }),
  );
  yield* file.object(
    info,
    pdfDictionary({ Title: pdfText(title), Producer: pdfText('platehand'), CreationDate: date }),
  );
  yield* outlineObjects(file, outlines, bookmarks, idOf);
  let nextPicture = idOf(pages.length);
  for (const [at, page] of pages.entries()) {
    const sheet = new BookSheet(fonts, page.height);
    await page.draw(sheet);
    yield* pageObjects(file, idOf(at), nextPicture, page, sheet);
    nextPicture += sheet.pictures.length;
  }
  // Last of all: only now is it known which letters are used.
  yield* fonts.regular.objects(file, fontAt.regular);
  yield* fonts.bold.objects(file, fontAt.bold);
}

/** A page by itself on the screen, its bookmarks beside it. */
function catalogueOf(pages: readonly BookPage[]): string {
  const labels = pages.map(({ label }, at) => `${at} << /P ${pdfText(label)} >>`);
  return pdfDictionary({
    ...{ Type: '/Catalog', Pages: ref(pageTree), Lang: pdfText('en'), PageLayout: '/SinglePage' },
    ...{ PageLabels: `<< /Nums [${labels.join(' ')}] >>`, Outlines: ref(outlines), PageMode: '/UseOutlines' },
  });
}

function* pageObjects(
  file: PdfFile,
  id: number,
  firstPicture: number,
  { width, height }: BookPage,
  { marks, pictures }: BookSheet,
): Generator<Uint8Array> {
  const named = pictures.map((_, number) => [`P${number}`, ref(firstPicture + number)]);
  const resources = pdfDictionary({
    Font: pdfDictionary({ regular: ref(fontAt.regular), bold: ref(fontAt.bold) }),
    XObject: pdfDictionary(Object.fromEntries(named)),
  });
  const page = { Type: '/Page', Parent: ref(pageTree), Resources: resources, Contents: ref(id + 1) };
  yield* file.object(id, pdfDictionary({ ...page, MediaBox: pdfNumbers([0, 0, width, height]) }));
  const content = deflateSync(Buffer.from(marks.join('\n')));
  yield* file.stream(id + 1, { Filter: '/FlateDecode' }, [content]);
  for (const [number, picture] of pictures.entries()) yield* file.picture(firstPicture + number, picture);
}

function numbers(values: readonly number[]): string {
  return pdfNumbers(values).slice(1, -1);
}
