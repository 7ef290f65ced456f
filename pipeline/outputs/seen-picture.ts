import { createHash } from 'node:crypto';
import { dirname } from 'node:path';
import sharp from 'sharp';
import { readRegular } from '../../config/regular-file.js';
import { makeFolder, writeWhole } from '../files/atomic.js';
import type { Raster } from '../model/raster.js';
import { type Eyes, pictureSeenBy } from '../palette/colour-vision.js';
import { encodePicture } from '../write.js';

/** What a picture is drawn for where its file does not say: a screen. */
const screenPpi = 72;

/**
 * A picture for people, a proof or a contact sheet, as other eyes see it: all of it, with its words and boxes, as somebody would see the
 * sheet that lies on the table.
 *
 * Grey is not blurred: which edges stand is to be seen as well, and the contact sheet is what one sees from afar.
 * @param png of rgb, 8 bit, in sRGB
 * @param eyes whose
 * @returns a PNG of the same size and resolution; the same picture gives the same bytes
 * @throws what the image library throws where it cannot be read
 */
async function seenPicture(png: Uint8Array, eyes: Eyes): Promise<Buffer> {
  const picture = sharp(png, { limitInputPixels: false });
  const { density } = await picture.metadata();
  const { data, info } = await picture.removeAlpha().raw().toBuffer({ resolveWithObject: true });
  const size = { width: info.width, height: info.height };
  const raster: Raster = { ...size, model: 'rgb', alpha: false, data: new Uint8Array(data) };
  return encodePicture(pictureSeenBy(raster, eyes), { ppi: density ?? screenPpi, format: 'png' });
}

/**
 * The same from file to file; the folder is made where it is not there.
 * @param fromPath a PNG
 * @returns the SHA-256 of what was read: another picture may stand there since
 * @throws PlatehandError `write-failed`; the system's error where it cannot be read
 */
export async function writeSeenPicture(fromPath: string, toPath: string, eyes: Eyes): Promise<string> {
  const png = await readRegular(fromPath);
  await makeFolder(dirname(toPath));
  await writeWhole(toPath, await seenPicture(png, eyes));
  return createHash('sha256').update(png).digest('hex');
}
