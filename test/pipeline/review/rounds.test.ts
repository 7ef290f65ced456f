import { mkdir, readdir, readFile, stat, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { PDFName, PDFRawStream } from '@cantoo/pdf-lib';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { parseJob } from '../../../config/load-job.js';
import { deliver } from '../../../pipeline/bag/deliver.js';
import { compareIssue } from '../../../pipeline/review/compare-issue.js';
import { type FrozenRound, freezeRound } from '../../../pipeline/review/freeze-round.js';
import { readRounds } from '../../../pipeline/rounds/round-record.js';
import { takeLock } from '../../../pipeline/store/lock.js';
import { openMadeIssue } from '../../helpers/made-issue.js';
import { pagesHere } from '../../helpers/pages-here.js';
import { type ReadPdf, readPdf, tableOf } from '../../helpers/read-pdf.js';
import { colourPage, type SmallIssue, smallJob, tiffOf } from '../../helpers/small-issue.js';

/** What is done in these tests goes on from one to the next, as the rounds of an issue do. */
let issue: SmallIssue;
let first: FrozenRound;
const runner = { runner: pagesHere };
const bytesOf = (path: string) => readFile(join(issue.folder, path));

beforeAll(async () => {
  issue = await openMadeIssue();
  first = await freezeRound(issue.job, runner);
});
afterAll(() => issue.remove());

/** A page on which a red box was painted. */
function painted() {
  const page = colourPage();
  for (let y = 100; y < 160; y++) page.data.fill(20, (y * page.width + 100) * 3, (y * page.width + 200) * 3);
  return tiffOf(page);
}

describe('a first round', () => {
  test('holds the pages as they are, and all that an editor needs', async () => {
    expect(first).toMatchObject({
      round: 1,
      before: undefined,
      summary: 'First round: 4 pages',
      comparisons: [],
    });
    expect((await readdir(join(issue.folder, 'rounds', '1'))).sort()).toEqual([
      'contact-sheet.png',
      'notes.csv',
      'notes.yaml',
      'pages',
      'proofs.pdf',
      'round.json',
    ]);
    const [record] = await readRounds(issue.folder);
    expect(record.pages.map(({ page, change }) => [page, change])).toEqual(
      ['cover', '1', '2', '3'].map((page) => [page, 'new']),
    );
    for (const { files } of record.pages) {
      expect(files.map(({ role }) => role)).toEqual(['composite', 'line', 'proof']);
      for (const { path, bytes } of files) {
        expect((await stat(join(issue.folder, 'rounds', '1', path))).size).toBe(bytes);
      }
    }
    expect(String(await bytesOf('rounds/1/notes.csv'))).toContain('cover');
  });

  test('takes no room for press files that lie in press/ already', async () => {
    const inode = async (path: string) => (await stat(join(issue.folder, path))).ino;
    expect(await inode('rounds/1/pages/QRY02_1.tif')).toBe(await inode('press/QRY02_1.tif'));
  });
});

describe('the proofs of a round', () => {
  let pdf: ReadPdf;
  beforeAll(async () => {
    pdf = await readPdf(await bytesOf('rounds/1/proofs.pdf'));
  });

  test('are one PDF in reading order, facing pages on one sheet', () => {
    expect(pdf.document.getPageCount()).toBe(3);
    const labels = [1, 3, 5].map((at) => pdf.said('Root', 'PageLabels', 'Nums', at, 'P'));
    expect(labels).toEqual(['(cover)', '(1)', '(2-3)']);
    const [, single, facing] = pdf.document.getPages().map((page) => page.getWidth());
    expect(facing).toBeGreaterThan(1.5 * single);
    for (const { id, begins } of tableOf(pdf.text)) expect(begins).toMatch(new RegExp(`^${id} 0 obj`));
  });

  test('are JPEG in RGB, as large as the proofs', async () => {
    const resources = pdf.at('Page', 2, 'Resources', 'XObject');
    expect(resources?.toString()).toMatch(/P0.*P1/s);
    const image = pdf.stream('Page', 2, 'Resources', 'XObject', 'P1');
    expect(image).toBeInstanceOf(PDFRawStream);
    const said = (key: string) => image.dict.get(PDFName.of(key))?.toString();
    expect([said('Filter'), said('ColorSpace')]).toEqual(['/DCTDecode', '/DeviceRGB']);
    const jpeg = await sharp(image.contents).metadata();
    const proof = await sharp(await bytesOf('rounds/1/pages/QRY02_3_proof.png')).metadata();
    expect([jpeg.width, jpeg.height, jpeg.format]).toEqual([proof.width, proof.height, 'jpeg']);
    expect([said('Width'), said('Height')]).toEqual([String(jpeg.width), String(jpeg.height)]);
  });

  test('have bookmarks for scenes, with their pages below', () => {
    const title = (...path: string[]) => pdf.said('Root', 'Outlines', ...path, 'Title');
    expect(title('First')).toMatch(/cover: done/);
    expect(title('Last')).toBe('(The quarry at noon)');
    expect(title('Last', 'First')).toMatch(/Page 1: done/);
    expect(title('Last', 'First', 'Next', 'Next')).toMatch(/Page 3/);
    expect(pdf.said('Root', 'Outlines', 'Count')).toBe('5');
    expect(pdf.at('Root', 'Outlines', 'Last', 'Last', 'Dest', 0)).toBe(pdf.document.getPages()[2].node);
  });
});

describe('pages since a round', () => {
  test('are unchanged where a file came again in other bytes, and changed where pixels are others', async () => {
    const [again, changed] = [
      await sharp(await tiffOf(colourPage()))
        .tiff({ compression: 'deflate' })
        .keepIccProfile()
        .toBuffer(),
      await painted(),
    ];
    await issue.drop('QRY02_p01_colour_v3.tif', again);
    const { pages } = await compareIssue(issue.job, { ...runner, pages: ['1'] });
    expect(pages).toMatchObject([{ page: '1', verdict: 'unchanged', pictures: [], files: [] }]);
    expect(pages[0].why).toBe('It is made of other files, which hold the same picture');

    await issue.drop('QRY02_p01_colour_v4.tif', changed);
    const compared = await compareIssue(issue.job, runner);
    expect(compared).toMatchObject({ since: { name: 'round 1' }, unchanged: 3 });
    const page = compared.pages[1];
    expect(page).toMatchObject({ page: '1', verdict: 'changed' });
    expect(page.before.map(({ name }) => name)).toContain('QRY02_p01_colour_v2.tif');
    expect(page.now.map(({ name }) => name)).toContain('QRY02_p01_colour_v4.tif');
    const [{ colour, line, places }] = page.pictures;
    expect(line).toBeUndefined();
    expect(colour?.meanDe).toBeGreaterThan(10);
    expect(places).toHaveLength(1);
    // 100 to 200 of 441 pixels that are 56 mm wide, 3 mm of them bleed.
    expect(places[0].xMm).toBeCloseTo(100 * (25.4 / 200) - 3, -0.3);
    const picture = await sharp(await bytesOf(page.files[0])).metadata();
    expect(picture.format).toBe('png');
    expect(page.files).toEqual(['rounds/changes/QRY02_1_since-round-1.png']);
  });

  test('are told in the report, with boxes', async () => {
    const report = JSON.parse(String(await bytesOf('report/report.json')));
    const page = report.pages.find((one: { page: string }) => one.page === '1');
    expect(page.since).toMatchObject({ round: 1, verdict: 'changed', placesInAll: 1 });
    expect(page.since.places[0].box.leftPercent).toBeGreaterThan(15);
    expect(report.pages[2].since).toBeNull();
    expect(String(await bytesOf('report/report.html'))).toContain('Changed since round 1');
  });

  test('are marked in the next round, which says what is missing', async () => {
    const job = parseJob(`${smallJob}  - page: "4"\n`, issue.folder);
    const second = await freezeRound(job, runner);
    expect(second.summary).toBe('1 page changed since round 1, 0 new, 3 unchanged, 1 not there');
    expect(second.pages.map(({ change }) => change)).toEqual([
      ...['unchanged', 'changed', 'unchanged', 'unchanged', 'absent'],
    ]);
    const pdf = await readPdf(await bytesOf('rounds/2/proofs.pdf'));
    expect(pdf.document.getPageCount()).toBe(4);
    expect(pdf.said('Page', 3, 'Resources', 'XObject')).not.toMatch(/P0/);
    const again = await freezeRound(job, runner);
    expect(again).toMatchObject({
      round: 3,
      summary: 'Nothing has changed since round 2: 4 pages, 1 not there',
    });
  });

  test('what another hand has written to is not compared, and told', async () => {
    const { size } = await stat(join(issue.folder, 'rounds/1/pages/QRY02_1.tif'));
    await writeFile(join(issue.folder, 'rounds/1/pages/QRY02_1.tif'), Buffer.alloc(size));
    await writeFile(join(issue.folder, '.platehand/comparisons.json'), '');
    const { pages } = await compareIssue(issue.job, { ...runner, round: 1, pages: ['1'] });
    expect(pages[0].verdict).toBe('unknown');
    expect(pages[0].why).toMatch(/rounds\/1\/pages\/QRY02_1\.tif: somebody has written to it/);
    await expect(compareIssue(issue.job, { ...runner, round: 9 })).rejects.toThrow(/no round 9/);
  });
});

describe('a round that is begun beside another', () => {
  test('is refused, with who is at it', async () => {
    const lock = await takeLock(join(issue.folder, '.platehand', 'round.lock'), 'platehand round', 0);
    await expect(freezeRound(issue.job, runner)).rejects.toMatchObject({ code: 'lock-held' });
    await lock.release();
    expect(await readRounds(issue.folder)).toHaveLength(3);
  });

  test('never takes what was left unfinished for a round, and clears it away', async () => {
    // Of this machine, by a process that is gone: process numbers are lower than this.
    const { ownerTag } = await import('../../../pipeline/files/owner.js');
    const dead = `.4.${ownerTag.replace(/\d+$/, '4194304')}.part`;
    await mkdir(join(issue.folder, 'rounds', dead));
    // A folder that has lost its record may hold somebody's notes: it is left alone, and its number is not given again.
    await mkdir(join(issue.folder, 'rounds', '7'));
    const { round, before } = await freezeRound(issue.job, runner);
    expect([round, before]).toEqual([8, 3]);
    expect((await readdir(join(issue.folder, 'rounds'))).sort()).toEqual([
      '1',
      '2',
      '3',
      '7',
      '8',
      'changes',
    ]);
  });
});

describe('pages since a delivery', () => {
  test('are compared with what the bundle holds', async () => {
    const delivery = await deliver(issue.job, { ...runner, date: '2026-11-20' });
    expect(delivery.path).toBe('delivery/QRY02-1.zip');
    await issue.drop('QRY02_p01_colour_v5.tif', await tiffOf(colourPage()));
    const { since, pages, unchanged } = await compareIssue(issue.job, { ...runner, delivery: 1 });
    expect(since).toEqual({ kind: 'delivery', number: 1, name: 'delivery QRY02-1' });
    expect(unchanged).toBe(3);
    expect(pages[1]).toMatchObject({
      verdict: 'changed',
      files: ['rounds/changes/QRY02_1_since-delivery-1.png'],
    });
    await expect(compareIssue(issue.job, { ...runner, delivery: 2 })).rejects.toThrow(/no delivery 2/);
  });
});
