import { inflateSync } from 'node:zlib';
import { PDFArray, PDFDict, PDFDocument, PDFName, type PDFObject, PDFRawStream } from '@cantoo/pdf-lib';
import sharp from 'sharp';
import { writeTiff } from './tiff-fixtures.js';

/** Reads PDFs with a library that has nothing to do with their writer; streams are unpacked by zlib and the image library. */

/** A PDF that was read. */
export interface ReadPdf {
  readonly document: PDFDocument;
  /** Its bytes, one character each. */
  readonly text: string;
  /** Follows names from an object on, through references; undefined where one of them is not there. */
  at(...path: readonly (string | number)[]): PDFObject | undefined;
  /** The same as text, as the library writes it. */
  said(...path: readonly (string | number)[]): string | undefined;
  /** A stream by its names, unpacked where it is packed with deflate alone. */
  stream(...path: readonly (string | number)[]): PDFRawStream;
}

/**
 * What the table of contents says of each object but the first: where it begins. The library finds objects without it, and so would
 * not see that it is wrong.
 */
export function tableOf(text: string): { readonly id: number; readonly begins: string }[] {
  const table = Number(text.match(/startxref\n(\d+)\n%%EOF\n$/)?.[1]);
  const [, count] = text.slice(table).match(/^xref\n0 (\d+)\n0000000000 65535 f \n/) ?? [];
  const entries = [...text.slice(table).matchAll(/(\d{10}) 00000 n \n/g)];
  if (entries.length !== Number(count) - 1) throw new Error('the table has not as many entries as it says');
  return entries.map(([, offset], index) => {
    const from = Number(offset);
    return { id: index + 1, begins: text.slice(from, from + 20) };
  });
}

/** Paths start with `trailer` keys: `Root`, `Info`, `ID`. A page is `Page` and its place. */
export async function readPdf(bytes: Uint8Array): Promise<ReadPdf> {
  const document = await PDFDocument.load(bytes, { updateMetadata: false, throwOnInvalidObject: true });
  const { context } = document;
  const at = (...path: readonly (string | number)[]) => {
    const [first, ...rest] = path;
    const { Root, Info, ID } = context.trailerInfo;
    const starts: Readonly<Record<string, PDFObject | undefined>> = { Root, Info, ID };
    const isPage = first === 'Page';
    const start = isPage ? document.getPages()[Number(rest[0])]?.node : starts[String(first)];
    return rest.slice(isPage ? 1 : 0).reduce<PDFObject | undefined>(
      (from, step) => {
        const found = from === undefined ? undefined : context.lookup(from);
        if (found instanceof PDFArray) return context.lookup(found.get(Number(step)));
        const dictionary = found instanceof PDFRawStream ? found.dict : found;
        if (!(dictionary instanceof PDFDict)) return undefined;
        return context.lookup(dictionary.get(PDFName.of(String(step))));
      },
      start === undefined ? undefined : context.lookup(start),
    );
  };
  const said = (...path: readonly (string | number)[]) => at(...path)?.toString();
  const stream = (...path: readonly (string | number)[]) => {
    const found = at(...path);
    if (!(found instanceof PDFRawStream)) throw new Error(`${path.join('/')} is no stream`);
    return found;
  };
  return { document, text: Buffer.from(bytes).toString('latin1'), at, said, stream };
}

const numberIn = (image: PDFRawStream, key: string) => Number(image.dict.get(PDFName.of(key))?.toString());

/** The samples of a page's picture, interleaved: deflate, then horizontal differences undone (ISO 32000-1 section 7.4.4.4). */
export function pictureSamples(pdf: ReadPdf, page = 0): { width: number; height: number; data: Uint8Array } {
  const image = pdf.stream('Page', page, 'Resources', 'XObject', 'Picture');
  const width = numberIn(image, 'Width');
  const height = numberIn(image, 'Height');
  const data = new Uint8Array(inflateSync(image.contents));
  const row = width * 4;
  for (let i = 0; i < data.length; i++) if (i % row >= 4) data[i] += data[i - 4];
  return { width, height, data };
}

/** What a mask paints, 255 where it does: its Group 4 data in a TIFF, read by the image library. */
export async function maskSamples(pdf: ReadPdf, page = 0, layer = 0): Promise<Uint8Array> {
  const image = pdf.stream('Page', page, 'Resources', 'XObject', `Layer${layer}`);
  const width = numberIn(image, 'Width');
  const height = numberIn(image, 'Height');
  const encoded = [Buffer.from(image.contents)];
  const tiff = writeTiff([
    { width, height, samples: 1, bits: 1, data: [], photometric: 0, compression: 4, encoded },
  ]);
  const paper = await sharp(tiff).toColourspace('b-w').raw().toBuffer();
  return Uint8Array.from(paper, (value) => 255 - value);
}
