import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { readWorkingPicture } from '../../../pipeline/reading/read-picture.js';
import { dayOf, dayOfDosDate, latestDay, statedDay } from '../../../pipeline/reading/stated-day.js';
import { writeZip } from '../../helpers/openraster-fixtures.js';
import { type Scratch, scratchFolder } from '../../helpers/picture-samples.js';
import { writePng } from '../../helpers/png-fixtures.js';
import { type TagValue, writeTiff } from '../../helpers/tiff-fixtures.js';

const arena = new PageArena();
let scratch: Scratch;
beforeAll(async () => {
  scratch = await scratchFolder();
});
afterAll(() => scratch.remove());

async function statedBy(name: string, bytes: Uint8Array): Promise<string | undefined> {
  return (await readWorkingPicture(await scratch.file(name, bytes), {}, arena)).statedDay;
}

const ascii = (text: string): TagValue => ({ type: 'ascii', values: Buffer.from(`${text}\0`, 'latin1') });
const long = (value: number): TagValue => ({ type: 'long', values: [value] });

const grey = { width: 2, height: 2, samples: 1, bits: 8, photometric: 1, data: [9, 9, 9, 9] };
const tiff = (tags: Readonly<Record<number, TagValue>>) => writeTiff([{ ...grey, tags }]);

/** A TIFF whose EXIF directory is the second of its chain; marked as a reduced copy, so that it is no page of its own. */
function withExif(own: Readonly<Record<number, TagValue>>, exif: Readonly<Record<number, TagValue>>): Buffer {
  const written = (at: number) =>
    writeTiff([
      { ...grey, tags: { ...own, 34665: long(at) } },
      { ...grey, tags: { ...exif, 254: long(1) } },
    ]);
  const draft = written(0);
  const first = draft.readUInt32LE(4);
  return written(draft.readUInt32LE(first + 2 + 12 * draft.readUInt16LE(first)));
}

const png = (...chunks: (readonly [string, Uint8Array])[]) =>
  writePng({ width: 2, height: 2, colourType: 0, bits: 8, data: [9, 9, 9, 9], chunks });
const timeChunk = (year: number, month: number, day: number) =>
  ['tIME', Buffer.from([year >> 8, year & 255, month, day, 10, 20, 30])] as const;
const textChunk = (keyword: string, text: string) =>
  ['tEXt', Buffer.from(`${keyword}\0${text}`, 'latin1')] as const;

function openRaster(dosDate: number, layer = png()): Buffer {
  const stack =
    '<?xml version="1.0"?><image version="0.0.3" w="2" h="2"><stack><layer src="data/a.png"/></stack></image>';
  return writeZip([
    { name: 'mimetype', content: Buffer.from('image/openraster') },
    { name: 'stack.xml', content: Buffer.from(stack), dosDate },
    { name: 'data/a.png', content: layer },
  ]);
}
const dosDate = (year: number, month: number, day: number) => ((year - 1980) << 9) | (month << 5) | day;

async function jpeg(exif: Buffer): Promise<Buffer> {
  const plain = await sharp({ create: { width: 8, height: 8, channels: 3, background: '#888' } })
    .jpeg()
    .toBuffer();
  const payload = Buffer.concat([Buffer.from('Exif\0\0'), exif]);
  const head = Buffer.from([0xff, 0xe1, 0, 0]);
  head.writeUInt16BE(payload.length + 2, 2);
  return Buffer.concat([plain.subarray(0, 2), head, payload, plain.subarray(2)]);
}

