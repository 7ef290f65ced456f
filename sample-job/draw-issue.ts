import { copyFile, mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { packageRoot } from '../config/package-root.js';
import { drawSheet, writePageFiles } from './draw-page.js';
import { samplePages } from './issue-pages.js';

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
