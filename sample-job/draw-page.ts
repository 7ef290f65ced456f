import { join } from 'node:path';
import { Sheet } from './ink/sheet.js';
import type { PageFile, SamplePage } from './issue-pages.js';
import { writeOpenRaster } from './write-openraster.js';
import {
  colourPicture,
  flatPicture,
  letteringPicture,
  writeColourTiff,
  writeJpeg,
  writeLineTiff,
  writePng,
} from './write-picture.js';

/** How strongly the tooth of the paper shows in the colour. */
const grain = 0.075;

/** Draws one page: width x height page units at `ppi`, with the grain of its paper. The same page gives the same pixels. */
export function drawSheet(page: SamplePage, ppi: number): Sheet {
  const sheet = new Sheet(page.width, page.height, ppi);
  page.draw(sheet);
  sheet.soft.layGrain(grain, page.id.length * 17 + page.id.charCodeAt(0));
  return sheet;
}

/** Writes a drawn page's files into a folder, one after the other to keep memory low. */
export async function writePageFiles(
  sheet: Sheet,
  files: readonly PageFile[],
  folder: string,
): Promise<void> {
  for (const file of files) await writeFileOf(sheet, file, join(folder, file.name));
}

async function writeFileOf(sheet: Sheet, { name, content }: PageFile, path: string): Promise<void> {
  const { ppi } = sheet;
  if (content === 'layers') return writeOpenRaster(path, sheet, ppi);
  if (content === 'flat') return writePng(path, flatPicture(sheet), ppi);
  if (content === 'lettering') return writePng(path, letteringPicture(sheet), ppi);
  if (content === 'line') return writeLineTiff(path, sheet, ppi, false);
  if (content === 'lettered-line') return writeLineTiff(path, sheet, ppi, true);
  const picture = colourPicture(sheet, content === 'colour-16' ? 16 : 8);
  return name.endsWith('.jpg') ? writeJpeg(path, picture, ppi) : writeColourTiff(path, picture, ppi);
}
