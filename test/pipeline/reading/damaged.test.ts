import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { PlatehandError } from '../../../config/errors.js';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { channelsOf, type Raster } from '../../../pipeline/model/raster.js';
import type { LayerGroup } from '../../../pipeline/model/working-page.js';
import { readWorkingPicture } from '../../../pipeline/reading/read-picture.js';
import { damagedCopies } from '../../helpers/damage.js';
import { mimetypeEntry, openRasterEntries, writeZip } from '../../helpers/openraster-fixtures.js';
import { type Scratch, sampleValues, scratchFolder } from '../../helpers/picture-samples.js';
import { writePng } from '../../helpers/png-fixtures.js';
import {
  rational,
  short,
  type TiffLayout,
  type TiffPicture,
  writeTiff,
} from '../../helpers/tiff-fixtures.js';

const arena = new PageArena();

let scratch: Scratch;
beforeAll(async () => {
  scratch = await scratchFolder();
});
afterAll(() => scratch.remove());

const perFormat = 200;
const limitMs = 5000;
const size = { width: 64, height: 48 };
const pixels = size.width * size.height;

/** What became of one damaged file; anything but `read` and `refused` fails the test. */
async function outcome(bytes: Buffer, name: string): Promise<string> {
  const path = await scratch.file(name, bytes);
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<string>((resolve) => {
    timer = setTimeout(() => resolve(`no answer after ${limitMs} ms`), limitMs);
  });
  try {
    return await Promise.race([late, tryRead(path)]);
  } finally {
    clearTimeout(timer);
  }
}

async function tryRead(path: string): Promise<string> {
  try {
    // Room for every size that the lies hit by accident, without filling the memory of a small machine.
    const picture = await readWorkingPicture(path, { limits: { maxPixels: 30e6 } }, arena);
    if (picture.kind === 'flat') return consistent(picture.raster, picture) ?? 'read';
    return (await layersOf(picture.root)) ?? 'read';
  } catch (error) {
    if (!(error instanceof PlatehandError)) return `threw ${String(error)}`;
    if (error.remedy.length < 10 || error.place.file !== path)
      return `refused without advice: ${error.message}`;
    return 'refused';
  }
}

function consistent(raster: Raster, size: { width: number; height: number }): string | undefined {
  const samples = raster.width * raster.height * channelsOf(raster);
  if (raster.width !== size.width || raster.height !== size.height) return 'a raster of another size';
  return raster.data.length === samples ? undefined : `${raster.data.length} samples instead of ${samples}`;
}

async function layersOf(group: LayerGroup): Promise<string | undefined> {
  for (const child of group.children) {
    if (child.kind === 'group') {
      const fault = await layersOf(child);
      if (fault !== undefined) return fault;
    } else {
      const raster = await child.pixels();
      const fault = consistent(raster, raster);
      if (fault !== undefined) return fault;
    }
  }
  return undefined;
}

async function tally(
  originals: readonly Buffer[],
  format: string,
  extension: string,
): Promise<Map<string, number>> {
  const counts = new Map<string, number>();
  for (const [index, { bytes, cut }] of damagedCopies(originals, format, perFormat, 2004).entries()) {
    const answer = await outcome(bytes, `${index}.${extension}`);
    const what = cut && answer === 'read' ? `read, though cut short (${index})` : answer;
    counts.set(what, (counts.get(what) ?? 0) + 1);
  }
  return counts;
}

/** Every copy was answered; a good part was refused, and the tally shows anything else by its own words. */
function expectAnswers(counts: Map<string, number>, leastRefused: number): void {
  const { read = 0, refused = 0, ...others } = Object.fromEntries(counts);
  expect(others).toEqual({});
  expect(read + refused).toBe(perFormat);
  expect(refused).toBeGreaterThanOrEqual(leastRefused);
}

function tiff(
  photometric: number,
  samples: number,
  bits: number,
  more: Partial<TiffPicture>,
  layout?: TiffLayout,
) {
  const data = sampleValues(pixels * samples, bits, samples + bits);
  const tags = { 282: rational([600, 1]), 283: rational([600, 1]), 296: short(2), ...more.tags };
  return writeTiff([{ ...size, photometric, samples, bits, data, rowsPerStrip: 8, ...more, tags }], layout);
}

