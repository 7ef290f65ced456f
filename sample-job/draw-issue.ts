import { copyFile, mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { packageRoot } from '../config/package-root.js';
import { Sheet } from './ink/sheet.js';
import { type PageFile, type SamplePage, samplePages } from './issue-pages.js';
import { writeOpenRaster } from './write-openraster.js';
import {
  colourPicture,
  flatPicture,
  flatsPicture,
  greyPicture,
  letteringPicture,
  writeColourTiff,
  writeGreyPng,
  writeJpeg,
  writeLineTiff,
  writePng,
  writeVarnishTiff,
} from './write-picture.js';

export interface DrawOptions {
  /** Resolution of every page, in pixels per inch. Default: 600, print size. Lower is for tests and looks. */
  readonly ppi?: number;
  /** Told the id of each page once its files are written. */
  readonly onPage?: (name: string) => void;
}

/** Pages that are in work at the same time: one is drawn while sharp packs the other. */
const lanes = 2;

/** What systems leave behind in folders that people share. */
const litter = ['Thumbs.db', '.DS_Store', '._BRL03_p01_colour.tif'];

/**
 * Draws the sample issue into a job folder: `job.yaml` and the finished working pages in `incoming/`. Drawing is from
 * fixed seeds: the same version gives the same bytes on every run.
 */
export async function drawSampleIssue(folder: string, options: DrawOptions = {}): Promise<void> {
  const { ppi = 600, onPage = () => undefined } = options;
  const incoming = join(folder, 'incoming');
  await mkdir(incoming, { recursive: true });
  await copyFile(join(packageRoot(), 'sample-job', 'job.yaml'), join(folder, 'job.yaml'));
  for (const name of litter) await writeFile(join(incoming, name), 'left behind by a system\n');
  const waiting = [...samplePages];
  const lane = async (): Promise<void> => {
    for (let page = waiting.shift(); page !== undefined; page = waiting.shift()) {
      await writePageFiles(drawSheet(page, ppi), page.files, incoming);
      onPage(page.id);
    }
  };
  await Promise.all(Array.from({ length: lanes }, lane));
}

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
  if (content === 'grey') return writeGreyPng(path, greyPicture(sheet), ppi);
  if (content === 'flat') return writePng(path, flatPicture(sheet), ppi);
  if (content === 'lettering') return writePng(path, letteringPicture(sheet), ppi);
  if (content === 'line') return writeLineTiff(path, sheet, ppi, false);
  if (content === 'lettered-line') return writeLineTiff(path, sheet, ppi, true);
  if (content === 'flats') return writePng(path, flatsPicture(sheet), ppi);
  if (content === 'varnish') return writeVarnishTiff(path, sheet, ppi);
  const picture = colourPicture(sheet, content === 'colour-16' ? 16 : 8);
  return name.endsWith('.jpg') ? writeJpeg(path, picture, ppi) : writeColourTiff(path, picture, ppi);
}
