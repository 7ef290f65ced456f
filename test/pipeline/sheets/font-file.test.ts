import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import opentype from 'opentype.js';
import { describe, expect, it } from 'vitest';
import { openFont } from '../../../pipeline/sheets/font-file.js';

/** Reference: opentype.js (MIT), a font library from npm that reads the same files by code of its own. */

function fontBytes(name: string): Uint8Array<ArrayBuffer> {
  const path = createRequire(import.meta.url).resolve(`dejavu-fonts-ttf/ttf/${name}.ttf`);
  return new Uint8Array(readFileSync(path));
}

/** Path data in font units, y downwards. Contours of one point have no area and are left out. */
function data(steps: readonly { readonly letter: string; readonly to: readonly number[] }[]): string {
  const text = steps.map(({ letter, to }) =>
    letter === 'Z' ? '' : letter + to.map((value) => value + 0).join(' '),
  );
  return text.join('').replace(/M(-?[\d.]+ -?[\d.]+)L\1(?=M|$)/g, '');
}

describe.each(['DejaVuSansCondensed', 'DejaVuSansCondensed-Bold'])('the outlines of %s', (name) => {
  const bytes = fontBytes(name);
  const font = openFont(bytes);
  const reference = opentype.parse(bytes.buffer);

  it('has the glyphs, widths and outlines that another library reads, for every character of the font', () => {
    let seen = 0;
    for (let code = 32; code < 0x20000; code++) {
      const glyph = reference.charToGlyphIndex(String.fromCodePoint(code));
      if (font.glyphOf(code) !== glyph) expect([code, font.glyphOf(code)]).toEqual([code, glyph]);
      if (glyph === 0) continue;
      seen++;
      const theirs = reference.glyphs.get(glyph);
      if (font.advanceOf(glyph) !== theirs.advanceWidth)
        expect([code, font.advanceOf(glyph)]).toEqual([code, theirs.advanceWidth]);
      const expected = theirs.getPath(0, 0, reference.unitsPerEm).commands.map(({ type, x1, y1, x, y }) => ({
        letter: type,
        to: [x1, y1, x, y].filter((value) => value !== undefined),
      }));
      const upright = font.outlineOf(glyph).map(({ letter, to }) => ({
        letter,
        to: to.map((value, i) => (i % 2 === 0 ? value : -value)),
      }));
      if (data(upright) !== data(expected))
        expect(`${code}: ${data(upright)}`).toBe(`${code}: ${data(expected)}`);
    }
    expect(seen).toBeGreaterThan(5000);
  });

  it('has the kerning that another library reads', () => {
    const pairs = Object.entries(reference.kerningPairs);
    expect(pairs.length).toBeGreaterThan(1000);
    for (const [pair, kerning] of pairs) {
      const [left, right] = pair.split(',').map(Number);
      expect(font.kerningOf(left, right)).toBe(kerning);
    }
    expect(font.kerningOf(0, 0)).toBe(0);
  });
});
