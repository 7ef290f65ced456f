import { createHash } from 'node:crypto';
import { mkdir, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';

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
  const path = (name: string) => join(folder, name);
  const lzw = { compression: 'lzw', predictor: 'horizontal' } as const;
  const exact = { fit: 'fill', kernel: 'lanczos3' } as const;
  await sharp(colour).resize(width, height, exact).withIccProfile(profile).tiff(lzw).toFile(path('cmyk.tif'));
  const data = await inks(path('cmyk.tif')).raw().toBuffer();
  const light = await sharp(line).resize(width, height, exact).toColourspace('b-w').raw().toBuffer();
  const planes = [0, 1, 2, 3].map(() => Buffer.alloc(width * height));
  for (const [band, plane] of planes.entries()) {
    for (let i = 0, j = band; i < plane.length; i++, j += 4) plane[i] = data[j];
  }
  const black = Buffer.alloc(width * height);
  for (let i = 0; i < black.length; i++) black[i] = 255 - Math.round(((255 - planes[3][i]) * light[i]) / 255);
  const raw = { raw: { width, height, channels: 1 } } as const;
  const names = ['cyan', 'magenta', 'yellow', 'black'];
  await Promise.all([
    ...planes.map((plane, band) =>
      sharp(plane, raw)
        .toColourspace('b-w')
        .withDensity(ppi)
        .tiff(lzw)
        .toFile(path(`${names[band]}.tif`)),
    ),
    sharp(planes[0], raw)
      .joinChannel([planes[1], planes[2], black], raw)
      .toColourspace('cmyk')
      .withDensity(ppi)
      .tiff(lzw)
      .toFile(path('composite.tif')),
    sharp(line)
      .toColourspace('b-w')
      .tiff({ compression: 'ccittfax4', bitdepth: 1, miniswhite: true })
      .toFile(path('line.tif')),
  ]);
  // The library has no way to keep a profile with numbers that it did not convert; so the proof is of sharp's own reading.
  await sharp(path('composite.tif')).resize(proofWidth).toColourspace('srgb').png().toFile(path('proof.png'));
  const written = ['composite.tif', ...names.map((name) => `${name}.tif`), 'line.tif', 'proof.png'];
  const sums = written.map(
    async (name) =>
      `${createHash('sha256')
        .update(await readFile(path(name)))
        .digest('hex')}  ${name}\n`,
  );
  await writeFile(path('checksums.txt'), (await Promise.all(sums)).join(''));
}

async function takePages(): Promise<void> {
  for (let colour = files.shift(); colour !== undefined; colour = files.shift()) {
    const line = files.shift() ?? '';
    await page(colour, line, join(out, /p(\d+)_line/.exec(line)?.[1] ?? 'page'));
  }
}
await Promise.all(Array.from({ length: atOnce }, takePages));
