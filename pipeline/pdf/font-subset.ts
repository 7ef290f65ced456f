/**
 * Takes the outlines that a text does not need out of a TrueType font. Glyphs keep their numbers, so nothing else of the font
 * has to change: what is not used becomes an empty glyph. Tables and fields: OpenType specification 1.9, "glyf", "loca", "head".
 */

/** The tables that a PDF viewer needs of an embedded TrueType font (ISO 32000-1 section 9.9). */
const keptTables = ['cvt ', 'fpgm', 'glyf', 'head', 'hhea', 'hmtx', 'loca', 'maxp', 'prep'] as const;

/** Bits of a part of a composite glyph: long offsets, one scale, more parts, two scales, a matrix. */
const composite = { words: 0x1, scale: 0x8, more: 0x20, scales: 0x40, matrix: 0x80 } as const;

const directoryBytes = 12;
const entryBytes = 16;
/** Where a glyph's parts begin: behind its count of contours and its box. */
const glyphHeadBytes = 10;

/** @param glyphs numbers of the glyphs that are used; what they are composed of is kept as well */
export function fontSubset(font: Buffer, glyphs: Iterable<number>): Buffer {
  const tables = tablesOf(font);
  const head = Buffer.from(tableOf(tables, 'head'));
  const starts = glyphStarts(tableOf(tables, 'loca'), head.readInt16BE(50) === 1);
  const all = tableOf(tables, 'glyf');
  const kept = withParts(glyphs, (glyph) => all.subarray(starts[glyph], starts[glyph + 1]));
  const pieces: Buffer[] = [];
  const loca = Buffer.alloc(4 * starts.length);
  let at = 0;
  for (let glyph = 0; glyph + 1 < starts.length; glyph++) {
    loca.writeUInt32BE(at, 4 * glyph);
    if (!kept.has(glyph)) continue;
    const outline = padded(all.subarray(starts[glyph], starts[glyph + 1]));
    pieces.push(outline);
    at += outline.length;
  }
  loca.writeUInt32BE(at, 4 * (starts.length - 1));
  // Offsets in `loca` are long ones now.
  head.writeInt16BE(1, 50);
  const made = new Map([...tables, ['head', head], ['loca', loca], ['glyf', Buffer.concat(pieces)]]);
  return fontOf(keptTables.flatMap((tag) => (made.has(tag) ? [[tag, tableOf(made, tag)] as const] : [])));
}

function tablesOf(font: Buffer): ReadonlyMap<string, Buffer> {
  const count = font.readUInt16BE(4);
  return new Map(
    Array.from({ length: count }, (_, i) => {
      const entry = directoryBytes + entryBytes * i;
      const start = font.readUInt32BE(entry + 8);
      const tag = font.toString('latin1', entry, entry + 4);
      return [tag, font.subarray(start, start + font.readUInt32BE(entry + 12))];
    }),
  );
}

/** One table; without it the font cannot be used. */
function tableOf(tables: ReadonlyMap<string, Buffer>, tag: string): Buffer {
  const table = tables.get(tag);
  if (table === undefined) throw new Error(`the font has no table ${tag}`);
  return table;
}

function glyphStarts(loca: Buffer, isLong: boolean): number[] {
  const count = loca.length / (isLong ? 4 : 2);
  return Array.from({ length: count }, (_, i) =>
    isLong ? loca.readUInt32BE(4 * i) : 2 * loca.readUInt16BE(2 * i),
  );
}

/** The glyphs, the one for what is missing, and all that they are composed of. */
function withParts(glyphs: Iterable<number>, outlineOf: (glyph: number) => Buffer): Set<number> {
  const kept = new Set<number>([0, ...glyphs]);
  // A set tells what is added to it meanwhile as well.
  for (const glyph of kept) for (const part of partsOf(outlineOf(glyph))) kept.add(part);
  return kept;
}

function partsOf(outline: Buffer): number[] {
  const parts: number[] = [];
  if (outline.length === 0 || outline.readInt16BE(0) >= 0) return parts;
  let at = glyphHeadBytes;
  let flags: number = composite.more;
  while ((flags & composite.more) !== 0) {
    flags = outline.readUInt16BE(at);
    parts.push(outline.readUInt16BE(at + 2));
    const scales =
      (flags & composite.scale) !== 0
        ? 2
        : (flags & composite.scales) !== 0
          ? 4
          : (flags & composite.matrix) !== 0
            ? 8
            : 0;
    at += 4 + ((flags & composite.words) !== 0 ? 4 : 2) + scales;
  }
  return parts;
}

function padded(bytes: Buffer): Buffer {
  const rest = bytes.length % 4;
  return rest === 0 ? bytes : Buffer.concat([bytes, Buffer.alloc(4 - rest)]);
}

/** A font file with these tables, in the order of their tags. */
function fontOf(tables: readonly (readonly [tag: string, bytes: Buffer])[]): Buffer {
  const directory = Buffer.alloc(directoryBytes + entryBytes * tables.length);
  const power = 2 ** Math.floor(Math.log2(tables.length));
  directory.writeUInt32BE(0x00010000, 0);
  directory.writeUInt16BE(tables.length, 4);
  directory.writeUInt16BE(16 * power, 6);
  directory.writeUInt16BE(Math.log2(power), 8);
  directory.writeUInt16BE(16 * (tables.length - power), 10);
  let at = directory.length;
  tables.forEach(([tag, bytes], i) => {
    const entry = directoryBytes + entryBytes * i;
    directory.write(tag, entry, 'latin1');
    directory.writeUInt32BE(sumOf(padded(bytes)), entry + 4);
    directory.writeUInt32BE(at, entry + 8);
    directory.writeUInt32BE(bytes.length, entry + 12);
    at += padded(bytes).length;
  });
  return Buffer.concat([directory, ...tables.map(([, bytes]) => padded(bytes))]);
}

/** A table's checksum: the sum of its words of 32 bits. */
function sumOf(bytes: Buffer): number {
  let sum = 0;
  for (let at = 0; at < bytes.length; at += 4) sum = (sum + bytes.readUInt32BE(at)) >>> 0;
  return sum;
}
