/**
 * The container of a TIFF 6.0 file: one picture in strips, its directory first. Little-endian, no date, no program name.
 * Sources: TIFF 6.0 (1992) sections 2, 3 and 16; the ICC tag in ICC.1 Annex B; compression 8 (deflate) in the TIFF
 * technical notes of 2002.
 */

export const tiffCompression = { none: 1, group4: 4, deflate: 8 } as const;
/** WhiteIsZero: 0 is paper. BlackIsZero: 0 is solid black. Separated: inks, 0 is none. */
export const tiffPhotometric = { whiteIsZero: 0, blackIsZero: 1, separated: 5 } as const;

export interface TiffLayout {
  readonly width: number;
  readonly height: number;
  /** One ink or four (C, M, Y, K), interleaved. */
  readonly samples: 1 | 4;
  readonly bitsPerSample: 1 | 8;
  readonly compression: (typeof tiffCompression)[keyof typeof tiffCompression];
  readonly photometric: (typeof tiffPhotometric)[keyof typeof tiffPhotometric];
  /** Whether each sample is stored less its left neighbour (section 14). */
  readonly differenced: boolean;
  readonly rowsPerStrip: number;
  /** Pixels per inch along both axes. */
  readonly ppi: number;
  /** ICC profile to embed byte for byte. */
  readonly profile: Uint8Array | undefined;
}

/** Field types of TIFF 6.0, page 15. */
const short = 3;
const long = 4;
const rational = 5;
const undefinedBytes = 7;

interface Field {
  readonly tag: number;
  readonly type: number;
  readonly count: number;
  readonly bytes: Buffer;
}

/** The whole file, in the pieces in which it is written: head, then the packed strips in order. */
export function tiffFile(layout: TiffLayout, strips: readonly Uint8Array[]): Uint8Array[] {
  const head = tiffHead(
    layout,
    strips.map((strip) => strip.length),
  );
  return [head, ...strips];
}

/**
 * What stands before the strips.
 * @param counts bytes of each strip; they follow in this order, without gaps
 */
export function tiffHead(layout: TiffLayout, counts: readonly number[]): Buffer {
  // The offsets' own room does not depend on their values, so a first pass with zeros tells where the strips begin.
  const blank = describe(layout, counts, new Array<number>(counts.length).fill(0));
  let at = headLength(blank);
  const offsets = counts.map((count) => {
    at += count;
    return at - count;
  });
  return writeHead(describe(layout, counts, offsets));
}

/** The fields of the directory, ascending by tag as TIFF 6.0 asks (page 15). */
function describe(layout: TiffLayout, counts: readonly number[], offsets: readonly number[]): Field[] {
  const fields = [
    longs(256, [layout.width]),
    longs(257, [layout.height]),
    shorts(258, new Array<number>(layout.samples).fill(layout.bitsPerSample)),
    shorts(259, [layout.compression]),
    shorts(262, [layout.photometric]),
    longs(273, offsets),
    shorts(274, [1]),
    shorts(277, [layout.samples]),
    longs(278, [layout.rowsPerStrip]),
    longs(279, counts),
    ratio(282, layout.ppi),
    ratio(283, layout.ppi),
    shorts(284, [1]),
    shorts(296, [2]),
  ];
  if (layout.differenced) fields.push(shorts(317, [2]));
  // InkSet 1: the inks are cyan, magenta, yellow and black, in this order.
  if (layout.photometric === tiffPhotometric.separated) fields.push(shorts(332, [1]));
  if (layout.profile !== undefined) fields.push(bytes(34675, layout.profile));
  return fields;
}

function shorts(tag: number, values: readonly number[]): Field {
  const buffer = Buffer.alloc(values.length * 2);
  values.forEach((value, i) => {
    buffer.writeUInt16LE(value, i * 2);
  });
  return { tag, type: short, count: values.length, bytes: buffer };
}

function longs(tag: number, values: readonly number[]): Field {
  const buffer = Buffer.alloc(values.length * 4);
  values.forEach((value, i) => {
    buffer.writeUInt32LE(value, i * 4);
  });
  return { tag, type: long, count: values.length, bytes: buffer };
}

/** A whole number as it is, anything else to a thousandth. */
function ratio(tag: number, value: number): Field {
  const below = Number.isInteger(value) ? 1 : 1000;
  const { bytes: both } = longs(tag, [Math.round(value * below), below]);
  return { tag, type: rational, count: 1, bytes: both };
}

function bytes(tag: number, value: Uint8Array): Field {
  return { tag, type: undefinedBytes, count: value.length, bytes: Buffer.from(value) };
}

const headerLength = 8;
const entryLength = 12;

/** Values of more than four bytes stand behind the directory, each on an even offset (TIFF 6.0, page 15). */
function headLength(fields: readonly Field[]): number {
  const outside = fields.filter((field) => field.bytes.length > 4);
  const directory = 2 + fields.length * entryLength + 4;
  return outside.reduce((sum, field) => sum + evenLength(field.bytes), headerLength + directory);
}

function evenLength(value: Uint8Array): number {
  return value.length + (value.length % 2);
}

function writeHead(fields: readonly Field[]): Buffer {
  const head = Buffer.alloc(headLength(fields));
  head.write('II', 0, 'latin1');
  head.writeUInt16LE(42, 2);
  head.writeUInt32LE(headerLength, 4);
  head.writeUInt16LE(fields.length, headerLength);
  let outsideAt = headerLength + 2 + fields.length * entryLength + 4;
  fields.forEach((field, i) => {
    const at = headerLength + 2 + i * entryLength;
    head.writeUInt16LE(field.tag, at);
    head.writeUInt16LE(field.type, at + 2);
    head.writeUInt32LE(field.count, at + 4);
    if (field.bytes.length <= 4) {
      field.bytes.copy(head, at + 8);
      return;
    }
    head.writeUInt32LE(outsideAt, at + 8);
    field.bytes.copy(head, outsideAt);
    outsideAt += evenLength(field.bytes);
  });
  return head;
}
