import { createWriteStream } from 'node:fs';
import { finished } from 'node:stream/promises';
import { ZipArchive } from 'archiver';
import { mixColour, rimPicture, softPicture } from './ink/compose.js';
import type { Sheet } from './ink/sheet.js';
import { letteringPicture, type Picture, pngOptions, toSharp } from './write-picture.js';

/** A layer as it goes into the archive; the first of a list is the topmost. */
interface LayerFile {
  readonly name: string;
  readonly op: string;
  readonly x: number;
  readonly y: number;
  readonly png: Buffer;
}

interface Rectangle {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

/** Entries of the archive carry one fixed time, so that the same drawing gives the same bytes. */
const fixedDate = new Date('2000-01-01T00:00:00Z');

/** The specification allows thumbnails of up to 256 x 256 pixels. */
const thumbnailSide = 256;

/**
 * Writes a page as OpenRaster: flats, shadows that multiply, inks, a glow that screens and sparks that add above the
 * inks, so that they colour some of the line, rims of light that cover where the page has any, and the lettering on
 * top. Layers are cropped to what they hold.
 * Format: OpenRaster, baseline specification, file layout and layer stack, version 0.0.3.
 */
export async function writeOpenRaster(path: string, sheet: Sheet, ppi: number): Promise<void> {
  const { width, height } = sheet.grid;
  const soft = softLayers(sheet);
  const merged: Picture = { width, height, channels: 3, data: paintStack(sheet, soft) };
  const mergedPng = await encode(merged);
  const thumbnail = await toSharp(merged)
    .resize(thumbnailSide, thumbnailSide, { fit: 'inside' })
    .png({ compressionLevel: 9 })
    .toBuffer();
  const layers = await layerFiles(sheet, soft);
  const { add, end } = openRasterFile(path);
  add('stack.xml', stackXml(width, height, ppi, layers));
  layers.forEach((layer, index) => {
    add(`data/${layerFile(index)}`, layer.png);
  });
  add('mergedimage.png', mergedPng);
  add('Thumbnails/thumbnail.png', thumbnail);
  await end();
}

/** Begins an OpenRaster file with its type; entries are added unpacked, and `end` brings it to the disk. */
export function openRasterFile(path: string) {
  const archive = new ZipArchive({});
  const sink = createWriteStream(path);
  archive.pipe(sink);
  const add = (name: string, data: Buffer | string): void => {
    archive.append(Buffer.from(data), { name, date: fixedDate, mode: 0o644, store: true });
  };
  // The first entry, stored, so that the type can be read at a fixed place.
  add('mimetype', 'image/openraster');
  const end = async (): Promise<void> => {
    await Promise.all([archive.finalize(), finished(sink)]);
  };
  return { add, end };
}

function stackXml(width: number, height: number, ppi: number, layers: readonly LayerFile[]): string {
  const lines = layers.map(
    ({ name, op, x, y }, index) =>
      `    <layer name="${name}" src="data/${layerFile(index)}" x="${x}" y="${y}" opacity="1.0" visibility="visible" composite-op="svg:${op}"/>`,
  );
  return [
    '<?xml version="1.0" encoding="UTF-8"?>',
    `<image version="0.0.3" w="${width}" h="${height}" xres="${ppi}" yres="${ppi}">`,
    '  <stack>',
    ...lines,
    '  </stack>',
    '</image>',
    '',
  ].join('\n');
}

function layerFile(index: number): string {
  return `layer${String(index).padStart(3, '0')}.png`;
}

/** The soft layers at full size, made once for the layers and for the merged image. */
interface SoftLayers {
  readonly shadow: Picture;
  readonly glow: Picture;
  readonly sparks: Picture;
  readonly rims: Picture | undefined;
}

function softLayers(sheet: Sheet): SoftLayers {
  const { width, height } = sheet.grid;
  const soft = (kind: 'shadow' | 'glow' | 'sparks'): Picture => ({
    width,
    height,
    channels: 3,
    data: softPicture(sheet, kind),
  });
  const hasRims = sheet.soft.rims.some((value) => value > 0);
  return {
    shadow: soft('shadow'),
    glow: soft('glow'),
    sparks: soft('sparks'),
    rims: hasRims ? { width, height, channels: 4, data: rimPicture(sheet) } : undefined,
  };
}

async function layerFiles(sheet: Sheet, { shadow, glow, sparks, rims }: SoftLayers): Promise<LayerFile[]> {
  return [
    await layer('lettering', 'src-over', letteringPicture(sheet)),
    ...(rims === undefined ? [] : [await layer('rims', 'src-over', rims)]),
    await layer('sparks', 'plus', sparks),
    await layer('glow', 'screen', glow),
    await layer('inks', 'src-over', inkLayer(sheet)),
    await layer('shadows', 'multiply', shadow),
    await layer('flats', 'src-over', flatsPicture(sheet)),
  ];
}

function flatsPicture(sheet: Sheet): Picture {
  const { width, height } = sheet.grid;
  const alone = { shadow: false, glow: false, sparks: false, rims: false, letters: false, inks: false };
  return { width, height, channels: 3, data: mixColour(sheet, alone, 8) };
}

/** Black where there is ink, nothing elsewhere. */
function inkLayer(sheet: Sheet): Picture {
  const { width, height } = sheet.grid;
  const data = new Uint8Array(width * height * 4);
  for (let at = 0; at < sheet.ink.length; at++) data[at * 4 + 3] = 255 - sheet.ink[at];
  return { width, height, channels: 4, data };
}

async function layer(name: string, op: string, picture: Picture): Promise<LayerFile> {
  const area = op === 'multiply' ? whole(picture) : contents(picture);
  return { name, op, x: area.left, y: area.top, png: await encode(picture, area) };
}

function encode(picture: Picture, area = whole(picture)): Promise<Buffer> {
  return toSharp(picture).extract(area).withIccProfile('srgb').png(pngOptions).toBuffer();
}

function whole({ width, height }: Picture): Rectangle {
  return { left: 0, top: 0, width, height };
}

/** The smallest rectangle outside which a layer does nothing: no alpha, or, in a layer that lightens, black. */
function contents({ width, height, channels, data }: Picture): Rectangle {
  const counts = (at: number): boolean =>
    channels === 4 ? data[at + 3] > 0 : data[at] + data[at + 1] + data[at + 2] > 0;
  let [left, right, top, bottom] = [width, -1, height, -1];
  for (let y = 0; y < height; y++) {
    const row = y * width * channels;
    let first = 0;
    while (first < width && !counts(row + first * channels)) first++;
    if (first === width) continue;
    let last = width - 1;
    while (!counts(row + last * channels)) last--;
    left = Math.min(left, first);
    right = Math.max(right, last);
    top = Math.min(top, y);
    bottom = y;
  }
  if (right < 0) return { left: 0, top: 0, width: 1, height: 1 };
  return { left, top, width: right - left + 1, height: bottom - top + 1 };
}

/** The flattened stack: the layers as they are stored, in 8 bit, composited without rounding in between. */
function paintStack(sheet: Sheet, soft: SoftLayers): Uint8Array {
  const out = flatsPicture(sheet).data as Uint8Array;
  const shadow = soft.shadow.data;
  const glow = soft.glow.data;
  const sparks = soft.sparks.data;
  for (let at = 0; at < out.length; at++) {
    // Multiply, then ink over it, then screen and plus: W3C Compositing and Blending Level 1, all layers opaque there.
    const base = sheet.ink[(at / 3) | 0] === 0 ? 0 : (out[at] * shadow[at]) / 255;
    const lit = base + glow[at] - (base * glow[at]) / 255 + sparks[at];
    out[at] = lit > 255 ? 255 : lit + 0.5;
  }
  if (soft.rims !== undefined) paintRims(soft.rims, out);
  paintLetters(sheet, out);
  return out;
}

function paintRims({ data }: Picture, out: Uint8Array): void {
  for (let at = 0; at * 4 < data.length; at++) {
    const alpha = data[at * 4 + 3] / 255;
    if (alpha === 0) continue;
    for (let c = 0; c < 3; c++) {
      const below = out[at * 3 + c];
      out[at * 3 + c] = below + (data[at * 4 + c] - below) * alpha + 0.5;
    }
  }
}

function paintLetters(sheet: Sheet, out: Uint8Array): void {
  const letters = letteringPicture(sheet).data;
  for (let at = 0; at < sheet.letters.length; at++) {
    if (sheet.letters[at] === 0) continue;
    out[at * 3] = letters[at * 4];
    out[at * 3 + 1] = letters[at * 4 + 1];
    out[at * 3 + 2] = letters[at * 4 + 2];
  }
}
