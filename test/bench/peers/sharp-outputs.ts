import { createHash } from 'node:crypto';
import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import sharp, { type Sharp } from 'sharp';

/** What the scripts for sharp write, alike for every kind of page: composite, plates, 1-bit line, proof, checksums. */

/** A page as its planes of ink at print size. */
export interface InkPlanes {
  readonly width: number;
  readonly height: number;
  /** Cyan, magenta, yellow, black without the line: what the plates hold. */
  readonly plates: readonly Buffer[];
  /** The same with the line, as the composite has them. */
  readonly composite: readonly Buffer[];
}

const names = ['cyan', 'magenta', 'yellow', 'black'];
const lzw = { compression: 'lzw', predictor: 'horizontal' } as const;

/** Takes pixels of four inks apart. */
export function planesOf(data: Buffer): Buffer[] {
  return [0, 1, 2, 3].map((band) => {
    const plane = Buffer.alloc(data.length / 4);
    for (let i = 0, j = band; i < plane.length; i++, j += 4) plane[i] = data[j];
    return plane;
  });
}

/** Writes a page's files. @param line its picture, 0 ink */
export async function writeOutputs(
  folder: string,
  { width, height, plates, composite }: InkPlanes,
  line: Sharp,
  { ppi, proofWidth }: { readonly ppi: number; readonly proofWidth: number },
): Promise<void> {
  const path = (name: string) => join(folder, name);
  const raw = { raw: { width, height, channels: 1 } } as const;
  const [cyan, ...others] = composite;
  await Promise.all([
    ...plates.map((plane, band) =>
      sharp(plane, raw)
        .toColourspace('b-w')
        .withDensity(ppi)
        .tiff(lzw)
        .toFile(path(`${names[band]}.tif`)),
    ),
    sharp(cyan, raw)
      .joinChannel([...others], raw)
      .toColourspace('cmyk')
      .withDensity(ppi)
      .tiff(lzw)
      .toFile(path('composite.tif')),
    line
      .toColourspace('b-w')
      .tiff({ compression: 'ccittfax4', bitdepth: 1, miniswhite: true })
      .toFile(path('line.tif')),
  ]);
  // The library has no way to keep a profile with numbers that it did not convert; so the proof is of sharp's own reading.
  await sharp(path('composite.tif')).resize(proofWidth).toColourspace('srgb').png().toFile(path('proof.png'));
  const written = ['composite.tif', ...names.map((name) => `${name}.tif`), 'line.tif', 'proof.png'];
  const sums = written.map(
    async (name) =>
      `${createHash('sha256')
        .update(await readFile(path(name)))
        .digest('hex')}  ${name}\n`,
  );
  await writeFile(path('checksums.txt'), (await Promise.all(sums)).join(''));
}
