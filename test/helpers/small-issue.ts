import { mkdir, mkdtemp, rm, utimes, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import type { Job } from '../../config/job.js';
import { parseJob } from '../../config/load-job.js';
import type { Raster } from '../../pipeline/model/raster.js';
import { drawn } from './rasters.js';

/** Units and print spec of small pages; more of `print` may follow, two blanks further in. */
const smallPrint = `units: mm
print:
  trim: [50, 70]
  bleed: 3
  safe: 5
  colourPpi: 100
  linePpi: 200
  proofPpi: 72
  press: cgats-tr006
`;

/** How the job of a small issue begins that says no more than it must; as `smallPrint`. */
export const smallHead = `
issue: QRY02
title: The Quarry Bells
${smallPrint}`;

/**
 * A small invented issue for tests: pages of 50 x 70 mm with 3 mm bleed, colour at 100 ppi and line at 200 ppi, so that
 * a whole run takes a moment.
 */
export const smallJob = `
issue: QRY02
title: The Quarry Bells
number: 2
due: 2026-12-04T17:00:00+01:00
${smallPrint}scenes:
  - id: quarry
    title: The quarry at noon
pages:
  - page: cover
    kind: cover
  - pages: 1-3
    scene: quarry
`;

/**
 * Trim plus bleed of the small issue in pixels as many export it: 56 x 76 mm at 200 ppi, rounded outward. What prints is 440 x
 * 598, twice 220 x 299.
 */
export const lineSize = { width: 441, height: 599 };
export const colourSize = { width: 221, height: 300 };

/** Files of these tests were all dropped at one time, long ago. */
const droppedAt = new Date('2026-11-20T12:00:00Z');

export interface SmallIssue {
  readonly job: Job;
  readonly folder: string;
  /** Puts a file into incoming/. */
  drop(name: string, bytes: Uint8Array): Promise<void>;
  remove(): Promise<void>;
}

/** A job folder in a temporary place, with its folders and no pages yet. */
export async function openSmallIssue(jobYaml: string = smallJob): Promise<SmallIssue> {
  const folder = await mkdtemp(join(tmpdir(), 'small-issue-'));
  for (const name of ['incoming', 'press', 'plates', 'pdf', 'proofs', 'delivery'])
    await mkdir(join(folder, name));
  await writeFile(join(folder, 'job.yaml'), jobYaml);
  return {
    job: parseJob(jobYaml, folder),
    folder,
    drop: (name, bytes) => dropInto(folder, name, bytes),
    remove: () => rm(folder, { recursive: true, force: true }),
  };
}

/** Puts a file into incoming/ of a job folder. */
export async function dropInto(folder: string, name: string, bytes: Uint8Array): Promise<void> {
  const path = join(folder, 'incoming', name);
  await writeFile(path, bytes);
  await utimes(path, droppedAt, droppedAt);
}

/** Drawn once; who asks for it has a copy of his own. */
const pages = new Map<string, Raster>();

function onceDrawn(name: string, draw: () => Raster): Raster {
  const page = pages.get(name) ?? draw();
  pages.set(name, page);
  return { ...page, data: page.data.slice() };
}

/** Colour beneath the line: a sky over a quarry floor, at the size of the line art. */
export function colourPage(hue = 0): Raster {
  return onceDrawn(`colour ${hue}`, () => drawColour(hue));
}

function drawColour(hue: number): Raster {
  const { width, height } = lineSize;
  return drawn(width, height, 'rgb', (x, y) => {
    const light = 255 - Math.round((y / height) * 90);
    return y < height / 2 ? [light - 60, light - 20, 255] : [200 - hue, 150 + ((x >> 3) & 7), 90 + hue];
  });
}

/** Inks: rules across the page, none of them in the bleed, a ring and a spotted black. 0 is ink, 255 is paper. */
export function inksPage(): Raster {
  return onceDrawn('inks', drawInks);
}

function drawInks(): Raster {
  const { width, height } = lineSize;
  return drawn(width, height, 'grey', (x, y) => {
    const frame = (x + 80) % 120 < 3 || (y + 75) % 150 < 3;
    const ring = Math.abs(Math.hypot(x - width / 2, y - height / 2) - 100) < 4;
    const black = x > 250 && x < 330 && y > 380 && y < 460;
    return [frame || ring || black ? 0 : 255];
  });
}

/** Colour and inks in one flat picture. */
export function flatPage(): Raster {
  return onceDrawn('flat', drawFlat);
}

function drawFlat(): Raster {
  const colour = colourPage();
  const inks = inksPage();
  const data = Uint8Array.from(colour.data, (value, i) => (inks.data[Math.floor(i / 3)] === 0 ? 8 : value));
  return { ...colour, data };
}

const channelsOfModel = { grey: 1, rgb: 3, cmyk: 4 } as const;

/** A picture as TIFF bytes, LZW, at 200 ppi; rgb is tagged as sRGB. */
export async function tiffOf(raster: Raster, ppi = 200): Promise<Buffer> {
  const channels = channelsOfModel[raster.model] as 1 | 3;
  const raw = { width: raster.width, height: raster.height, channels };
  const picture = sharp(raster.data, { raw });
  const plain = raster.model === 'grey' ? picture.toColourspace('b-w') : picture.withIccProfile('srgb');
  return plain.tiff({ compression: 'lzw', xres: ppi / 25.4, yres: ppi / 25.4 }).toBuffer();
}

/** Inks as a 1-bit Group 4 TIFF. */
export async function inksTiffOf(raster: Raster, ppi = 200): Promise<Buffer> {
  const raw = { width: raster.width, height: raster.height, channels: 1 as const };
  return sharp(raster.data, { raw })
    .toColourspace('b-w')
    .tiff({ compression: 'ccittfax4', bitdepth: 1, miniswhite: true, xres: ppi / 25.4, yres: ppi / 25.4 })
    .toBuffer();
}

export async function pngOf(raster: Raster): Promise<Buffer> {
  const channels = channelsOfModel[raster.model] as 1 | 3;
  return sharp(raster.data, { raw: { width: raster.width, height: raster.height, channels } })
    .withDensity(200)
    .png()
    .toBuffer();
}

type NamedFile = readonly [name: string, bytes: Uint8Array];

/** The files of every page; made once, for they cost more than the work on a page. */
let allFiles: Promise<readonly NamedFile[]> | undefined;

async function makeAllFiles(): Promise<readonly NamedFile[]> {
  const [flat, inks] = [await tiffOf(flatPage()), await inksTiffOf(inksPage())];
  return [
    ['QRY02_cover.tif', flat],
    ['QRY02_p01_colour_v2.tif', await tiffOf(colourPage())],
    ['QRY02_p01_inks.tif', inks],
    ['qry-02 pg 2 color.png', await pngOf(colourPage(30))],
    ['qry-02 pg 2 line.tif', inks],
    ['03 final.tif', flat],
  ];
}

/** Drops every page of the small issue: pairs, a flat page, and a cover. */
export async function dropAll(issue: SmallIssue): Promise<void> {
  allFiles ??= makeAllFiles();
  for (const [name, bytes] of await allFiles) await issue.drop(name, bytes);
}