describe('the day that a working file states', () => {
  it.each<[string, string, () => Buffer | Promise<Buffer>]>([
    ['DateTime of a TIFF', 'p.tif', () => tiff({ 306: ascii('2031:03:02 23:59:59') })],
    [
      'when a TIFF was scanned',
      'p.tif',
      () => withExif({ 306: ascii('2030:12:31 08:00:00') }, { 36868: ascii('2031:03:02 08:00:00') }),
    ],
    ['tIME of a PNG', 'p.png', () => png(timeChunk(2031, 3, 2))],
    [
      'the creation time among the texts of a PNG',
      'p.png',
      () => png(textChunk('Title', '2040-01-01'), textChunk('Creation Time', '2031-03-02T10:20:30+01:00')),
    ],
    [
      'the latest that a PNG states',
      'p.png',
      () => png(timeChunk(2031, 3, 2), textChunk('Creation Time', 'Mon, 4 Nov 2030 10:00:00 GMT')),
    ],
    [
      'the EXIF block of a PNG',
      'p.png',
      () => png(['eXIf', withExif({}, { 36867: ascii('2031:03:02 08:00:00') })]),
    ],
    [
      'the EXIF block of a JPEG',
      'p.jpg',
      () => jpeg(withExif({}, { 36867: ascii('2031:03:02 08:00:00'), 36868: ascii('2031:03:01 08:00:00') })),
    ],
    ['the archive of an OpenRaster file', 'p.ora', () => openRaster(dosDate(2031, 3, 2))],
    [
      'a layer of an OpenRaster file that is younger than its list',
      'p.ora',
      () => openRaster(dosDate(2031, 2, 1), png(timeChunk(2031, 3, 2))),
    ],
  ])('is %s', async (_what, name, bytes) => {
    expect(await statedBy(name, await bytes())).toBe('2031-03-02');
  });

  it.each<[string, string, () => Buffer | Promise<Buffer>]>([
    ['nothing is written', 'p.tif', () => tiff({})],
    ['the date is blank', 'p.tif', () => tiff({ 306: ascii('    :  :     :  :  ') })],
    ['the clock was never set', 'p.tif', () => tiff({ 306: ascii('1970:01:01 00:00:00') })],
    ['the date is a number', 'p.tif', () => tiff({ 306: long(20310302) })],
    ['the EXIF directory is said to lie beyond the file', 'p.tif', () => tiff({ 34665: long(4_000_000) })],
    ['the EXIF directory is said to be the header', 'p.tif', () => tiff({ 34665: long(0) })],
    ['the month does not exist', 'p.png', () => png(timeChunk(2031, 13, 2))],
    ['the time is cut short', 'p.png', () => png(['tIME', Buffer.from([7, 239, 3])])],
    ['a text says when in words', 'p.png', () => png(textChunk('Creation Time', 'last winter'))],
    ['the EXIF block is noise', 'p.jpg', () => jpeg(Buffer.from('MM\0*\xff\xff\xff\xffnoise', 'latin1'))],
    ['the archive knows no time', 'p.ora', () => openRaster(dosDate(1980, 1, 1))],
  ])('is none where %s, and the picture is read all the same', async (_what, name, bytes) => {
    expect(await statedBy(name, await bytes())).toBeUndefined();
  });

  it('is looked for in no more than a few letters, however many a hostile file claims', async () => {
    const bytes = tiff({ 306: ascii('2031:03:02 10:20:30') });
    const directory = bytes.readUInt32LE(4);
    const entries = Array.from({ length: bytes.readUInt16LE(directory) }, (_, i) => directory + 2 + 12 * i);
    const entry = entries.find((at) => bytes.readUInt16LE(at) === 306) ?? 0;
    bytes.writeUInt32LE(0xfffffff0, entry + 4);
    // What is claimed ends beyond the file, and so do the letters that are looked at.
    expect(await statedBy('p.tif', bytes)).toBeUndefined();
    expect(await statedBy('p.tif', Buffer.concat([bytes, Buffer.alloc(64)]))).toBe('2031-03-02');
  });
});

describe('a day in a text', () => {
  it.each([
    ['2031:03:02 10:20:30', '2031-03-02'],
    ['2031-03-02', '2031-03-02'],
    ['2032-02-29T00:00:00Z', '2032-02-29'],
    ['Sun, 2 Mar 2031 10:20:30 GMT', '2031-03-02'],
    ['02 Mar 2031', '2031-03-02'],
    ['2031-02-29', undefined],
    ['2031-3-2', undefined],
    ['2031-03-022', undefined],
    ['2 Mrz 2031', undefined],
    ['0000:00:00 00:00:00', undefined],
    ['', undefined],
  ])('%j is %s', (text, day) => {
    expect(statedDay(text)).toBe(day);
  });

  it('is the latest of several, and none of none', () => {
    expect(latestDay(['2031-03-02', undefined, '2030-12-31'])).toBe('2031-03-02');
    expect(latestDay([undefined])).toBeUndefined();
    expect([dayOf(1980, 1, 1), dayOf(1980, 1, 2), dayOfDosDate(0)]).toEqual([
      undefined,
      '1980-01-02',
      undefined,
    ]);
  });
});
