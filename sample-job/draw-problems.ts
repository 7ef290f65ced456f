import { copyFile, mkdir, readFile, truncate, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { packageRoot } from '../config/package-root.js';
import { drawSheet, writePageFiles } from './draw-issue.js';
import { box } from './ink/geometry.js';
import { fillRegion, regionOf } from './ink/region.js';
import { paper, type Sheet } from './ink/sheet.js';
import { type Content, samplePages } from './issue-pages.js';
import { flatPicture, toSharp } from './write-picture.js';

/** Half of print resolution keeps this sample quick; its job.yaml asks for no more. */
const ppi = 300;

/** Width of the bleed in page units: 0.125 in. */
const bleed = 12.5;

/**
 * Draws a second job folder whose pages are wrong in the ways that happen: page 1 is right, 2 too small, 3 without
 * bleed, 4 there twice, 5 of the wrong shape, 6 cut short in copying, 7 missing; beside them a file of a page that the
 * issue does not have, a sketch, and somebody's notes.
 */
export async function drawProblemIssue(folder: string): Promise<void> {
  const incoming = join(folder, 'incoming');
  await mkdir(incoming, { recursive: true });
  await copyFile(join(packageRoot(), 'sample-job', 'job-problems.yaml'), join(folder, 'job.yaml'));
  await files('1', ppi, incoming, {
    'BRL03_p01_colour.tif': 'colour',
    'BRL03_p01_line.tif': 'lettered-line',
  });
  await files('2', ppi / 2, incoming, { 'BRL03_p02 final.png': 'flat' });
  await withoutBleed(join(incoming, 'BRL03_p03.png'));
  await files('4', ppi, incoming, { 'BRL03_p04.png': 'flat' });
  await copyFile(join(incoming, 'BRL03_p04.png'), join(incoming, 'brl-03 pg 4 final.png'));
  await wrongShape(join(incoming, 'BRL03_p05.png'));
  await files('8', ppi, incoming, {
    'BRL03_p06_colour.tif': 'colour',
    'BRL03_p06_line.tif': 'lettered-line',
  });
  await cutShort(join(incoming, 'BRL03_p06_colour.tif'));
  await files('bookplate', ppi / 2, incoming, { 'BRL03_p23.png': 'flat', 'heron sketch.png': 'flat' });
  await writeFile(
    join(incoming, 'notes for the letterer.txt'),
    'Page 3: the bird does not speak. Page 7 follows.\n',
  );
}

async function files(
  id: string,
  at: number,
  folder: string,
  names: Readonly<Record<string, Content>>,
): Promise<void> {
  const list = Object.entries(names).map(([name, content]) => ({ name, content }));
  await writePageFiles(draw(id, at), list, folder);
}

function draw(id: string, at: number): Sheet {
  const page = samplePages.find((known) => known.id === id);
  if (page === undefined) throw new RangeError(`The sample has no page ${id}.`);
  return drawSheet(page, at);
}

/** The canvas has the right size, but the art ends where the page is cut. */
async function withoutBleed(path: string): Promise<void> {
  const sheet = draw('3', ppi);
  const { width, height } = sheet;
  for (const [x, y, w, h] of [
    [0, 0, width + bleed, bleed],
    [0, height - bleed, width + bleed, 2 * bleed],
    [0, 0, bleed, height],
    [width - bleed, 0, 2 * bleed, height],
  ]) {
    const region = regionOf(box(x, y, w, h), sheet.grid);
    fillRegion(sheet.flats, sheet.grid.width, region, 0xffffff);
    fillRegion(sheet.ink, sheet.grid.width, region, paper);
  }
  await toSharp(flatPicture(sheet)).withDensity(ppi).withIccProfile('srgb').png().toFile(path);
}

/** A page cropped for a screen: as wide as it should be, but a fifth of its height is gone. */
async function wrongShape(path: string): Promise<void> {
  const picture = flatPicture(draw('5', ppi));
  const height = Math.round(picture.height * 0.8);
  await toSharp(picture)
    .extract({ left: 0, top: 0, width: picture.width, height })
    .withDensity(ppi)
    .withIccProfile('srgb')
    .png()
    .toFile(path);
}

/** What a broken connection leaves: the first part of the file. */
async function cutShort(path: string): Promise<void> {
  const { length } = await readFile(path);
  await truncate(path, Math.floor(length * 0.6));
}
