import { copyFile, mkdir, readFile, truncate, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { packageRoot } from '../config/package-root.js';
import { drawSheet, writePageFiles } from './draw-issue.js';
import {
  drawColourFaults,
  drawEdgeFaults,
  drawFineFaults,
  drawFlatsFaults,
  drawFoldFaults,
  drawHarbour,
  drawMirrored,
  drawSkewed,
  drawThin,
  drawTogether,
} from './faulty-pages.js';
import { box } from './ink/geometry.js';
import { pageHeight, pageWidth } from './ink/panels.js';
import { fillRegion, regionOf } from './ink/region.js';
import { paper, Sheet } from './ink/sheet.js';
import { type Content, type PageFile, samplePages } from './issue-pages.js';
import { flatPicture, toSharp } from './write-picture.js';

/** Half of print resolution keeps this sample quick; its job.yaml asks for no more. */
const ppi = 300;

/** Resolution of the page whose line is too fine, as the job asks for it there. */
const finePpi = 600;

/** How the sample of problems is drawn. */
export interface ProblemOptions {
  /** Share of their resolution at which pages are drawn that are whole, and that an inspection has to speak of; default 1. */
  readonly share?: number;
}

/** Width of the bleed in page units: 0.125 in. */
const bleed = 12.5;

/**
 * Draws a second job folder whose pages are wrong in the ways that happen: page 1 is right, 2 too small, 3 without
 * bleed, 4 there twice, 5 of the wrong shape, 6 cut short in copying, 7 missing; of 8 the line is too fine and dirty, 9 lay askew on the
 * glass, 10 is wrong at its edges, 11 in its colours, which leave its scene too, 12-13 at its fold, 14 in its flats, 15 and 16 are one
 * picture, 17 is thinner than its neighbours, 18 is to come again unchanged, 19 has flags that are one to some readers; beside them a file
 * of a page that the issue does not have, a sketch, and somebody's notes.
 */
export async function drawProblemIssue(folder: string, { share = 1 }: ProblemOptions = {}): Promise<void> {
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
  await faultyPages(incoming, share);
  await writeFile(
    join(incoming, 'notes for the letterer.txt'),
    'Page 3: the bird does not speak. Page 7 follows.\n',
  );
}

/** Pages that are whole, and that an inspection has to say something about; of page 14 the flats are there, and no colour yet. */
async function faultyPages(folder: string, share: number): Promise<void> {
  const pair = (page: string): PageFile[] => [
    { name: `BRL03_p${page}_colour.tif`, content: 'colour' },
    { name: `BRL03_p${page}_line.tif`, content: 'lettered-line' },
  ];
  const lettered = (page: string): PageFile[] => [
    { name: `BRL03_p${page}_colour.tif`, content: 'colour' },
    { name: `BRL03_p${page}_line.tif`, content: 'line' },
    { name: `BRL03_p${page}_lettering.png`, content: 'lettering' },
  ];
  const flats: PageFile[] = [
    { name: 'BRL03_p14_flats.png', content: 'flats' },
    { name: 'BRL03_p14_line.tif', content: 'line' },
  ];
  const spreadWidth = 2 * pageWidth - 25;
  // Line as fine as a hair needs the pixels of a line plate.
  await writePageFiles(drawn(drawFineFaults, pageWidth, share * finePpi), pair('08'), folder);
  await writePageFiles(drawn(drawSkewed, pageWidth, share * ppi), pair('09'), folder);
  await writePageFiles(drawn(drawEdgeFaults, pageWidth, share * ppi), lettered('10'), folder);
  await writePageFiles(drawn(drawColourFaults, pageWidth, share * ppi), pair('11'), folder);
  await writePageFiles(drawn(drawFoldFaults, spreadWidth, share * ppi), lettered('12-13'), folder);
  await writePageFiles(drawn(drawFlatsFaults, pageWidth, share * ppi), flats, folder);
  const twice = drawn(drawMirrored, pageWidth, share * ppi);
  for (const page of ['15', '16']) await writePageFiles(twice, pair(page), folder);
  await writePageFiles(drawn(drawThin, pageWidth, share * ppi), pair('17'), folder);
  await pageOnceMore(folder, 1, share);
  await writePageFiles(drawn(drawTogether, pageWidth, share * ppi), pair('19'), folder);
}

/**
 * Page 18 in a version: the first belongs to the issue as it is drawn, the second holds the same picture, saved once more.
 * @param incoming folder that it goes into
 */
export async function pageOnceMore(incoming: string, version: 1 | 2, share = 1): Promise<void> {
  const sheet = drawn((sheet) => drawHarbour(sheet, { sky: '#d8c6e0' }), pageWidth, share * ppi);
  const picture = toSharp(flatPicture(sheet)).withDensity(ppi).withIccProfile('srgb');
  await picture.png({ compressionLevel: 2 * version }).toFile(join(incoming, `BRL03_p18_v${version}.png`));
}

function drawn(draw: (sheet: Sheet) => void, width = pageWidth, at = ppi): Sheet {
  const sheet = new Sheet(width, pageHeight, at);
  draw(sheet);
  return sheet;
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
