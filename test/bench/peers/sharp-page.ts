import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import { planesOf, writeOutputs } from './sharp-outputs.js';

/**
 * One page as a competent user of sharp would script it. The library converts perceptually and without black point
 * compensation only, and has no ink limit: it is given that benefit. One process takes several pages, as many at the
 * same time as there are cores, and leaves the threads to the library.
 * usage: node sharp-page.js PROFILE.icc OUT_FOLDER WIDTH HEIGHT PPI PROOF_WIDTH AT_ONCE COLOUR.tif LINE.tif ...
 */
const [profile, out, ...rest] = process.argv.slice(2);
const [width, height, ppi, proofWidth, atOnce] = rest.slice(0, 5).map(Number);
const files = rest.slice(5);
sharp.cache(false);

/** Reads CMYK as it stands in the file. */
function inks(file: string) {
  return sharp(file, { ignoreIcc: true }).pipelineColourspace('cmyk').toColourspace('cmyk');
}

async function page(colour: string, line: string, folder: string): Promise<void> {
  await mkdir(folder, { recursive: true });
  const cmyk = join(folder, 'cmyk.tif');
  const lzw = { compression: 'lzw', predictor: 'horizontal' } as const;
  const exact = { fit: 'fill', kernel: 'lanczos3' } as const;
  await sharp(colour).resize(width, height, exact).withIccProfile(profile).tiff(lzw).toFile(cmyk);
  const plates = planesOf(await inks(cmyk).raw().toBuffer());
  const light = await sharp(line).resize(width, height, exact).toColourspace('b-w').raw().toBuffer();
  const black = Buffer.alloc(width * height);
  for (let i = 0; i < black.length; i++) black[i] = 255 - Math.round(((255 - plates[3][i]) * light[i]) / 255);
  const composite = [...plates.slice(0, 3), black];
  await writeOutputs(folder, { width, height, plates, composite }, sharp(line), { ppi, proofWidth });
}

async function takePages(): Promise<void> {
  for (let colour = files.shift(); colour !== undefined; colour = files.shift()) {
    const line = files.shift() ?? '';
    await page(colour, line, join(out, /p(\d+)_line/.exec(line)?.[1] ?? 'page'));
  }
}
await Promise.all(Array.from({ length: atOnce }, takePages));