async function packedBySharp(): Promise<Buffer[]> {
  const smooth = Buffer.from(Array.from({ length: pixels * 3 }, (_, i) => (i * 5 + (i >> 7)) & 255));
  const picture = () => sharp(smooth, { raw: { ...size, channels: 3 } });
  const line = picture().toColourspace('b-w');
  return [
    await line.tiff({ compression: 'ccittfax4', bitdepth: 1 }).toBuffer(),
    await picture().tiff({ compression: 'jpeg' }).toBuffer(),
    await picture().tiff({ compression: 'lzw', tile: true, tileWidth: 16, tileHeight: 16 }).toBuffer(),
  ];
}

describe(`of ${perFormat} damaged files each is refused with advice, or read at its full size`, () => {
  it('TIFF', async () => {
    const tile = { width: 16, height: 16 };
    const originals = [
      tiff(2, 3, 8, {}, { directoryFirst: true }),
      tiff(2, 3, 8, { compression: 5 }),
      tiff(5, 4, 8, { compression: 8, planar: true }),
      tiff(1, 1, 8, { compression: 32773 }),
      tiff(0, 1, 1, {}, { bigEndian: true }),
      tiff(2, 3, 16, { compression: 8 }, { big: true }),
      tiff(2, 3, 8, { compression: 5, planar: true, tile }),
      tiff(2, 4, 8, { compression: 8, extraSamples: [1], tags: { 274: short(6) } }),
      tiff(3, 1, 8, { tags: { 320: short(...sampleValues(768, 16)) } }),
      ...(await packedBySharp()),
    ];
    expectAnswers(await tally(originals, 'tiff', 'tif'), 100);
  });

  it('PNG', async () => {
    const originals = [
      writePng({ ...size, colourType: 2, bits: 8, data: sampleValues(pixels * 3, 8) }),
      writePng({ ...size, colourType: 6, bits: 16, data: sampleValues(pixels * 4, 16) }),
      writePng({ ...size, colourType: 0, bits: 1, data: sampleValues(pixels, 1) }),
      writePng({
        ...size,
        colourType: 3,
        bits: 4,
        data: sampleValues(pixels, 4),
        chunks: [['PLTE', Buffer.from(sampleValues(48, 8))]],
      }),
    ];
    expectAnswers(await tally(originals, 'png', 'png'), 160);
  });

  it('JPEG', async () => {
    const smooth = Buffer.from(Array.from({ length: pixels * 3 }, (_, i) => (i * 5 + (i >> 7)) & 255));
    const picture = () => sharp(smooth, { raw: { ...size, channels: 3 } });
    const originals = [
      await picture().jpeg().toBuffer(),
      await picture().withMetadata({ orientation: 5, density: 300 }).jpeg({ progressive: true }).toBuffer(),
      await picture().toColourspace('b-w').jpeg().toBuffer(),
      await picture().toColourspace('cmyk').jpeg().toBuffer(),
    ];
    expectAnswers(await tally(originals, 'jpeg', 'jpg'), 100);
  });

  it('OpenRaster', async () => {
    const stack =
      '<?xml version="1.0" encoding="UTF-8"?><image w="64" h="48" version="0.0.5" xres="600" yres="600"><stack>' +
      '<layer name="inks" src="data/1.png" x="-3" composite-op="svg:multiply"/><stack opacity="0.5" x="4">' +
      '<layer name="glow" src="data/2.png" composite-op="svg:screen" opacity="0.75"/></stack></stack></image>';
    const entries = openRasterEntries(stack, {
      'data/1.png': { ...size, colourType: 6, bits: 8, data: sampleValues(pixels * 4, 8) },
      'data/2.png': { ...size, colourType: 2, bits: 8, data: sampleValues(pixels * 3, 8) },
    });
    const packed = entries.map((entry) => ({ ...entry, deflate: true }));
    const originals = [
      writeZip([mimetypeEntry, ...entries]),
      writeZip([mimetypeEntry, ...packed]),
      // Lies inside the archive, under checksums that fit.
      ...damagedCopies([Buffer.from(stack)], 'xml', 8, 3).map(({ bytes: xml }) =>
        writeZip([mimetypeEntry, { name: 'stack.xml', content: xml }, ...entries.slice(1)]),
      ),
      ...damagedCopies([Buffer.from(entries[1].content)], 'png', 8, 4).map(({ bytes: png }) =>
        writeZip([mimetypeEntry, entries[0], { name: 'data/1.png', content: png }, entries[2]]),
      ),
    ];
    expectAnswers(await tally(originals, 'openraster', 'ora'), 160);
  });
});
