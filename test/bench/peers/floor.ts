import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { channelsOf } from '../../../pipeline/model/raster.js';
import { listArchive, readEntry } from '../../../pipeline/reading/openraster-archive.js';
import { openPngRows } from '../../../pipeline/reading/png-rows.js';
import { defaultReadLimits } from '../../../pipeline/reading/read-limits.js';
import { encodeComposite, encodeLinePlate, encodePicture, encodePlate } from '../../../pipeline/write.js';
import { readFloorPage } from '../floor-page.js';

const arena = new PageArena();

/**
 * The floor: decodes what comes in and encodes what goes out, and does nothing else. The pixels that are encoded were put
 * down beforehand, as platehand made them, and are read once for all pages. Same libraries, one process a core.
 * Layers are decoded row by row, as platehand decodes them, one after the other, all of each.
 * usage: node floor.js PROFILE.icc PIXELS_FOLDER OUT_FOLDER FIRST STEP FILES_A_PAGE FILE ...
 */
const [profilePath, pixels, out, first, step, filesAPage, ...files] = process.argv.slice(2);
sharp.concurrency(1);
sharp.cache(false);
const profile = await readFile(profilePath);
const { composite, plates, line, proof, thumbnail, ppi, linePpi, proofPpi } = await readFloorPage(pixels);
const { width, height } = composite;

async function decode(file: string): Promise<void> {
  if (file.endsWith('.ora')) await decodeLayers(file);
  else if (file.endsWith('_line.tif')) await sharp(file).toColourspace('b-w').raw().toBuffer();
  else await sharp(file, { ignoreIcc: true }).raw().toBuffer();
}

async function decodeLayers(file: string): Promise<void> {
  const archive = await listArchive(await readFile(file), file, defaultReadLimits);
  for (const [name, entry] of archive.entries) {
    if (!name.endsWith('.png')) continue;
    await decodeRows(await readEntry(archive, entry), name);
  }
}

/** Rows that are decoded at a time, as platehand lays them: a row of tiles. */
const rowsAtATime = 64;

async function decodeRows(png: Buffer, name: string): Promise<void> {
  const rows = openPngRows(png, name, arena);
  if (rows === undefined) throw new Error(`${name} cannot be decoded row by row`);
  const into = new Uint8Array(rowsAtATime * rows.width * channelsOf(rows));
  for (let y = 0; y < rows.height; y += rowsAtATime)
    await rows.next(Math.min(rowsAtATime, rows.height - y), into);
  await rows.end();
}

const taken = Number(filesAPage);
for (let at = Number(first) * taken; at < files.length; at += Number(step) * taken) {
  for (const file of files.slice(at, at + taken)) await decode(file);
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
