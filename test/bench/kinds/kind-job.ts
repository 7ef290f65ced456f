import { mkdir, writeFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import sharp from 'sharp';
import type { SizePx } from '../../../config/units.js';
import { type BenchIssue, jobYaml, pageSize, writeBenchPage, writeColour } from '../bench-job.js';
import { drawPage, randomOf } from '../draw-page.js';
import { drawLettering } from './draw-lettering.js';
import { stackOf } from './layer-stacks.js';
import { isLayered, type LayeredKind, type PageKind, pageFiles, recipePath } from './page-kind.js';
import { recipeOf } from './recipe.js';
import { writeStack } from './write-stack.js';

/** Writes a job folder with seeded pages of one kind; of layered ones, the recipes for scripts as well. */
export async function writeKindJob(folder: string, kind: PageKind, issue: BenchIssue): Promise<void> {
  await mkdir(join(folder, 'incoming'), { recursive: true });
  await writeFile(join(folder, 'job.yaml'), jobYaml(issue));
  for (let page = 1; page <= issue.pages; page++) await writeKindPage(folder, kind, page, issue.inputPpi);
}

async function writeKindPage(folder: string, kind: PageKind, page: number, ppi: number): Promise<void> {
  const size = pageSize(ppi);
  const files = pageFiles(folder, kind, page);
  if (isLayered(kind)) await writeLayered(folder, kind, page, ppi);
  else if (kind === 'flat') await writeColour(flattened(size, page), size, ppi, files[0]);
  else {
    await writeBenchPage(folder, page, ppi, page);
    if (kind === 'lettering') await writeLettering(files[2], size, ppi, page);
  }
}

async function writeLayered(folder: string, kind: LayeredKind, page: number, ppi: number): Promise<void> {
  const size = pageSize(ppi);
  const stack = stackOf(kind, size, page);
  const placed = await writeStack(pageFiles(folder, kind, page)[0], stack, size, ppi);
  const recipe = recipePath(folder, page);
  await mkdir(dirname(recipe), { recursive: true });
  await writeFile(recipe, recipeOf(stack, placed));
}

/** Colour with its line laid on, as somebody saves a page who merges all layers. */
function flattened(size: SizePx, seed: number): Uint8Array {
  const { colour, line } = drawPage(size, seed);
  for (let at = 0; at < line.length; at++) if (line[at] === 0) colour.fill(0, at * 3, at * 3 + 3);
  return colour;
}

async function writeLettering(path: string, size: SizePx, ppi: number, seed: number): Promise<void> {
  const { data, width, height, channels } = drawLettering(size, randomOf(seed + 2000));
  await sharp(data, { raw: { width, height, channels } })
    .withIccProfile('srgb')
    .withDensity(ppi)
    .png({ compressionLevel: 6 })
    .toFile(path);
}
