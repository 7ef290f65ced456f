import { createHash } from 'node:crypto';
import { deflateSync } from 'node:zlib';
import { datesOf, pdfDictionary, pdfNumber, pdfNumbers, pdfText, ref } from './notation.js';
import { type JpegPicture, PdfFile } from './pdf-file.js';
import { type FontWeight, fontObjects, TextFont } from './text-font.js';

/**
 * A plain PDF of text and small pictures for people, no file for a press: A4, text that can be searched and copied, no clock. Places
 * are in points from the left and from the top.
 */

/** A4 in points: 210 x 297 mm at 72 to an inch (ISO 216). */
export const a4Points = { width: 595.276, height: 841.89 } as const;

/** PDF 1.4 has all that is used here. */
const version = '1.4';

/** Where text stands and how it looks. */
export interface TextPlace {
  readonly x: number;
  /** The baseline. */
  readonly y: number;
  /** Height of the em in points. */
  readonly size: number;
  /** Default regular. */
  readonly weight?: FontWeight;
}

/** A rectangle in points. */
export interface Box {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

interface Page {
  readonly marks: string[];
  /** Numbers of the pictures on it. */
  readonly pictures: number[];
}

/** Objects that every file has: catalogue, pages, Info, then both fonts. */
const catalogue = 1;
const pageTree = 2;
const info = 3;
const fonts: Readonly<Record<FontWeight, number>> = { regular: 4, bold: 4 + fontObjects };
const firstFree = 4 + 2 * fontObjects;

/** Collects pages, then gives the file. */
export class TextPdf {
  readonly fonts: Readonly<Record<FontWeight, TextFont>> = {
    regular: new TextFont('regular'),
    bold: new TextFont('bold'),
  };
  private readonly pages: Page[] = [];
  private readonly pictures: JpegPicture[] = [];

  /** Begins the next page; all that follows stands on it. */
  nextPage(): void {
    this.pages.push({ marks: [], pictures: [] });
  }

  /** How many pages there are. */
  get pageCount(): number {
    return this.pages.length;
  }

  /** One line of text. @param text as `fonts` says it can be set */
  text(text: string, { x, y, size, weight = 'regular' }: TextPlace): void {
    const at = pdfNumbers([x, a4Points.height - y]).slice(1, -1);
    const shown = this.fonts[weight].shown(text);
    this.mark(`BT /${weight} ${pdfNumber(size)} Tf ${at} Td ${shown} Tj ET`);
  }

  /** The edges of a box. @param width of the line in points */
  frame(box: Box, width: number): void {
    this.mark(`${pdfNumber(width)} w ${numbersOf(box)} re S`);
  }

  /** A picture that fills a box. */
  picture(picture: JpegPicture, box: Box): void {
    const number = this.pictures.push(picture) - 1;
    this.current.pictures.push(number);
    const matrix = [box.width, 0, 0, box.height, box.x, a4Points.height - box.y - box.height];
    this.mark(`q ${pdfNumbers(matrix).slice(1, -1)} cm /P${number} Do Q`);
  }

  /**
   * The whole file.
   * @param title for the window of a viewer
   * @param day `YYYY-MM-DD`, that the file is dated by
   */
  bytes(title: string, day: string): Uint8Array[] {
    const file = new PdfFile();
    const pageAt = (page: number) => firstFree + this.pictures.length + 2 * page;
    const kids = this.pages.map((_, page) => ref(pageAt(page)));
    const date = pdfText(datesOf(day).pdf);
    const pieces = [
      ...file.header(version),
      ...file.object(
        catalogue,
        pdfDictionary({ Type: '/Catalog', Pages: ref(pageTree), Lang: pdfText('en') }),
      ),
      ...file.object(
        pageTree,
        pdfDictionary({ Type: '/Pages', Kids: `[${kids.join(' ')}]`, Count: `${kids.length}` }),
      ),
      ...file.object(
        info,
        pdfDictionary({ Title: pdfText(title), Producer: pdfText('platehand'), CreationDate: date }),
      ),
      ...this.fonts.regular.objects(file, fonts.regular),
      ...this.fonts.bold.objects(file, fonts.bold),
      ...this.pictures.flatMap((picture, number) => file.picture(firstFree + number, picture)),
      ...this.pages.flatMap((page, number) => pageObjects(file, pageAt(number), page)),
    ];
    const hash = createHash('sha256');
    for (const piece of pieces) hash.update(piece);
    return [...pieces, ...file.end({ root: catalogue, info, identity: hash.digest('hex') })];
  }

  private get current(): Page {
    const page = this.pages.at(-1);
    if (page === undefined) throw new Error('no page was begun');
    return page;
  }

  private mark(mark: string): void {
    this.current.marks.push(mark);
  }
}

function numbersOf({ x, y, width, height }: Box): string {
  return pdfNumbers([x, a4Points.height - y - height, width, height]).slice(1, -1);
}

function pageObjects(file: PdfFile, id: number, { marks, pictures }: Page): Uint8Array[] {
  const named = Object.fromEntries(pictures.map((number) => [`P${number}`, ref(firstFree + number)]));
  const resources = pdfDictionary({
    Font: pdfDictionary({ regular: ref(fonts.regular), bold: ref(fonts.bold) }),
    XObject: pdfDictionary(named),
  });
  const page = pdfDictionary({
    ...{ Type: '/Page', Parent: ref(pageTree), Resources: resources, Contents: ref(id + 1) },
    MediaBox: pdfNumbers([0, 0, a4Points.width, a4Points.height]),
  });
  return [
    ...file.object(id, page),
    ...file.stream(id + 1, { Filter: '/FlateDecode' }, [deflateSync(Buffer.from(marks.join('\n')))]),
  ];
}
