import sharp from 'sharp';
import { readRegular } from '../../config/regular-file.js';
import type { SizePx } from '../../config/units.js';
import { drawContactSheet } from '../contact-sheet.js';
import { PageArena } from '../kernels/page-arena.js';
import type { Raster } from '../model/raster.js';
import type { IssuePictureRequest } from '../model/sheet-request.js';
import { drawColourScript } from '../palette/colour-script.js';
import { encodePicture } from '../write.js';

/** Pixels per inch stated in the contact sheet: its pages are about 20 mm wide on paper. Our own choice. */
const sheetPpi = 200;

/**
 * The contact sheet as a PNG, drawn from the pages' thumbnails, or the colour script; the same request and thumbnails give the same
 * bytes. Nothing of it stays in the arena.
 * @throws what reading a thumbnail throws
 */
export async function sheetPicture(request: IssuePictureRequest, arena = new PageArena()): Promise<Buffer> {
  if ('kind' in request)
    return encodePicture(await drawColourScript(request, arena), { ppi: sheetPpi, format: 'png' });
  const { pages, ...heading } = request;
  const drawn = pages.map(({ thumbnail, ...page }) => ({
    ...page,
    thumbnail: thumbnail === undefined ? undefined : () => readThumbnail(thumbnail.path),
  }));
  const sheet = await drawContactSheet({ ...heading, pages: drawn }, {}, arena);
  return encodePicture(sheet, { ppi: sheetPpi, format: 'png' });
}

async function readThumbnail(path: string): Promise<Raster> {
  // Read as bytes: the image library remembers files by path, and a result may have been made anew.
  const png = await readRegular(path);
  const { data, info } = await sharp(png).removeAlpha().raw().toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, model: 'rgb', alpha: false, data: new Uint8Array(data) };
}

/** Enough for a picture by which somebody knows a page again. Own choice. */
const quality = 80;

/**
 * A page's thumbnail, smaller, as JPEG: for sheets that show many pages. The same thumbnail gives the same bytes.
 * @param path of a thumbnail, a PNG
 * @param heightPx of what is made; the width follows
 * @throws the system's error where it cannot be read
 */
export async function smallPicture(path: string, heightPx: number): Promise<SizePx & { jpeg: Uint8Array }> {
  // Read as bytes: the image library remembers files by path, and a result may have been made anew.
  const png = await readRegular(path);
  const small = sharp(png).removeAlpha().toColourspace('srgb').resize({ height: heightPx });
  const { data, info } = await small.jpeg({ quality }).toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, jpeg: new Uint8Array(data) };
}
