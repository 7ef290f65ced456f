import type opentype from 'opentype.js';
import { visible } from '../../config/visible-text.js';
import { type FontWeight, packagedFont } from './packaged-font.js';

/**
 * Text as outlines. A bare machine has no fonts, and an SVG renderer then draws boxes without a word; so every letter on
 * proofs and contact sheets is a path, taken from the DejaVu fonts that come with platehand as a package.
 *
 * Letters are set one after the other from left to right, with the font's kerning. The font library's own layout is not
 * used: it throws on this font's substitution tables. Scripts that need shaping or run from right to left are therefore
 * readable letter by letter only.
 */

export interface TypeStyle {
  /** Height of the em square in pixels; capitals stand 0.73 of it, as in the font's outlines. */
  readonly sizePx: number;
  /** Default false. */
  readonly bold?: boolean;
}

export interface TypePlace extends TypeStyle {
  /** Where the text starts, has its middle or ends, as `anchor` says; in pixels. */
  readonly x: number;
  /** The baseline, in pixels. */
  readonly y: number;
  /** Default `start`. */
  readonly anchor?: 'start' | 'middle' | 'end';
  /** Longer text is cut and ends in an ellipsis; default no limit. */
  readonly maxWidthPx?: number;
}

/** What stands for a character that the font lacks: a white square, U+25A1. */
export const substituteCharacter = '\u25a1';

type Font = ReturnType<typeof opentype.parse>;

interface GlyphOutline {
  readonly index: number;
  /** In em. */
  readonly advance: number;
  /** Coordinates in em, x and y by turns; `letters` says how many each takes. */
  readonly letters: readonly string[];
  readonly coordinates: readonly number[];
}

interface Face {
  readonly font: Font;
  readonly outlines: Map<string, GlyphOutline>;
}

interface PlacedGlyph {
  readonly outline: GlyphOutline;
  /** In em from the start of the text. */
  readonly x: number;
}

const faces = new Map<FontWeight, Face>();

function faceOf(style: TypeStyle): Face {
  const weight = style.bold === true ? 'bold' : 'regular';
  const known = faces.get(weight);
  if (known !== undefined) return known;
  const { font } = packagedFont(weight);
  const face: Face = { font, outlines: new Map() };
  faces.set(weight, face);
  return face;
}

/** The outline of one character; characters that the font lacks get the substitute's. */
function outlineOf(face: Face, character: string): GlyphOutline {
  const known = face.outlines.get(character);
  if (known !== undefined) return known;
  const index = face.font.charToGlyphIndex(character);
  const lacking = index === 0 && character !== substituteCharacter;
  const outline = lacking ? outlineOf(face, substituteCharacter) : traceGlyph(face.font, index);
  face.outlines.set(character, outline);
  return outline;
}

function traceGlyph(font: Font, index: number): GlyphOutline {
  const glyph = font.glyphs.get(index);
  const letters: string[] = [];
  const coordinates: number[] = [];
  for (const command of glyph.getPath(0, 0, 1).commands) {
    letters.push(command.type);
    const { x1, y1, x2, y2, x, y } = command;
    for (const value of [x1, y1, x2, y2, x, y]) if (value !== undefined) coordinates.push(value);
  }
  return { index, advance: (glyph.advanceWidth ?? 0) / font.unitsPerEm, letters, coordinates };
}

/**
 * The characters that are drawn: composed (NFC), white space of any kind as one blank, controls and direction marks written out, and
 * without the characters that have no shape of their own (joiners, variation selectors).
 */
function drawnCharacters(text: string): string[] {
  const oneLine = text
    .normalize('NFC')
    .replace(/\s+/gu, ' ')
    .replace(/\p{Cs}/gu, substituteCharacter);
  const plain = visible(oneLine).replace(/[\p{Cf}\p{Variation_Selector}]/gu, '');
  return [...plain];
}

/** Sets characters side by side; marks that found no composed form sit centred on the letter before them. */
function setCharacters(face: Face, characters: readonly string[]): { glyphs: PlacedGlyph[]; width: number } {
  const glyphs: PlacedGlyph[] = [];
  let pen = 0;
  let base: PlacedGlyph | undefined;
  for (const character of characters) {
    const outline = outlineOf(face, character);
    if (base !== undefined && /\p{Mn}/u.test(character)) {
      glyphs.push({ outline, x: base.x + (base.outline.advance - outline.advance) / 2 });
      continue;
    }
    const pair = base === undefined ? '' : `${base.outline.index},${outline.index}`;
    pen += (face.font.kerningPairs[pair] ?? 0) / face.font.unitsPerEm;
    base = { outline, x: pen };
    glyphs.push(base);
    pen += outline.advance;
  }
  return { glyphs, width: pen };
}

