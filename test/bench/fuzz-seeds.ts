import sharp from 'sharp';
import { bag, withTagManifest } from '../helpers/bags.js';
import { writeOpenRaster, writeZip } from '../helpers/openraster-fixtures.js';
import { sampleValues } from '../helpers/picture-samples.js';
import { writePng } from '../helpers/png-fixtures.js';
import { smallJob } from '../helpers/small-issue.js';
import { short, writeTiff } from '../helpers/tiff-fixtures.js';

const size = { width: 8, height: 6 };
const pixels = size.width * size.height;

const rgb = () => sharp(Buffer.from(sampleValues(pixels * 3, 8)), { raw: { ...size, channels: 3 } });
const png = (
  colourType: 0 | 2 | 3 | 6,
  bits: number,
  chunks: readonly (readonly [string, Buffer])[] = [],
) => {
  const channels = { 0: 1, 2: 3, 3: 1, 6: 4 }[colourType];
  return writePng({ ...size, colourType, bits, data: sampleValues(pixels * channels, bits), chunks });
};

function tiff(photometric: number, samples: number, bits: number, more = {}, layout = {}): Buffer {
  const data = sampleValues(pixels * samples, bits);
  return writeTiff([{ ...size, photometric, samples, bits, data, rowsPerStrip: 3, ...more }], layout);
}

const stackXml =
  '<?xml version="1.0" encoding="UTF-8"?><image w="8" h="6" version="0.0.5" xres="600" yres="600"><stack>' +
  '<layer name="a" src="data/1.png" x="-3" composite-op="svg:multiply" opacity="0.5"/><stack x="4">' +
  '<layer name="b" src="data/1.png" visibility="hidden"/></stack></stack></image>';

/** A small bag, stored and then deflated. */
function archiveOf(deflate: boolean): Buffer {
  const parts = withTagManifest(
    bag({ 'data/a.txt': 'a page\n' }, { 'bag-info.txt': 'Payload-Oxum: 7.1\nBagging-Date: 2026-11-20\n' }),
  );
  return writeZip(
    Object.entries(parts).map(([name, content]) => ({
      name: `b/${name}`,
      content: Buffer.from(content),
      deflate,
    })),
  );
}

/** Sound examples for each door, small, of every kind that takes a way of its own. */
export const fuzzSeeds = {
  tiff: async () => [
    tiff(2, 3, 8, { compression: 5 }),
    tiff(0, 1, 1, {}, { bigEndian: true }),
    tiff(5, 4, 8, { compression: 8, planar: true }),
    tiff(2, 4, 16, { extraSamples: [1], tags: { 274: short(6) } }, { big: true }),
    tiff(3, 1, 8, { tags: { 320: short(...sampleValues(768, 16)) } }),
    tiff(2, 3, 8, { tile: { width: 16, height: 16 }, compression: 32773 }),
    await rgb().withMetadata({ density: 300 }).tiff({ compression: 'jpeg' }).toBuffer(),
  ],
  png: async () => [
    png(2, 8, [
      ['gAMA', Buffer.from([0, 0, 0xb1, 0x8f])],
      ['sRGB', Buffer.from([0])],
    ]),
    png(3, 4, [
      ['PLTE', Buffer.from(sampleValues(48, 8))],
      ['tRNS', Buffer.from([1, 2, 3])],
    ]),
    png(6, 16, [['pHYs', Buffer.from([0, 0, 0x2e, 0x23, 0, 0, 0x2e, 0x23, 1])]]),
    png(0, 1, [
      ['cICP', Buffer.from([1, 13, 0, 1])],
      ['tIME', Buffer.from([7, 0xea, 11, 20, 1, 1, 1])],
    ]),
    await rgb().withIccProfile('p3').png().toBuffer(),
  ],
  jpeg: async () => [
    await rgb().jpeg().toBuffer(),
    await rgb().withMetadata({ orientation: 5, density: 300 }).jpeg({ progressive: true }).toBuffer(),
    await rgb().toColourspace('cmyk').jpeg().toBuffer(),
    await rgb()
      .toColourspace('b-w')
      .withExif({ IFD0: { DateTime: '2026:11:20 12:00:00' } })
      .jpeg()
      .toBuffer(),
  ],
  openraster: async () => [
    writeOpenRaster(stackXml, { 'data/1.png': png(6, 8), 'mergedimage.png': png(2, 8) }),
    writeOpenRaster(stackXml.replaceAll(' ', '\n '), { 'data/1.png': png(0, 1) }),
  ],
  stack: async () => [Buffer.from(stackXml)],
  archive: async () => [archiveOf(false), archiveOf(true)],
  job: async () => [
    Buffer.from(smallJob),
    Buffer.from(
      `${smallJob}held:\n  - page: 1\n    reason: late\nnames:\n  'x.tif': { page: 2, part: line }\nkinds:\n  cover: { bleed: 5 }\n`,
    ),
  ],
} as const satisfies Readonly<Record<string, () => Promise<readonly Buffer[]>>>;
