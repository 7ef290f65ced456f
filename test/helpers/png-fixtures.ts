import { crc32, deflateSync } from 'node:zlib';

/** A small PNG writer for fixtures, so that samples reach the file without passing through any library. */
export interface PngPicture {
  readonly width: number;
  readonly height: number;
  /** 0 grey, 2 RGB, 3 palette, 4 grey with alpha, 6 RGB with alpha. */
  readonly colourType: 0 | 2 | 3 | 4 | 6;
  readonly bits: number;
  /** Sample values, interleaved, one number each whatever the bit depth. */
  readonly data: ArrayLike<number>;
  /** Chunks between the header and the pixels, in order. */
  readonly chunks?: readonly (readonly [string, Uint8Array])[];
}

const channelsOfType = { 0: 1, 2: 3, 3: 1, 4: 2, 6: 4 } as const;

export function writePng(picture: PngPicture): Buffer {
  const header = Buffer.alloc(13);
  header.writeUInt32BE(picture.width, 0);
  header.writeUInt32BE(picture.height, 4);
  header[8] = picture.bits;
  header[9] = picture.colourType;
  return Buffer.concat([
    Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]),
    pngChunk('IHDR', header),
    ...(picture.chunks ?? []).map(([name, content]) => pngChunk(name, content)),
    pngChunk('IDAT', deflateSync(packRows(picture))),
    pngChunk('IEND', Buffer.alloc(0)),
  ]);
}

/** Length, name, content, CRC over name and content (PNG, third edition, 5.3). */
function pngChunk(name: string, content: Uint8Array): Buffer {
  const named = Buffer.concat([Buffer.from(name, 'latin1'), content]);
  const length = Buffer.alloc(4);
  length.writeUInt32BE(content.length);
  const check = Buffer.alloc(4);
  check.writeUInt32BE(crc32(named));
  return Buffer.concat([length, named, check]);
}

/** The same file with a header that claims another size, its CRC made to fit. */
export function claimSize(png: Uint8Array, width: number, height: number): Buffer {
  const out = Buffer.from(png);
  out.writeUInt32BE(width, 16);
  out.writeUInt32BE(height, 20);
  out.writeUInt32BE(crc32(out.subarray(12, 29)), 29);
  return out;
}

/** An iCCP chunk's content. */
export function profileChunk(profile: Uint8Array): Buffer {
  return Buffer.concat([Buffer.from('page\0\0', 'latin1'), deflateSync(profile)]);
}

function packRows(picture: PngPicture): Buffer {
  const perRow = picture.width * channelsOfType[picture.colourType];
  const rowBytes = Math.ceil((perRow * picture.bits) / 8);
  const out = Buffer.alloc(picture.height * (1 + rowBytes));
  for (let y = 0; y < picture.height; y++) {
    const row = y * (1 + rowBytes) + 1;
    for (let i = 0; i < perRow; i++) {
      const value = picture.data[y * perRow + i];
      if (picture.bits === 16) out.writeUInt16BE(value, row + i * 2);
      else {
        const bit = i * picture.bits;
        out[row + (bit >> 3)] |= value << (8 - picture.bits - (bit & 7));
      }
    }
  }
  return out;
}
