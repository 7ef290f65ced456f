import { readRegular } from '../../config/regular-file.js';
import type { JpegPicture } from '../pdf/pdf-file.js';
import type { PxBox } from '../sheets/drawing.js';

/**
 * Proofs as JPEG, so small that those of an issue can be mailed. Each page has as many bytes as its part of a letter with 24 pages; a busy
 * page is packed harder, and only if that is not enough made smaller.
 */

/** A page takes at most so many bytes: 24 of them 14.4 MB, below what most mail takes (20 to 25 MB, common practice, no published source). */
const mostBytes = 600_000;
/** Tried in this order. With colour at full resolution as long as it lasts: red lettering on blue frays otherwise. Own choice. */
const ways = [
  { quality: 84, chromaSubsampling: '4:4:4', share: 1 },
  { quality: 74, chromaSubsampling: '4:4:4', share: 1 },
  { quality: 66, chromaSubsampling: '4:2:0', share: 1 },
  { quality: 60, chromaSubsampling: '4:2:0', share: 0.75 },
  { quality: 50, chromaSubsampling: '4:2:0', share: 0.5 },
] as const;
/** Finer than this, nobody sees more of a page on a screen. Own choice. */
const mostPpi = 150;

/**
 * Part of a proof as JPEG, rgb.
 * @param path a PNG
 * @param ppi pixels per inch of the proof
 * @param pages how many pages it shows: a spread has the bytes of two
 * @throws the system's error where it cannot be read
 */
export async function smallProof(
  path: string,
  crop: PxBox,
  ppi: number,
  pages: number,
): Promise<JpegPicture> {
  const { default: sharp } = await import('sharp');
  // Read as bytes: the image library remembers files by path, and a result may have been made anew.
  const png = await readRegular(path);
  const shrink = Math.min(1, mostPpi / ppi);
  let last: JpegPicture | undefined;
  for (const { quality, chromaSubsampling, share } of ways) {
    const width = Math.max(1, Math.round(crop.width * shrink * share));
    const height = Math.max(1, Math.round(crop.height * shrink * share));
    const part = sharp(png)
      .extract({ ...crop })
      .removeAlpha()
      .toColourspace('srgb');
    const small = width === crop.width ? part : part.resize(width, height, { fit: 'fill' });
    const jpeg = new Uint8Array(
      await small.jpeg({ quality, chromaSubsampling, optimiseCoding: true }).toBuffer(),
    );
    last = { width, height, jpeg };
    if (jpeg.length <= mostBytes * pages) break;
  }
  if (last === undefined) throw new Error('no way to pack a proof');
  return last;
}