/** Width of a text in pixels, from its start to the advance of its last letter. */
export function textWidth(text: string, style: TypeStyle): number {
  return setCharacters(faceOf(style), drawnCharacters(text)).width * style.sizePx;
}

/** The text itself where it fits into a width in pixels, else its beginning with an ellipsis; empty if not even that fits. */
export function fitText(text: string, maxWidthPx: number, style: TypeStyle): string {
  const characters = drawnCharacters(text);
  if (textWidth(text, style) <= maxWidthPx) return characters.join('');
  let low = 0;
  let high = characters.length;
  while (low < high) {
    const middle = Math.ceil((low + high) / 2);
    if (textWidth(ellipsed(characters, middle), style) <= maxWidthPx) low = middle;
    else high = middle - 1;
  }
  const fitted = ellipsed(characters, low);
  return textWidth(fitted, style) <= maxWidthPx ? fitted : '';
}

function ellipsed(characters: readonly string[], count: number): string {
  return `${characters.slice(0, count).join('').trimEnd()}\u2026`;
}

/**
 * Breaks a text into lines no wider than a width in pixels, between words; a word wider than a line is cut with an
 * ellipsis, and so is the last of `maxLines` lines when text is left over.
 */
export function wrapText(text: string, maxWidthPx: number, maxLines: number, style: TypeStyle): string[] {
  const words = drawnCharacters(text)
    .join('')
    .split(' ')
    .filter((word) => word !== '');
  const lines: string[] = [];
  let line = '';
  for (const word of words) {
    const longer = line === '' ? word : `${line} ${word}`;
    const overflows = line !== '' && textWidth(longer, style) > maxWidthPx;
    if (overflows && lines.length < maxLines - 1) {
      lines.push(line);
      line = word;
    } else line = longer;
  }
  if (line !== '') lines.push(line);
  return lines.map((each) => fitText(each, maxWidthPx, style));
}

/**
 * A text as SVG path data (M, L, Q, C, Z in pixels, two decimals), to be filled by the non-zero rule. Never throws for
 * any string: what the font lacks appears as the substitute character.
 */
export function textPath(text: string, place: TypePlace): string {
  const key = JSON.stringify([text, place]);
  const known = drawnBefore.get(key);
  if (known !== undefined) return known;
  const path = drawText(text, place);
  if (drawnBefore.size >= mostKept) drawnBefore.clear();
  drawnBefore.set(key, path);
  return path;
}

/** Most of what stands on a proof stands on every other one, at the same place. */
const drawnBefore = new Map<string, string>();

/** Texts kept, each some KB of path data. */
const mostKept = 500;

function drawText(text: string, place: TypePlace): string {
  const face = faceOf(place);
  const shown = place.maxWidthPx === undefined ? text : fitText(text, place.maxWidthPx, place);
  const { glyphs, width } = setCharacters(face, drawnCharacters(shown));
  const shift = { start: 0, middle: -width / 2, end: -width }[place.anchor ?? 'start'];
  const left = place.x + shift * place.sizePx;
  return glyphs
    .map(({ outline, x }) => glyphPath(outline, left + x * place.sizePx, place.y, place.sizePx))
    .join('');
}

const coordinatesOf: Readonly<Record<string, number>> = { M: 2, L: 2, Q: 4, C: 6, Z: 0 };

function glyphPath(outline: GlyphOutline, left: number, baseline: number, sizePx: number): string {
  let data = '';
  let next = 0;
  for (const letter of outline.letters) {
    data += letter;
    const end = next + (coordinatesOf[letter] ?? 0);
    for (let i = next; i < end; i += 2) {
      const x = left + (outline.coordinates[i] ?? 0) * sizePx;
      const y = baseline + (outline.coordinates[i + 1] ?? 0) * sizePx;
      data += `${i === next ? '' : ' '}${hundredths(x)} ${hundredths(y)}`;
    }
    next = end;
  }
  return data;
}

function hundredths(value: number): number {
  return Math.round(value * 100) / 100;
}
