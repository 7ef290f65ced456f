import { open } from 'node:fs/promises';
import sharp from 'sharp';

/** Tag of an embedded profile (ICC.1, annex B) and its field type, bytes of any kind (TIFF 6.0, page 15). */
const iccTag = 34675;
const undefinedBytes = 7;
const entryLength = 12;

/** The sRGB profile that sharp embeds in its other files. */
export async function srgbProfile(): Promise<Buffer> {
  const tagged = await sharp(Buffer.alloc(3), { raw: { width: 1, height: 1, channels: 3 } })
    .withIccProfile('srgb')
    .png()
    .toBuffer();
  const { icc } = await sharp(tagged).metadata();
  if (icc === undefined) throw new Error('The image library gave no sRGB profile.');
  return icc;
}

/**
 * Adds a profile to a finished little-endian TIFF of one picture, and leaves its pixels as they are: the image library
 * would convert 16-bit pixels on the way, by up to 3 % here. The profile and a longer copy of the directory go to the
 * end of the file, and the head is pointed at it.
 */
export async function tagTiff(path: string, profile: Uint8Array): Promise<void> {
  const file = await open(path, 'r+');
  try {
    const head = Buffer.alloc(8);
    await file.read(head, 0, 8, 0);
    if (head.toString('latin1', 0, 2) !== 'II') throw new Error(`${path} is not a little-endian TIFF.`);
    const at = head.readUInt32LE(4);
    const count = Buffer.alloc(2);
    await file.read(count, 0, 2, at);
    const entries = Buffer.alloc(count.readUInt16LE(0) * entryLength);
    await file.read(entries, 0, entries.length, at + 2);
    const { size } = await file.stat();
    const start = size + (size % 2);
    const room = profile.length + (profile.length % 2);
    await file.write(profile, 0, profile.length, start);
    const directory = withEntry(entries, profile.length, start);
    await file.write(directory, 0, directory.length, start + room);
    head.writeUInt32LE(start + room, 4);
    await file.write(head, 0, 8, 0);
  } finally {
    await file.close();
  }
}

/** The directory with one entry more; entries stand in ascending order (TIFF 6.0, page 15). */
function withEntry(entries: Buffer, length: number, offset: number): Buffer {
  const entry = Buffer.alloc(entryLength);
  entry.writeUInt16LE(iccTag, 0);
  entry.writeUInt16LE(undefinedBytes, 2);
  entry.writeUInt32LE(length, 4);
  entry.writeUInt32LE(offset, 8);
  const list: Buffer[] = [entry];
  for (let at = 0; at < entries.length; at += entryLength) list.push(entries.subarray(at, at + entryLength));
  list.sort((a, b) => a.readUInt16LE(0) - b.readUInt16LE(0));
  const count = Buffer.alloc(2);
  count.writeUInt16LE(list.length, 0);
  return Buffer.concat([count, ...list, Buffer.alloc(4)]);
}
