import { inflateSync } from 'node:zlib';
import { PDFRawStream } from '@cantoo/pdf-lib';
import { readPdf } from './read-pdf.js';

/**
 * The text of a PDF as somebody would copy it, page by page: each string of its pages, letter by letter through the font's table of
 * characters. A letter that the table lacks is an error.
 */
export async function pdfPagesText(bytes: Uint8Array): Promise<string[]> {
  const pdf = await readPdf(bytes);
  const unpacked = (...path: readonly (string | number)[]) => {
    const { dict, contents } = pdf.stream(...path);
    const packed = dict.toString().includes('/FlateDecode');
    return (packed ? inflateSync(contents) : Buffer.from(contents)).toString('latin1');
  };
  const lettersOf = (page: number, font: string) => {
    if (!(pdf.at('Page', page, 'Resources', 'Font', font, 'ToUnicode') instanceof PDFRawStream))
      return new Map();
    const table = unpacked('Page', page, 'Resources', 'Font', font, 'ToUnicode');
    return new Map(
      [...table.matchAll(/^<([0-9A-F]{4})> <([0-9A-F]+)>$/gm)].map(([, glyph, units]) => {
        return [glyph, Buffer.from(units, 'hex').swap16().toString('utf16le')] as const;
      }),
    );
  };
  return pdf.document.getPages().map((_, page) => {
    const letters = { regular: lettersOf(page, 'regular'), bold: lettersOf(page, 'bold') };
    const shown = unpacked('Page', page, 'Contents').matchAll(
      /\/(regular|bold) \S+ Tf \S+ \S+ Td <([0-9A-F]*)>/g,
    );
    const lines = [...shown].map(([, weight, hex]) =>
      (hex.match(/.{4}/g) ?? []).map((glyph) => {
        const letter = letters[weight as 'regular' | 'bold'].get(glyph);
        if (letter === undefined) throw new Error(`no character is known for the glyph ${glyph}`);
        return letter;
      }),
    );
    return lines.map((line) => line.join('')).join('\n');
  });
}
