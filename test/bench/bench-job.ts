import { link, mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import type { SizePx } from '../../config/units.js';
import { type BenchPage, drawPage } from './draw-page.js';

/** What an issue for measuring looks like. */
export interface BenchIssue {
  readonly pages: number;
  /** Resolution of both parts as they are dropped. */
  readonly inputPpi: number;
  /** Resolution of the separation; the line plate takes the larger of this and 600 ppi, or of the input if smaller. */
  readonly colourPpi: number;
}

/** Trim plus bleed in inches: 4350 x 6300 pixels at 600 ppi. */
export const pageInches = { width: 7.25, height: 10.5 } as const;
const bleedInches = 0.125;

/** The press condition that every contender separates for. */
export const benchPress = 'cgats-tr006';

export function pageSize(ppi: number): SizePx {
  return { width: Math.round(pageInches.width * ppi), height: Math.round(pageInches.height * ppi) };
}

/** Resolution of the line plate: as scanned. */
export function linePpiOf({ inputPpi, colourPpi }: BenchIssue): number {
  return Math.max(inputPpi, colourPpi);
}

/** Paths of a page's two parts. */
export function partPaths(folder: string, page: number): { readonly colour: string; readonly line: string } {
  const start = join(folder, 'incoming', `BEN01_p${String(page).padStart(2, '0')}`);
  return { colour: `${start}_colour.tif`, line: `${start}_line.tif` };
}

/** Writes a job folder with seeded pages: colour as RGB TIFF (LZW, sRGB), line as 1-bit TIFF (Group 4). */
export async function writeBenchJob(folder: string, issue: BenchIssue): Promise<void> {
  await mkdir(join(folder, 'incoming'), { recursive: true });
  await writeFile(join(folder, 'job.yaml'), jobYaml(issue));
  for (let page = 1; page <= issue.pages; page++) await writeBenchPage(folder, page, issue.inputPpi, page);
}

/** Resolution of small pages: what is measured with them is the work around a page, not on it. */
const smallPpi = 72;

/** Writes a job folder of very many small pages, all of them further names of one that is drawn. */
export async function writeSmallPages(folder: string, pages: number): Promise<void> {
  await mkdir(join(folder, 'incoming'), { recursive: true });
  await writeFile(join(folder, 'job.yaml'), jobYaml({ pages, inputPpi: smallPpi, colourPpi: smallPpi }));
  await writeBenchPage(folder, 1, smallPpi, 1);
  const first = partPaths(folder, 1);
  for (let page = 2; page <= pages; page++) {
    const { colour, line } = partPaths(folder, page);
    await link(first.colour, colour);
    await link(first.line, line);
  }
}

/** Draws one page anew from a seed of its own. */
export async function writeBenchPage(folder: string, page: number, ppi: number, seed: number): Promise<void> {
  const size = pageSize(ppi);
  const paths = partPaths(folder, page);
  const drawn = drawPage(size, seed);
  await writeParts(drawn, size, ppi, paths);
}

async function writeParts(
  { colour, line }: BenchPage,
  { width, height }: SizePx,
  ppi: number,
  paths: { readonly colour: string; readonly line: string },
): Promise<void> {
  await writeColour(colour, { width, height }, ppi, paths.colour);
  await sharp(line, { raw: { width, height, channels: 1 } })
    .toColourspace('b-w')
    .withDensity(ppi)
    .tiff({ compression: 'ccittfax4', bitdepth: 1, miniswhite: true })
    .toFile(paths.line);
}

/** Writes an RGB TIFF (LZW, sRGB). */
export async function writeColour(
  colour: Uint8Array,
  { width, height }: SizePx,
  ppi: number,
  path: string,
): Promise<void> {
  await sharp(colour, { raw: { width, height, channels: 3 } })
    .withIccProfile('srgb')
    .withDensity(ppi)
    .tiff({ compression: 'lzw', predictor: 'horizontal' })
    .toFile(path);
}

/** The job.yaml of an issue for measuring. */
export function jobYaml(issue: BenchIssue): string {
  const trim = [pageInches.width - 2 * bleedInches, pageInches.height - 2 * bleedInches];
  return `issue: BEN01
title: Pages for measuring
units: in
print:
  trim: [${trim.join(', ')}]
  bleed: ${bleedInches}
  safe: 0.25
  colourPpi: ${issue.colourPpi}
  linePpi: ${linePpiOf(issue)}
  proofPpi: ${Math.min(150, issue.colourPpi)}
  press: ${benchPress}
pages:
  - pages: 1-${issue.pages}
    # Colour and line are drawn apart from each other, so that only the amount of work is that of real pages.
    accept: { line-of-another-page: drawn for measuring }
`;
}
