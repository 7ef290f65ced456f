import { deflateSync } from 'node:zlib';
import type opentype from 'opentype.js';
import { visible } from '../../config/visible-text.js';
import { type FontWeight, packagedFont } from '../sheets/packaged-font.js';
import { fontSubset } from './font-subset.js';
import { pdfDictionary, pdfNumber, ref } from './notation.js';
import type { PdfFile } from './pdf-file.js';

/**
 * A font in which text can be searched and copied: DejaVu, which comes with platehand as a package, embedded with the letters that
 * are used (ISO 32000-1 sections 9.7.4 and 9.10.3).
 */

const fontNames = { regular: 'DejaVuSansCondensed', bold: 'DejaVuSansCondensed-Bold' } as const;

/** Its weights. */
export type { FontWeight };

/** Widths in a PDF are in thousandths of the em. */
const perEm = 1000;
/** Ascent, descent, capital height and stem of DejaVu Sans Condensed in thousandths of the em, with a box that holds all letters; for viewers that replace it. */
const metrics = { Ascent: '928', Descent: '-236', CapHeight: '729', StemV: '80', ItalicAngle: '0' } as const;
/** A font that is neither of Latin letters alone nor in any other way special (ISO 32000-1, table 123). */
const symbolicFlag = '4';
/** Signs of one run that the font lacks, up to so many, are told by their numbers. Own choice. */
const mostNumbered = 3;
/** Mappings in one block of a table of characters (ISO 32000-1 section 9.10.3, after Adobe's technical note 5014). */
const blockLength = 100;

/** How many objects a font takes in a file. */
export const fontObjects = 5;

/** One weight of the font, and which of its letters were used. */
export class TextFont {
  private readonly bytes: Buffer;
  private readonly font: ReturnType<typeof opentype.parse>;
  private readonly used = new Map<number, string>();
  /** Whether a text held what the font lacks. */
  lacks = false;

  constructor(private readonly weight: FontWeight) {
    const { bytes, font } = packagedFont(weight);
    this.bytes = bytes;
    this.font = font;
  }

  /**
   * A text as it can be set: composed, on one line, without joiners and other signs that have no shape; a run of signs that the font
   * lacks is told in words, never drawn as boxes.
   */
  settable(text: string): string {
    const plain = visible(
      text
        .normalize('NFC')
        .replace(/\s+/gu, ' ')
        .replace(/\p{Cs}/gu, '\ufffd'),
    );
    const shapes = plain.replace(/[\p{Cf}\p{Variation_Selector}]/gu, '');
    const has = (sign: string) => sign === ' ' || this.font.charToGlyphIndex(sign) !== 0;
    let out = '';
    let run: string[] = [];
    const endRun = () => {
      if (run.length > 0) {
        out += lackingWords(run);
        this.lacks = true;
      }
      run = [];
    };
    for (const sign of shapes) {
      if (has(sign)) {
        endRun();
        out += sign;
      } else run.push(sign);
    }
    endRun();
    return out;
  }

  /** Width of a settable text. @param size of the em, in the unit of the result */
  width(text: string, size: number): number {
    let sum = 0;
    for (const sign of text) sum += this.advance(this.font.charToGlyphIndex(sign));
    return (sum * size) / perEm;
  }

  /** A settable text as a string of its content stream; its letters are noted as used. */
  shown(text: string): string {
    let hex = '';
    for (const sign of text) {
      const glyph = this.font.charToGlyphIndex(sign);
      if (!this.used.has(glyph)) this.used.set(glyph, sign);
      hex += hexOf(glyph);
    }
    return `<${hex}>`;
  }

  private advance(glyph: number): number {
    const { unitsPerEm, glyphs } = this.font;
    return ((glyphs.get(glyph).advanceWidth ?? 0) * perEm) / unitsPerEm;
  }

  /** Its objects, once all text is set. @param first number of the first of `fontObjects`, which names the font */
  objects(file: PdfFile, first: number): Uint8Array[] {
    const [font, descendant, descriptor, program, characters] = Array.from(
      { length: fontObjects },
      (_, i) => first + i,
    );
    const name = `/PHRSHE+${fontNames[this.weight]}`;
    const subset = fontSubset(this.bytes, this.used.keys());
    const used = [...this.used].sort(([one], [other]) => one - other);
    const system = '<< /Registry (Adobe) /Ordering (Identity) /Supplement 0 >>';
    return [
      ...file.object(
        font,
        pdfDictionary({
          ...{ Type: '/Font', Subtype: '/Type0', BaseFont: name, Encoding: '/Identity-H' },
          ...{ DescendantFonts: `[${ref(descendant)}]`, ToUnicode: ref(characters) },
        }),
      ),
      ...file.object(
        descendant,
        pdfDictionary({
          ...{ Type: '/Font', Subtype: '/CIDFontType2', BaseFont: name, CIDSystemInfo: system },
          ...{ FontDescriptor: ref(descriptor), CIDToGIDMap: '/Identity', DW: '600' },
          W: `[${used.map(([glyph]) => `${glyph} [${pdfNumber(this.advance(glyph))}]`).join(' ')}]`,
        }),
      ),
      ...file.object(
        descriptor,
        pdfDictionary({
          ...{ Type: '/FontDescriptor', FontName: name, Flags: symbolicFlag, ...metrics },
          ...{ FontBBox: '[-1000 -500 1700 1300]', FontFile2: ref(program) },
        }),
      ),
      ...file.stream(program, { Filter: '/FlateDecode', Length1: `${subset.length}` }, [deflateSync(subset)]),
      ...file.stream(characters, {}, [Buffer.from(characterTable(used))]),
    ];
  }
}

function lackingWords(run: readonly string[]): string {
  if (run.length > mostNumbered) return `[${run.length} signs that this font lacks]`;
  const numbers = run.map((sign) => `U+${(sign.codePointAt(0) ?? 0).toString(16).toUpperCase()}`);
  return `[${numbers.join(' ')}]`;
}

function hexOf(glyph: number): string {
  return glyph.toString(16).padStart(4, '0').toUpperCase();
}

/** Which character each glyph is, so that text can be searched and copied. */
function characterTable(used: readonly (readonly [glyph: number, sign: string])[]): string {
  const lines = used.map(([glyph, sign]) => {
    const units = Buffer.from(sign, 'utf16le').swap16().toString('hex').toUpperCase();
    return `<${hexOf(glyph)}> <${units}>`;
  });
  const blocks: string[] = [];
  for (let at = 0; at < lines.length; at += blockLength) {
    const block = lines.slice(at, at + blockLength);
    blocks.push(`${block.length} beginbfchar`, ...block, 'endbfchar');
  }
  return [
    '/CIDInit /ProcSet findresource begin 12 dict begin begincmap',
    '/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def',
    '/CMapName /Adobe-Identity-UCS def /CMapType 2 def',
    '1 begincodespacerange <0000> <FFFF> endcodespacerange',
    ...blocks,
    'endcmap CMapName currentdict /CMap defineresource pop end end',
  ].join('\n');
}
