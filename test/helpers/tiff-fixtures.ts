import { deflateSync } from 'node:zlib';

/**
 * A small TIFF 6.0 writer for fixtures, so that what `read` returns can be held against samples that no library has
 * touched. It writes what the tests need and checks nothing: lying files are written on purpose too.
 */
export interface TiffPicture {
  readonly width: number;
  readonly height: number;
  /** Samples per pixel, extra samples included. */
  readonly samples: number;
  /** 1, 2, 4, 8 or 16. */
  readonly bits: number;
  /** Sample values, interleaved, one number each whatever the bit depth. */
  readonly data: ArrayLike<number>;
  /** 0 white is zero, 1 black is zero, 2 RGB, 3 palette, 5 separated. */
  readonly photometric: number;
  /** 1 none, 5 LZW, 8 deflate, 32773 PackBits. */
  readonly compression?: number;
  readonly planar?: boolean;
  readonly rowsPerStrip?: number;
  readonly tile?: { readonly width: number; readonly height: number };
  /** Horizontal differencing (predictor 2); 8 bit samples only. */
  readonly predictor?: boolean;
  readonly extraSamples?: readonly number[];
  /** Strips or tiles that are ready, in place of those made from `data`. */
  readonly encoded?: readonly Buffer[];
  /** Any further tags; a tag given here replaces the writer's own, and `undefined` leaves it out. */
  readonly tags?: Readonly<Record<number, TagValue | undefined>>;
}

export type TagValue =
  | { readonly type: 'byte' | 'ascii' | 'short' | 'long' | 'undefined'; readonly values: ArrayLike<number> }
  | { readonly type: 'rational'; readonly values: readonly (readonly [number, number])[] };

export interface TiffLayout {
  readonly bigEndian?: boolean;
  /** BigTIFF with 8-byte offsets. */
  readonly big?: boolean;
  /** Directories before the pixels, as some writers have it. */
  readonly directoryFirst?: boolean;
}

const typeCode = { byte: 1, ascii: 2, short: 3, long: 4, rational: 5, undefined: 7 } as const;
const typeBytes = { byte: 1, ascii: 1, short: 2, long: 4, rational: 8, undefined: 1 } as const;

export const short = (...values: number[]): TagValue => ({ type: 'short', values });
const long = (...values: number[]): TagValue => ({ type: 'long', values });
export const rational = (...values: [number, number][]): TagValue => ({ type: 'rational', values });

/** The bytes of a TIFF file with these pictures, one directory each. */
export function writeTiff(pictures: readonly TiffPicture[], layout: TiffLayout = {}): Buffer {
  const bigEndian = layout.bigEndian === true;
  const blocks = pictures.map((picture) => picture.encoded ?? blocksOf(picture, bigEndian));
  const headerBytes = layout.big ? 16 : 8;
  const directoryBytes = pictures.map((picture, index) =>
    even(encodeDirectory(picture, blocks[index], [], 0, 0, layout).length),
  );
  const pixelBytes = blocks.flat().reduce((sum, block) => sum + even(block.length), 0);
  const directoriesTotal = directoryBytes.reduce((sum, bytes) => sum + bytes, 0);
  let directoryAt = layout.directoryFirst ? headerBytes : headerBytes + pixelBytes;
  let blockAt = layout.directoryFirst ? headerBytes + directoriesTotal : headerBytes;
  const out = Buffer.alloc(headerBytes + pixelBytes + directoriesTotal);
  writeHeader(out, directoryAt, layout);
  for (const [index, picture] of pictures.entries()) {
    const offsets: number[] = [];
    for (const block of blocks[index]) {
      offsets.push(blockAt);
      block.copy(out, blockAt);
      blockAt += even(block.length);
    }
    const next = index + 1 < pictures.length ? directoryAt + directoryBytes[index] : 0;
    encodeDirectory(picture, blocks[index], offsets, directoryAt, next, layout).copy(out, directoryAt);
    directoryAt += directoryBytes[index];
  }
  return out;
}

function even(bytes: number): number {
  return bytes + (bytes % 2);
}

function writeHeader(out: Buffer, directoryAt: number, layout: TiffLayout): void {
  const number = numberWriter(layout.bigEndian === true);
  out.write(layout.bigEndian ? 'MM' : 'II', 0, 'latin1');
  number(out, 2, layout.big ? 43 : 42, 2);
  if (layout.big) {
    number(out, 4, 8, 2);
    number(out, 8, directoryAt, 8);
  } else number(out, 4, directoryAt, 4);
}

