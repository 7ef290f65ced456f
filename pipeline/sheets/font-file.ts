import { contoursOf, type OutlineStep, stepsOf } from './font-outline.js';

/**
 * The little that proofs and contact sheets need of a TrueType font: which glyph a character has, how wide it is, its
 * outline, and the kerning of pairs (OpenType specification, ISO/IEC 14496-22: tables head, hhea, hmtx, loca, glyf, cmap,
 * kern). Nothing is read before it is asked for: a font library that reads all of a font takes 0.1 s a weight and 35 MB,
 * in each page process.
 */
export interface FontFile {
  readonly unitsPerEm: number;
  /** Number of the glyph for a code point; 0 where the font has none. */
  glyphOf(codePoint: number): number;
  /** Width of a glyph in font units. */
  advanceOf(glyph: number): number;
  /** Outline of a glyph in font units, y upwards. */
  outlineOf(glyph: number): OutlineStep[];
  /** What a pair of glyphs is moved together (negative) or apart, in font units. */
  kerningOf(left: number, right: number): number;
}

/** @throws RangeError for a font that is cut short: it ships with platehand, so that is a broken installation */
export function openFont(bytes: Uint8Array): FontFile {
  const table = tableFinder(bytes);
  const head = table('head');
  const wide = head.getInt16(50) === 1;
  const [loca, glyf, hmtx, maxp] = [table('loca'), table('glyf'), table('hmtx'), table('maxp')];
  const glyphCount = maxp.getUint16(4);
  const widths = table('hhea').getUint16(34);
  const startOf = (glyph: number) => (wide ? loca.getUint32(4 * glyph) : 2 * loca.getUint16(2 * glyph));
  const glyphBytes = (glyph: number) => {
    if (glyph >= glyphCount) return new DataView(new ArrayBuffer(0));
    const start = startOf(glyph);
    return new DataView(glyf.buffer, glyf.byteOffset + start, startOf(glyph + 1) - start);
  };
  return {
    unitsPerEm: head.getUint16(18),
    glyphOf: characterMap(table('cmap')),
    // Glyphs beyond the last width have that one.
    advanceOf: (glyph) => hmtx.getUint16(4 * Math.min(glyph, widths - 1)),
    outlineOf: (glyph) => stepsOf(contoursOf(glyphBytes, glyph)),
    kerningOf: kerningTable(table('kern')),
  };
}

/** Finds tables by their four letters; one that the font lacks is empty. */
function tableFinder(bytes: Uint8Array): (name: string) => DataView {
  const file = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const places = new Map<string, DataView>();
  for (let i = 0, at = 12; i < file.getUint16(4); i++, at += 16) {
    const name = String.fromCharCode(...bytes.subarray(at, at + 4));
    const [offset, length] = [file.getUint32(at + 8), file.getUint32(at + 12)];
    places.set(name, new DataView(bytes.buffer, bytes.byteOffset + offset, length));
  }
  return (name) => places.get(name) ?? new DataView(new ArrayBuffer(0));
}

/** The widest Unicode subtable that the font has: format 12 for all planes, else format 4 for the first. */
function characterMap(cmap: DataView): (codePoint: number) => number {
  let found: DataView | undefined;
  for (let i = 0; i < cmap.getUint16(2); i++) {
    const at = cmap.getUint32(8 + 8 * i);
    const subtable = new DataView(cmap.buffer, cmap.byteOffset + at, cmap.byteLength - at);
    const format = subtable.getUint16(0);
    if (format === 12) return (codePoint) => inGroups(subtable, codePoint);
    if (format === 4) found = subtable;
  }
  const segments = found;
  return segments === undefined ? () => 0 : (codePoint) => inSegments(segments, codePoint);
}

/** The last of `count` ascending entries whose value is at most `wanted`; -1 if all are above it. */
function lastUpTo(count: number, wanted: number, valueAt: (index: number) => number): number {
  let [low, high] = [0, count];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (valueAt(middle) <= wanted) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}

/** cmap format 12: groups of first code point, last code point, first glyph. */
function inGroups(subtable: DataView, codePoint: number): number {
  const at = (group: number) => 16 + 12 * group;
  const group = lastUpTo(subtable.getUint32(12), codePoint, (i) => subtable.getUint32(at(i)));
  if (group < 0 || codePoint > subtable.getUint32(at(group) + 4)) return 0;
  return subtable.getUint32(at(group) + 8) + codePoint - subtable.getUint32(at(group));
}

/** cmap format 4: segments, each with its last and first code point, a difference, and a place in a list of glyphs. */
function inSegments(subtable: DataView, codePoint: number): number {
  const bytes = subtable.getUint16(6);
  const segment = lastUpTo(bytes / 2, codePoint, (i) => subtable.getUint16(16 + bytes + 2 * i));
  if (segment < 0 || codePoint > subtable.getUint16(14 + 2 * segment)) return 0;
  const start = subtable.getUint16(16 + bytes + 2 * segment);
  const delta = subtable.getUint16(16 + 2 * bytes + 2 * segment);
  const rangeAt = 16 + 3 * bytes + 2 * segment;
  const range = subtable.getUint16(rangeAt);
  if (range === 0) return (codePoint + delta) & 0xffff;
  const glyph = subtable.getUint16(rangeAt + range + 2 * (codePoint - start));
  return glyph === 0 ? 0 : (glyph + delta) & 0xffff;
}

/** kern version 0, first subtable, format 0: pairs in ascending order. A font without it has no kerning. */
function kerningTable(kern: DataView): (left: number, right: number) => number {
  if (kern.byteLength < 18 || kern.getUint16(0) !== 0 || kern.getUint16(2) === 0) return () => 0;
  const pairs = kern.getUint16(10);
  const at = (pair: number) => 18 + 6 * pair;
  return (left, right) => {
    const wanted = left * 65536 + right;
    const pair = lastUpTo(pairs, wanted, (i) => kern.getUint32(at(i)));
    return pair >= 0 && kern.getUint32(at(pair)) === wanted ? kern.getInt16(at(pair) + 4) : 0;
  };
}
