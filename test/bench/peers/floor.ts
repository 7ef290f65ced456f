import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { encodeComposite, encodeLinePlate, encodePicture, encodePlate } from '../../../pipeline/write.js';
import { readFloorPage } from '../floor-page.js';

const arena = new PageArena();

/**
 * The floor: decodes what comes in and encodes what goes out, and does nothing else. The pixels that are encoded were put
 * down beforehand, as platehand made them, and are read once for all pages. Same libraries, one process a core.
 * usage: node floor.js PROFILE.icc PIXELS_FOLDER OUT_FOLDER FIRST STEP COLOUR.tif LINE.tif ...
 */
const [profilePath, pixels, out, first, step, ...files] = process.argv.slice(2);
sharp.concurrency(1);
sharp.cache(false);
const profile = await readFile(profilePath);
const { composite, plates, line, proof, thumbnail, ppi, linePpi, proofPpi } = await readFloorPage(pixels);
const { width, height } = composite;

for (let at = Number(first) * 2; at < files.length; at += Number(step) * 2) {
  await sharp(files[at], { ignoreIcc: true }).raw().toBuffer();
  await sharp(files[at + 1])
    .toColourspace('b-w')
    .raw()
    .toBuffer();
  const files4 = plates.inks.map(({ plane }) => encodePlate({ width, height, data: plane }, { ppi }, arena));
  const encoded = await Promise.all([
    encodeComposite(composite, { ppi, profile }, arena),
    ...files4,
    encodeLinePlate(line, { ppi: linePpi }),
    encodePicture(proof, { ppi: proofPpi, format: 'png' }),
    encodePicture(thumbnail, { ppi: proofPpi, format: 'png' }),
  ]);
  await Promise.all(encoded.map((file, i) => writeFile(join(out, `${at}-${i}`), file)));
}
