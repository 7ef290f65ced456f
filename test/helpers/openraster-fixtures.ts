import { crc32, deflateRawSync } from 'node:zlib';
import { type PngPicture, writePng } from './png-fixtures.js';

/** One entry of a hand-made ZIP; every field that a hostile file could lie in can be set. */
export interface ZipEntry {
  readonly name: string;
  readonly content: Uint8Array;
  readonly deflate?: boolean;
  readonly method?: number;
  readonly crc?: number;
  readonly statedBytes?: number;
  readonly statedPackedBytes?: number;
  readonly flags?: number;
  /** As MS-DOS has it: day in the lowest five bits, month in four, years since 1980; the first day of 1980 by default. */
  readonly dosDate?: number;
  readonly externalAttributes?: number;
  /** Name in front of the data, where it is to differ from the directory's. */
  readonly localName?: string;
}

/** A ZIP after APPNOTE 4.3: local headers with data, central directory, end record. */
export function writeZip(entries: readonly ZipEntry[]): Buffer {
  const local: Buffer[] = [];
  const central: Buffer[] = [];
  let at = 0;
  for (const entry of entries) {
    const data = entry.deflate ? deflateRawSync(entry.content) : Buffer.from(entry.content);
    const localName = Buffer.from(entry.localName ?? entry.name);
    const front = Buffer.concat([
      Buffer.from('PK\x03\x04'),
      fieldsOf(entry, data, localName),
      Buffer.alloc(2),
      localName,
    ]);
    const name = Buffer.from(entry.name);
    const back = Buffer.alloc(14);
    back.writeUInt32LE(entry.externalAttributes ?? 0, 6);
    back.writeUInt32LE(at, 10);
    const made = Buffer.from([20, 3]);
    central.push(Buffer.from('PK\x01\x02'), made, fieldsOf(entry, data, name), Buffer.alloc(2), back, name);
    local.push(front, data);
    at += front.length + data.length;
  }
  const directory = Buffer.concat(central);
  const end = Buffer.alloc(22);
  end.write('PK\x05\x06', 'latin1');
  end.writeUInt16LE(entries.length, 8);
  end.writeUInt16LE(entries.length, 10);
  end.writeUInt32LE(directory.length, 12);
  end.writeUInt32LE(at, 16);
  return Buffer.concat([...local, directory, end]);
}

/** From "version needed" to the length of the name: the part that local and central headers share. */
function fieldsOf(entry: ZipEntry, data: Buffer, name: Buffer): Buffer {
  const out = Buffer.alloc(24);
  out.writeUInt16LE(20, 0);
  out.writeUInt16LE(entry.flags ?? 0x0800, 2);
  out.writeUInt16LE(entry.method ?? (entry.deflate ? 8 : 0), 4);
  out.writeUInt16LE(entry.dosDate ?? 0x0021, 8);
  out.writeUInt32LE(entry.crc ?? crc32(entry.content), 10);
  out.writeUInt32LE(entry.statedPackedBytes ?? data.length, 14);
  out.writeUInt32LE(entry.statedBytes ?? entry.content.length, 18);
  out.writeUInt16LE(name.length, 22);
  return out;
}

export const mimetypeEntry: ZipEntry = { name: 'mimetype', content: Buffer.from('image/openraster') };

/** An OpenRaster file of this stack.xml and these layer pictures. */
export function writeOpenRaster(
  stack: string,
  pictures: Readonly<Record<string, PngPicture | Uint8Array>>,
): Buffer {
  return writeZip([mimetypeEntry, ...openRasterEntries(stack, pictures)]);
}

/** Its entries but for the mimetype. */
export function openRasterEntries(
  stack: string,
  pictures: Readonly<Record<string, PngPicture | Uint8Array>>,
): ZipEntry[] {
  return [
    { name: 'stack.xml', content: Buffer.from(stack), deflate: true },
    ...Object.entries(pictures).map(([name, picture]) => ({
      name,
      content: picture instanceof Uint8Array ? picture : writePng(picture),
    })),
  ];
}
