import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import { PageArena } from '../../pipeline/kernels/page-arena.js';
import { bitmapOf } from '../../pipeline/line/bitmap.js';
import type { Bitmap, Plate, Raster } from '../../pipeline/model/raster.js';
import { processInkNames, type Separation, separationOf } from '../../pipeline/model/separation.js';

const arena = new PageArena();

/** A finished page as pixels, for the floor to encode. */
export interface FloorPage {
  readonly composite: Separation;
  readonly plates: Separation;
  readonly line: Bitmap;
  readonly proof: Raster;
  readonly thumbnail: Raster;
  readonly ppi: number;
  readonly linePpi: number;
  readonly proofPpi: number;
}

/** Where a page's results are, and its resolutions. */
export interface MadePage {
  readonly composite: string;
  /** Cyan, magenta, yellow, black. */
  readonly plates: readonly string[];
  readonly line: string;
  readonly proof: string;
  readonly thumbnail: string;
  readonly ppi: number;
  readonly linePpi: number;
  readonly proofPpi: number;
}

interface Kept {
  readonly name: string;
  readonly width: number;
  readonly height: number;
}

interface KeptPage extends Pick<FloorPage, 'ppi' | 'linePpi' | 'proofPpi'> {
  readonly planes: readonly Kept[];
}

const planeNames = [
  'c',
  'm',
  'y',
  'k',
  'plate-c',
  'plate-m',
  'plate-y',
  'plate-k',
  'line',
  'proof',
  'thumbnail',
];

/** CMYK as it stands in a file, one plane after the other. */
export async function readInks(
  file: string,
): Promise<{ width: number; height: number; planes: Uint8Array[] }> {
  const { data, info } = await sharp(file, { ignoreIcc: true, limitInputPixels: false })
    .pipelineColourspace('cmyk')
    .toColourspace('cmyk')
    .raw()
    .toBuffer({ resolveWithObject: true });
  const planes = [0, 1, 2, 3].map((band) => {
    const plane = new Uint8Array(info.width * info.height);
    for (let i = 0, j = band; i < plane.length; i++, j += 4) plane[i] = data[j];
    return plane;
  });
  return { width: info.width, height: info.height, planes };
}

/** Ink of a one-channel TIFF: the library hands light, so what it hands is turned round. */
export async function readPlate(file: string): Promise<Plate> {
  const { data, info } = await sharp(file, { limitInputPixels: false })
    .toColourspace('b-w')
    .raw()
    .toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, data: Uint8Array.from(data, (light) => 255 - light) };
}

async function readPicture(file: string): Promise<{ width: number; height: number; data: Uint8Array }> {
  const { data, info } = await sharp(file).removeAlpha().raw().toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, data };
}

/** Puts the pixels of a finished page down, so that the floor can take them up without decoding. */
export async function keepFloorPage(folder: string, made: MadePage): Promise<void> {
  const composite = await readInks(made.composite);
  const { width, height } = composite;
  const pictures = [
    ...composite.planes.map((data) => ({ width, height, data })),
    ...(await Promise.all(made.plates.map(readPlate))),
    await readPlate(made.line),
    await readPicture(made.proof),
    await readPicture(made.thumbnail),
  ];
  const planes: Kept[] = [];
  for (const [i, picture] of pictures.entries()) {
    await writeFile(join(folder, planeNames[i]), picture.data);
    planes.push({ name: planeNames[i], width: picture.width, height: picture.height });
  }
  const { ppi, linePpi, proofPpi } = made;
  const kept: KeptPage = { planes, ppi, linePpi, proofPpi };
  await writeFile(join(folder, 'page.json'), JSON.stringify(kept));
}

export async function readFloorPage(folder: string): Promise<FloorPage> {
  const kept = JSON.parse(await readFile(join(folder, 'page.json'), 'utf8')) as KeptPage;
  const pixels = await Promise.all(kept.planes.map(({ name }) => readFile(join(folder, name))));
  const separation = (from: number): Separation => {
    return separationOf(kept.planes[from], (name) => pixels[from + processInkNames.indexOf(name)]);
  };
  const picture = (at: number): Raster => {
    const { width, height } = kept.planes[at];
    return { width, height, model: 'rgb', alpha: false, data: pixels[at] };
  };
  const { ppi, linePpi, proofPpi } = kept;
  return {
    composite: separation(0),
    plates: separation(4),
    line: bitmapOf(pixels[8], kept.planes[8], 128, arena),
    proof: picture(9),
    thumbnail: picture(10),
    ppi,
    linePpi,
    proofPpi,
  };
}
