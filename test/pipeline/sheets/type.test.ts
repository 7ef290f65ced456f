import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import {
  fitText,
  substituteCharacter,
  textPath,
  textWidth,
  wrapText,
} from '../../../pipeline/sheets/type.js';

const sizePx = 100;

/**
 * A second reading of the font file, after the OpenType specification 1.9 (tables head, hhea, hmtx, maxp, loca, glyf and
 * cmap format 4): https://learn.microsoft.com/typography/opentype/spec/
 */
function openFont(file: string) {
  const bytes = readFileSync(createRequire(import.meta.url).resolve(`dejavu-fonts-ttf/ttf/${file}`));
  const tables = new Map<string, number>();
  for (let i = 0; i < bytes.readUInt16BE(4); i++) {
    tables.set(bytes.toString('latin1', 12 + 16 * i, 16 + 16 * i), bytes.readUInt32BE(20 + 16 * i));
  }
  const at = (name: string) => tables.get(name) ?? Number.NaN;
  const unitsPerEm = bytes.readUInt16BE(at('head') + 18);
  const glyphOf = (character: string): number => {
    const code = character.charCodeAt(0);
    const records = Array.from(
      { length: bytes.readUInt16BE(at('cmap') + 2) },
      (_, i) => at('cmap') + 4 + 8 * i,
    );
    const offsets = records.map((record) => at('cmap') + bytes.readUInt32BE(record + 4));
    const map = offsets.find((offset) => bytes.readUInt16BE(offset) === 4) ?? Number.NaN;
    const segments = bytes.readUInt16BE(map + 6) / 2;
    for (let i = 0; i < segments; i++) {
      if (bytes.readUInt16BE(map + 14 + 2 * i) < code) continue;
      const start = bytes.readUInt16BE(map + 16 + 2 * (segments + i));
      const delta = bytes.readUInt16BE(map + 16 + 2 * (2 * segments + i));
      const rangeAt = map + 16 + 2 * (3 * segments + i);
      const range = bytes.readUInt16BE(rangeAt);
      if (start > code) return 0;
      return range === 0 ? (code + delta) & 0xffff : bytes.readUInt16BE(rangeAt + range + 2 * (code - start));
    }
    return 0;
  };
  const advanceOf = (character: string): number => {
    const count = bytes.readUInt16BE(at('hhea') + 34);
    return bytes.readUInt16BE(at('hmtx') + 4 * Math.min(glyphOf(character), count - 1)) / unitsPerEm;
  };
  /** xMin, yMin, xMax, yMax of the outline, in em, y up. */
  const boundsOf = (character: string): number[] => {
    const isLong = bytes.readInt16BE(at('head') + 50) === 1;
    const index = glyphOf(character);
    const offset = isLong
      ? bytes.readUInt32BE(at('loca') + 4 * index)
      : 2 * bytes.readUInt16BE(at('loca') + 2 * index);
    return [2, 4, 6, 8].map((field) => bytes.readInt16BE(at('glyf') + offset + field) / unitsPerEm);
  };
  return { advanceOf, boundsOf };
}

const fonts = [
  { bold: false, font: openFont('DejaVuSansCondensed.ttf') },
  { bold: true, font: openFont('DejaVuSansCondensed-Bold.ttf') },
];

function numbersIn(path: string): number[] {
  return [...path.matchAll(/-?\d+(?:\.\d+)?/g)].map((match) => Number(match[0]));
}

function seededCharacters(seed: number, count: number): string {
  let state = seed;
  let text = '';
  for (let i = 0; i < count; i++) {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    text +=
      state % 3 === 0 ? String.fromCharCode(state >>> 16) : String.fromCodePoint((state >>> 8) % 0x110000);
  }
  return text;
}