function numberWriter(bigEndian: boolean) {
  return (out: Buffer, at: number, value: number, bytes: number): void => {
    if (bytes === 1) out.writeUInt8(value, at);
    else if (bytes === 8)
      bigEndian ? out.writeBigUInt64BE(BigInt(value), at) : out.writeBigUInt64LE(BigInt(value), at);
    else if (bigEndian) out.writeUIntBE(value, at, bytes);
    else out.writeUIntLE(value, at, bytes);
  };
}

function encodeDirectory(
  picture: TiffPicture,
  blocks: readonly Buffer[],
  offsets: readonly number[],
  at: number,
  next: number,
  layout: TiffLayout,
): Buffer {
  const number = numberWriter(layout.bigEndian === true);
  const tags = Object.entries(tagsOf(picture, blocks, offsets)).sort((a, b) => Number(a[0]) - Number(b[0]));
  const [countBytes, entryBytes, offsetBytes] = layout.big ? [8, 20, 8] : [2, 12, 4];
  const out = Buffer.alloc(countBytes + tags.length * entryBytes + offsetBytes);
  number(out, 0, tags.length, countBytes);
  const values: Buffer[] = [];
  let valueAt = even(at + out.length);
  for (const [index, [tag, value]] of tags.entries()) {
    const bytes = encodeValue(value, number);
    const entry = countBytes + index * entryBytes;
    number(out, entry, Number(tag), 2);
    number(out, entry + 2, typeCode[value.type], 2);
    number(out, entry + 4, value.values.length, layout.big ? 8 : 4);
    const valueField = entry + (layout.big ? 12 : 8);
    if (bytes.length <= offsetBytes) bytes.copy(out, valueField);
    else {
      number(out, valueField, valueAt, offsetBytes);
      values.push(bytes, Buffer.alloc(bytes.length % 2));
      valueAt += even(bytes.length);
    }
  }
  number(out, out.length - offsetBytes, next, offsetBytes);
  return Buffer.concat([out, Buffer.alloc(even(at + out.length) - at - out.length), ...values]);
}

function encodeValue(value: TagValue, number: ReturnType<typeof numberWriter>): Buffer {
  const size = typeBytes[value.type];
  const out = Buffer.alloc(value.values.length * size);
  for (let i = 0; i < value.values.length; i++) {
    const item = value.values[i];
    if (typeof item === 'number') number(out, i * size, item, size);
    else {
      number(out, i * size, item[0], 4);
      number(out, i * size + 4, item[1], 4);
    }
  }
  return out;
}

function tagsOf(
  picture: TiffPicture,
  blocks: readonly Buffer[],
  offsets: readonly number[],
): Record<string, TagValue> {
  const placed = offsets.length > 0 ? offsets : blocks.map(() => 0);
  const lengths = blocks.map((block) => block.length);
  const own: Record<number, TagValue | undefined> = {
    256: long(picture.width),
    257: long(picture.height),
    258: short(...new Array<number>(picture.samples).fill(picture.bits)),
    259: short(picture.compression ?? 1),
    262: short(picture.photometric),
    277: short(picture.samples),
    284: short(picture.planar ? 2 : 1),
    317: picture.predictor ? short(2) : undefined,
    338: picture.extraSamples ? short(...picture.extraSamples) : undefined,
  };
  if (picture.tile) {
    own[322] = long(picture.tile.width);
    own[323] = long(picture.tile.height);
    own[324] = long(...placed);
    own[325] = long(...lengths);
  } else {
    own[273] = long(...placed);
    own[278] = long(picture.rowsPerStrip ?? picture.height);
    own[279] = long(...lengths);
  }
  const kept: Record<string, TagValue> = {};
  for (const [tag, value] of Object.entries({ ...own, ...picture.tags })) {
    if (value !== undefined) kept[tag] = value;
  }
  return kept;
}

/** Strips or tiles in the order of the standard: left to right, top to bottom, and plane after plane when planar. */
function blocksOf(picture: TiffPicture, bigEndian: boolean): readonly Buffer[] {
  const width = picture.tile?.width ?? picture.width;
  const height = picture.tile?.height ?? picture.rowsPerStrip ?? picture.height;
  const planes = picture.planar ? picture.samples : 1;
  const blocks: Buffer[] = [];
  for (let plane = 0; plane < planes; plane++) {
    for (let y = 0; y < picture.height; y += height) {
      const rows = picture.tile ? height : Math.min(height, picture.height - y);
      for (let x = 0; x < picture.width; x += width) {
        const rowList: Buffer[] = [];
        for (let row = 0; row < rows; row++)
          rowList.push(packRow(picture, plane, x, y + row, width, bigEndian));
        blocks.push(compress(rowList, picture.compression ?? 1));
      }
    }
  }
  return blocks;
}

