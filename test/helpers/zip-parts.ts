import { crc32, inflateRawSync } from 'node:zlib';

/** A ZIP put together and taken apart by hand, after APPNOTE 6.3.4, independent of the libraries under test. */

export interface ZipPart {
  readonly name: string;
  readonly data: Buffer;
  readonly method: number;
  readonly flags: number;
  readonly versionNeeded: number;
  readonly time: number;
  readonly date: number;
  /** Unix mode with the file type, from the external attributes. */
  readonly mode: number;
}

/** Reads the central directory; every local header must agree with it. */
export function readZip(zip: Buffer): ZipPart[] {
  const end = zip.lastIndexOf(Buffer.from('PK\x05\x06', 'latin1'));
  const parts: ZipPart[] = [];
  let at = zip.readUInt32LE(end + 16);
  for (let left = zip.readUInt16LE(end + 10); left > 0; left--) {
    if (zip.readUInt32LE(at) !== 0x02014b50) throw new Error('no central header');
    const nameLength = zip.readUInt16LE(at + 28);
    const local = zip.readUInt32LE(at + 42);
    const name = zip.toString('utf8', at + 46, at + 46 + nameLength);
    if (zip.readUInt32LE(local) !== 0x04034b50) throw new Error('no local header');
    if (zip.toString('utf8', local + 30, local + 30 + nameLength) !== name) throw new Error('two names');
    const start = local + 30 + nameLength + zip.readUInt16LE(local + 28);
    const packed = zip.subarray(start, start + zip.readUInt32LE(at + 20));
    const method = zip.readUInt16LE(at + 10);
    const data = method === 8 ? inflateRawSync(packed) : packed;
    if (crc32(data) !== zip.readUInt32LE(at + 16)) throw new Error(`CRC of ${name}`);
    parts.push({
      name,
      data,
      method,
      flags: zip.readUInt16LE(at + 8),
      versionNeeded: zip.readUInt16LE(at + 6),
      time: zip.readUInt16LE(at + 12),
      date: zip.readUInt16LE(at + 14),
      mode: zip.readUInt32LE(at + 38) >>> 16,
    });
    at += 46 + nameLength + zip.readUInt16LE(at + 30) + zip.readUInt16LE(at + 32);
  }
  return parts;
}

export interface MadeEntry {
  readonly name: string;
  readonly data: Uint8Array;
  /** File type and mode; a plain file by default. */
  readonly mode?: number;
  /** What the directory claims, where that is to differ from the truth. */
  readonly crc?: number;
  readonly size?: number;
  readonly localName?: string;
  readonly flags?: number;
  readonly method?: number;
}

/** Writes stored entries, lies included: for archives that no honest program would make. */
export function makeZip(entries: readonly MadeEntry[]): Buffer {
  const locals: Buffer[] = [];
  const centrals: Buffer[] = [];
  let offset = 0;
  for (const entry of entries) {
    const local = Buffer.concat([localHeader(entry), entry.data]);
    centrals.push(centralHeader(entry, offset));
    locals.push(local);
    offset += local.length;
  }
  const directory = Buffer.concat(centrals);
  const end = Buffer.alloc(22);
  end.writeUInt32LE(0x06054b50, 0);
  end.writeUInt16LE(entries.length, 8);
  end.writeUInt16LE(entries.length, 10);
  end.writeUInt32LE(directory.length, 12);
  end.writeUInt32LE(offset, 16);
  return Buffer.concat([...locals, directory, end]);
}

function common(entry: MadeEntry): Buffer {
  const fields = Buffer.alloc(22);
  fields.writeUInt16LE(entry.flags ?? 0x0800, 0);
  fields.writeUInt16LE(entry.method ?? 0, 2);
  fields.writeUInt16LE(0x0021, 6);
  fields.writeUInt32LE(entry.crc ?? crc32(entry.data), 8);
  fields.writeUInt32LE(entry.data.length, 12);
  fields.writeUInt32LE(entry.size ?? entry.data.length, 16);
  return fields;
}

function localHeader(entry: MadeEntry): Buffer {
  const name = Buffer.from(entry.localName ?? entry.name);
  const head = Buffer.alloc(30);
  head.writeUInt32LE(0x04034b50, 0);
  head.writeUInt16LE(20, 4);
  common(entry).copy(head, 6);
  head.writeUInt16LE(name.length, 26);
  return Buffer.concat([head, name]);
}

function centralHeader(entry: MadeEntry, offset: number): Buffer {
  const name = Buffer.from(entry.name);
  const head = Buffer.alloc(46);
  head.writeUInt32LE(0x02014b50, 0);
  head.writeUInt16LE((3 << 8) | 20, 4);
  head.writeUInt16LE(20, 6);
  common(entry).copy(head, 8);
  head.writeUInt16LE(name.length, 28);
  head.writeUInt32LE(((entry.mode ?? 0o100644) << 16) >>> 0, 38);
  head.writeUInt32LE(offset, 42);
  return Buffer.concat([head, name]);
}