describe('text as outlines', () => {
  it.each(fonts)('has the advance widths of the font file (bold: $bold)', ({ bold, font }) => {
    for (const letter of ['H', 'i', '7', '%', '\u00c4', '\u0141', '\u0416']) {
      expect(textWidth(letter, { sizePx, bold })).toBeCloseTo(font.advanceOf(letter) * sizePx, 6);
    }
  });

  it.each(fonts)(
    'leaves ink exactly in the box that the font file states (bold: $bold)',
    async ({ bold, font }) => {
      for (const letter of ['H', 'p', 'Q']) {
        const path = textPath(letter, { sizePx: 1000, bold, x: 100, y: 1000 });
        const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="1200" height="1400"><path d="${path}"/></svg>`;
        const { info } = await sharp(Buffer.from(svg))
          .flatten({ background: '#fff' })
          .trim()
          .toBuffer({ resolveWithObject: true });
        const [left = 0, bottom = 0, right = 0, top = 0] = font.boundsOf(letter).map((each) => each * 1000);
        expect(Math.abs(-(info.trimOffsetLeft ?? 0) - (100 + left))).toBeLessThanOrEqual(1.5);
        expect(Math.abs(-(info.trimOffsetTop ?? 0) - (1000 - top))).toBeLessThanOrEqual(1.5);
        expect(Math.abs(info.width - (right - left))).toBeLessThanOrEqual(2);
        expect(Math.abs(info.height - (top - bottom))).toBeLessThanOrEqual(2);
      }
    },
  );

  it('sets pairs closer where the font asks for it', () => {
    const apart = textWidth('A', { sizePx }) + textWidth('V', { sizePx });
    expect(textWidth('AV', { sizePx })).toBeLessThan(apart);
  });

  it('draws accents the same whether they come composed or apart', () => {
    const place = { sizePx, x: 0, y: 0 };
    expect(textPath('Lo\u0308wenma\u0308ulchen', place)).toBe(textPath('L\u00f6wenm\u00e4ulchen', place));
  });

  it('keeps a mark without composed form over its letter', () => {
    expect(textWidth('x\u0301x', { sizePx })).toBeCloseTo(textWidth('x', { sizePx }) * 2, 6);
  });

  it('starts, centres and ends at the place it is given', () => {
    const width = textWidth('Salt', { sizePx });
    const start = numbersIn(textPath('Salt', { sizePx, x: 300, y: 50 }))[0] ?? 0;
    const middle = numbersIn(textPath('Salt', { sizePx, x: 300, y: 50, anchor: 'middle' }))[0] ?? 0;
    const end = numbersIn(textPath('Salt', { sizePx, x: 300, y: 50, anchor: 'end' }))[0] ?? 0;
    expect(start - middle).toBeCloseTo(width / 2, 1);
    expect(start - end).toBeCloseTo(width, 1);
  });

  it('shows a square for what the font lacks, and nothing for what has no shape', () => {
    const place = { sizePx, x: 0, y: 0 };
    const square = textPath(substituteCharacter, place);
    expect(square).not.toBe('');
    for (const lacking of ['\u6f22', '\u0e01', '\ud800', '\u{1fa90}', '\u{10ffff}']) {
      expect(textPath(lacking, place)).toBe(square);
    }
    expect(textPath('\u200d\ufe0f\u00ad', place)).toBe('');
    // What would turn the text around, or be obeyed elsewhere, is written out.
    expect(textPath('\u202e\u0007', place)).toBe(textPath('\\u202e\\u0007', place));
    expect(textPath('a\n\t b', place)).toBe(textPath('a b', place));
  });

  it('never throws and never writes a broken number, whatever the string', () => {
    for (let seed = 1; seed <= 40; seed++) {
      const path = textPath(seededCharacters(seed, 60), { sizePx: 13.7, x: 3.3, y: 9, maxWidthPx: 400 });
      expect(path).not.toMatch(/NaN|undefined|Infinity|e-/);
    }
  });
});

describe('text in too little room', () => {
  const title = 'Unfathomableness of Harbour Nights';

  it('stays whole where it fits', () => {
    expect(fitText(title, textWidth(title, { sizePx }), { sizePx })).toBe(title);
  });

  it('is cut with an ellipsis and never wider than the room', () => {
    for (let room = 0; room < 1500; room += 37) {
      const fitted = fitText(title, room, { sizePx });
      expect(textWidth(fitted, { sizePx })).toBeLessThanOrEqual(room);
      if (fitted !== '') expect(fitted.endsWith('\u2026')).toBe(true);
    }
    expect(fitText(title, 5, { sizePx })).toBe('');
  });

  it('breaks between words and cuts only what is left after the last line', () => {
    const style = { sizePx: 10 };
    const words = 'two files claim the colour of page 17 and neither is used';
    const whole = wrapText(words, 100, 9, style);
    expect(whole.join(' ')).toBe(words);
    expect(whole.length).toBeGreaterThan(2);
    const short = wrapText(words, 100, 2, style);
    expect(short).toHaveLength(2);
    expect(short[0]).toBe(whole[0]);
    expect(short[1]).toMatch(/\u2026$/);
    for (const line of [...whole, ...short]) expect(textWidth(line, style)).toBeLessThanOrEqual(100);
    expect(wrapText('', 100, 2, style)).toEqual([]);
  });
});
