import { execFile } from 'node:child_process';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import sharp, { type Blend, type OverlayOptions, type Sharp } from 'sharp';

/** A page of layers as a competent user of sharp would composite it, from the list that ../kinds/recipe.ts describes. */

/** Pixels as the library hands them. */
export interface Pixels {
  readonly data: Buffer;
  readonly raw: { readonly width: number; readonly height: number; readonly channels: 1 | 2 | 3 | 4 };
}

/** A page with and without its line, and the line by itself, 0 ink. */
export interface LayeredPage {
  readonly shown: Pixels;
  readonly without: Pixels;
  readonly line: Pixels;
}

/** All layers are sRGB and are composited as they are: converting each would take time and change nothing. */
const open = (file: string) => sharp(file, { ignoreIcc: true });

/**
 * Composites a page with and without its line. What lies beneath the line is composited once; layers above it are decoded
 * for each of the two, which is quicker than keeping them.
 */
export async function composited(archive: string, recipe: string): Promise<LayeredPage> {
  const room = await mkdtemp(join(tmpdir(), 'layers-'));
  try {
    await promisify(execFile)('unzip', ['-q', archive, 'data/*', '-d', room]);
    const lines = (await readFile(recipe, 'utf8')).trimEnd().split('\n');
    const pictures = new Map<string, Pixels>();
    const inks = join(room, lines.at(-1)?.split(' ')[1] ?? '');
    const { width = 0, height = 0 } = await sharp(inks).metadata();
    for (const line of lines.slice(0, -1)) {
      const [name, base, ...entries] = line.split(' ');
      const overlays: OverlayOptions[] = [];
      for (const entry of entries) overlays.push(await overlay(entry, room, pictures));
      pictures.set(name, await compose(base, overlays, { room, pictures, width, height }));
    }
    const line = await pixelsOf(open(inks).extractChannel(3).negate());
    const [shown, without] = ['with', 'without'].map((name) => pictures.get(name));
    if (shown === undefined || without === undefined) throw new Error(`${recipe} names no page`);
    return { shown, without, line };
  } finally {
    await rm(room, { recursive: true });
  }
}

interface Making {
  readonly room: string;
  readonly pictures: ReadonlyMap<string, Pixels>;
  readonly width: number;
  readonly height: number;
}

async function compose(base: string, overlays: OverlayOptions[], making: Making): Promise<Pixels> {
  const { room, pictures, width, height } = making;
  if (base === '-') {
    const clear = { create: { width, height, channels: 4, background: '#00000000' } } as const;
    return pixelsOf(sharp(clear).composite(overlays));
  }
  const made = pictures.get(base);
  if (made !== undefined && overlays.length === 0) return made;
  const start = made === undefined ? open(join(room, base)) : sharp(made.data, { raw: made.raw });
  return pixelsOf(start.composite(overlays).removeAlpha());
}

/**
 * Where a layer is partly transparent, the library blends by these modes too dark; laid on the tone that changes nothing by
 * its mode, it comes out right. See github.com/libvips/libvips/issues/4614.
 */
const grounds: Readonly<Record<string, string>> = {
  multiply: '#ffffff',
  screen: '#000000',
  overlay: '#808080',
};

/** One layer. The library composites at full opacity only: where there is less, alpha is lowered first. */
async function overlay(
  entry: string,
  room: string,
  pictures: ReadonlyMap<string, Pixels>,
): Promise<OverlayOptions> {
  const [name, mode, left, top, opacity] = entry.split(':');
  const place = { blend: mode as Blend, left: Number(left), top: Number(top) };
  const made = pictures.get(name);
  let picture = made === undefined ? open(join(room, name)) : sharp(made.data, { raw: made.raw });
  const ground = (await picture.metadata()).hasAlpha ? grounds[mode] : undefined;
  if (Number(opacity) === 1 && ground === undefined) {
    if (made === undefined) return { input: join(room, name), ...place };
    return { input: made.data, raw: made.raw, ...place };
  }
  if (Number(opacity) < 1) {
    const thinner = await pixelsOf(picture.ensureAlpha().linear([1, 1, 1, Number(opacity)], [0, 0, 0, 0]));
    picture = sharp(thinner.data, { raw: thinner.raw });
  }
  if (ground !== undefined) picture.flatten({ background: ground });
  const ready = await pixelsOf(picture);
  return { input: ready.data, raw: ready.raw, ...place };
}

/** Pixels of a picture, as it comes out of the library. */
export async function pixelsOf(picture: Sharp): Promise<Pixels> {
  const { data, info } = await picture.raw().toBuffer({ resolveWithObject: true });
  const { width, height, channels } = info;
  return { data, raw: { width, height, channels } };
}