function packRow(
  picture: TiffPicture,
  plane: number,
  x0: number,
  y: number,
  width: number,
  bigEndian: boolean,
): Buffer {
  const perPixel = picture.planar ? 1 : picture.samples;
  const values: number[] = [];
  for (let x = x0; x < x0 + width; x++) {
    for (let sample = 0; sample < perPixel; sample++) {
      const inside = x < picture.width && y < picture.height;
      const at = (y * picture.width + x) * picture.samples + plane + sample;
      values.push(inside ? picture.data[at] : 0);
    }
  }
  if (picture.predictor) {
    for (let i = values.length - 1; i >= perPixel; i--) values[i] = (values[i] - values[i - perPixel]) & 255;
  }
  if (picture.bits === 16) {
    const out = Buffer.alloc(values.length * 2);
    values.forEach((value, i) => {
      if (bigEndian) out.writeUInt16BE(value, i * 2);
      else out.writeUInt16LE(value, i * 2);
    });
    return out;
  }
  const out = Buffer.alloc(Math.ceil((values.length * picture.bits) / 8));
  values.forEach((value, i) => {
    const bit = i * picture.bits;
    out[bit >> 3] |= value << (8 - picture.bits - (bit & 7));
  });
  return out;
}

function compress(rows: readonly Buffer[], compression: number): Buffer {
  if (compression === 32773) return Buffer.concat(rows.map(packBits));
  const bytes = Buffer.concat(rows);
  if (compression === 8) return deflateSync(bytes);
  if (compression === 5) return lzw(bytes);
  return bytes;
}

/** PackBits, TIFF 6.0 section 9: literal runs only where nothing repeats; each row by itself. */
function packBits(row: Buffer): Buffer {
  const out: number[] = [];
  let at = 0;
  while (at < row.length) {
    let run = 1;
    while (run < 128 && at + run < row.length && row[at + run] === row[at]) run++;
    if (run > 1) {
      out.push(257 - run, row[at]);
      at += run;
      continue;
    }
    let literal = 1;
    while (literal < 128 && at + literal < row.length && row[at + literal] !== row[at + literal - 1])
      literal++;
    out.push(literal - 1, ...row.subarray(at, at + literal));
    at += literal;
  }
  return Buffer.from(out);
}

/**
 * LZW as it was written before TIFF 5.0 settled it: codes low bit first, widened when the table is full. Short strips only: the
 * table is never begun anew.
 */
export function oldStyleLzw(bytes: Uint8Array): Buffer {
  const out: number[] = [];
  let bits = 0;
  let held = 0;
  let size = 9;
  const put = (code: number): void => {
    held |= code << bits;
    for (bits += size; bits >= 8; bits -= 8) {
      out.push(held & 255);
      held >>>= 8;
    }
  };
  const table = new Map<number, number>();
  let next = 258;
  put(256);
  let prefix = -1;
  for (const byte of bytes) {
    const known = prefix < 0 ? byte : table.get(prefix * 256 + byte);
    if (known === undefined) {
      put(prefix);
      table.set(prefix * 256 + byte, next++);
      // The reader is one entry behind.
      if (next > 1 << size) size++;
    }
    prefix = known ?? byte;
  }
  put(prefix);
  if (next >= 1 << size) size++;
  put(257);
  if (bits > 0) out.push(held & 255);
  return Buffer.from(out);
}

/** LZW, TIFF 6.0 section 13: codes of 9 to 12 bits, high bit first, widened one code early. */
function lzw(bytes: Buffer): Buffer {
  const clear = 256;
  const end = 257;
  const out: number[] = [];
  let bits = 0;
  let held = 0;
  let size = 9;
  const put = (code: number): void => {
    held = (held << size) | code;
    bits += size;
    while (bits >= 8) {
      out.push((held >> (bits - 8)) & 255);
      bits -= 8;
    }
    held &= (1 << bits) - 1;
  };
  let table = new Map<number, number>();
  let next = 258;
  put(clear);
  let prefix = -1;
  for (const byte of bytes) {
    const known = prefix < 0 ? byte : table.get(prefix * 256 + byte);
    if (known !== undefined) {
      prefix = known;
      continue;
    }
    put(prefix);
    table.set(prefix * 256 + byte, next++);
    if (next === 4094) {
      put(clear);
      table = new Map();
      next = 258;
      size = 9;
    } else if (next > (1 << size) - 1) size++;
    prefix = byte;
  }
  if (prefix >= 0) {
    put(prefix);
    next++;
    if (next > (1 << size) - 1 && size < 12) size++;
  }
  put(end);
  if (bits > 0) out.push((held << (8 - bits)) & 255);
  return Buffer.from(out);
}
