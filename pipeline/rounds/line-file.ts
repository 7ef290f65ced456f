import type { SizePx } from '../../config/units.js';
import { damaged } from '../reading/byte-source.js';

/** Line plates of 1 bit, read back in bands: a page at 1200 ppi has a hundred million pixels. */

/** A line plate as it was written. */
export interface LineFile extends SizePx {
  /** As messages call it. */
  readonly name: string;
  /** Some of its rows: a byte a pixel, 0 ink and 255 paper. */
  rows(from: number, count: number): Promise<Uint8Array>;
}

/** What a line plate of ours may have at the most: 1200 ppi on a spread of A3. Own choice. */
const mostPixels = 1_000_000_000;

/**
 * Opens a line plate from its bytes.
 * @param name as messages call it
 * @throws PlatehandError `picture-unreadable` for what is no picture of 1 bit
 */
export async function openLineFile(bytes: Buffer, name: string): Promise<LineFile> {
  // Loaded when there is something to measure: an unchanged issue takes less time than the image library takes to start.
  const { default: sharp } = await import('sharp');
  const open = () => sharp(bytes, { limitInputPixels: mostPixels, unlimited: true });
  const refuse = (cause: unknown) => {
    throw damaged(name, 'it cannot be read as a line plate', cause);
  };
  const { width, height, channels } = await open().metadata().catch(refuse);
  if (channels !== 1) throw damaged(name, 'it is no line plate: it has more than one channel');
  const rows = async (top: number, count: number) => {
    const band = open().extract({ left: 0, top, width, height: count }).toColourspace('b-w');
    const { data, info } = await band.raw().toBuffer({ resolveWithObject: true }).catch(refuse);
    if (info.channels !== 1 || data.length !== width * count) {
      throw damaged(name, 'its rows came back as something else');
    }
    // As a plain array: cutting out of the library's own kind would make another of its kind.
    return new Uint8Array(data.buffer, data.byteOffset, data.length);
  };
  return { name, width, height, rows };
}
