import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import type { PageReport } from '../../pipeline/issue/report.js';
import { runIssue } from '../../pipeline/issue/run-issue.js';
import type { Raster } from '../../pipeline/model/raster.js';
import { pagesHere } from './pages-here.js';
import { openSmallIssue } from './small-issue.js';
import { rational, short, type TagValue, writeTiff } from './tiff-fixtures.js';

/** Trim plus bleed of these pages is 2.25 x 3.25 in, so that both sizes are whole pixels and line is twice the colour. */
export const colourPx = { width: 225, height: 325 };
export const linePx = { width: 450, height: 650 };

export interface PageThrough {
  readonly report: PageReport;
  /** The composite TIFF's own numbers, 225 x 325 x 4, or x 1 (0 is black) of a page in black alone; undefined where none was made. */
  readonly composite: Raster | undefined;
  /** The line plate, 450 x 650 x 1, 255 is ink; undefined where none was made. */
  readonly line: Uint8Array | undefined;
  /** The four plates in the order of printing. */
  readonly plates: readonly Uint8Array[];
}

/**
 * Puts files through the whole pipeline as page 1 of an issue and reads back what came out with the image library.
 * @param files by name, such as `p1 colour.tif`
 * @param settings lines of YAML for the page's own print section and others, such as `    needs: [line]`
 */
export async function pageThrough(
  files: Readonly<Record<string, Uint8Array>>,
  settings = '',
  press = 'cgats-tr006',
): Promise<PageThrough> {
  const issue = await openSmallIssue(`
issue: THR01
title: Through
number: 1
units: in
print:
  trim: [2, 3]
  bleed: 0.125
  safe: 0.125
  colourPpi: 100
  linePpi: 200
  proofPpi: 72
  press: ${press}
pages:
  - page: 1
${settings}
`);
  try {
    for (const [name, bytes] of Object.entries(files)) await issue.drop(name, bytes);
    const { pages } = await runIssue(issue.job, { runner: pagesHere });
    const [report] = pages;
    const bytesOf = async (role: string) => {
      const output = report.outputs.find((one) => one.role === role);
      if (output === undefined) return undefined;
      return readFile(join(issue.folder, output.product, output.name));
    };
    const plates = await Promise.all(['cyan', 'magenta', 'yellow', 'black'].map(bytesOf));
    return {
      report,
      composite: await cmykOf(await bytesOf('composite')),
      line: await inkOf(await bytesOf('line')),
      plates: await Promise.all(plates.map(async (plate) => (await inkOf(plate)) ?? new Uint8Array(0))),
    };
  } finally {
    await issue.remove();
  }
}

async function cmykOf(bytes: Buffer | undefined): Promise<Raster | undefined> {
  if (bytes === undefined) return undefined;
  if ((await sharp(bytes).metadata()).channels === 1) return greyOf(bytes);
  const { data, info } = await sharp(bytes, { ignoreIcc: true })
    .pipelineColourspace('cmyk')
    .toColourspace('cmyk')
    .raw()
    .toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, model: 'cmyk', alpha: false, data: new Uint8Array(data) };
}

async function greyOf(bytes: Buffer): Promise<Raster> {
  const { data, info } = await sharp(bytes).toColourspace('b-w').raw().toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, model: 'grey', alpha: false, data: new Uint8Array(data) };
}

/** Ink of a grey picture: the image library gives paper as 255. */
async function inkOf(bytes: Buffer | undefined): Promise<Uint8Array | undefined> {
  if (bytes === undefined) return undefined;
  const paper = await sharp(bytes).toColourspace('b-w').raw().toBuffer();
  return Uint8Array.from(paper, (value) => 255 - value);
}

const photometric = { grey: 1, rgb: 2, cmyk: 5 } as const;

/** A raster as an uncompressed TIFF that no library has touched, with an embedded profile where one is given. */
export function plainTiff(raster: Raster, ppi: number, profile?: Uint8Array): Buffer {
  const { width, height, model, data, alpha } = raster;
  const tags: Record<number, TagValue> = {
    282: rational([ppi, 1]),
    283: rational([ppi, 1]),
    296: short(2),
    ...(profile === undefined ? {} : { 34675: { type: 'undefined', values: profile } }),
  };
  const samples = data.length / (width * height);
  const bits = data instanceof Uint16Array ? 16 : 8;
  const extra = alpha ? { extraSamples: [2] } : {};
  return writeTiff([{ width, height, samples, bits, data, photometric: photometric[model], tags, ...extra }]);
}
