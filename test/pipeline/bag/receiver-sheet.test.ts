import { createHash } from 'node:crypto';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { parseJob } from '../../../config/load-job.js';
import { type Delivery, deliver } from '../../../pipeline/bag/deliver.js';
import type { ReceiverFacts } from '../../../pipeline/bag/receiver-facts.js';
import { receiverNote } from '../../../pipeline/bag/receiver-note.js';
import { receiverSheet } from '../../../pipeline/bag/receiver-sheet.js';
import { verifyBag } from '../../../pipeline/bag/verify.js';
import { pagesHere } from '../../helpers/pages-here.js';
import { drawn } from '../../helpers/rasters.js';
import { pdfPagesText } from '../../helpers/sheet-text.js';
import { openSmallIssue, type SmallIssue, tiffOf } from '../../helpers/small-issue.js';
import { readZip } from '../../helpers/zip-parts.js';

const jobYaml = `
issue: QRY02
title: Die Glocken – Колокола
units: mm
print: { trim: [50, 70], bleed: 3, safe: 5, colourPpi: 72, linePpi: 144, proofPpi: 36, press: cgats-tr006 }
extraInks: [{ id: varnish, words: [gloss], name: Gloss Varnish, shownAs: [10, 0, 0, 0], bits: 8 }]
kinds: { interior: { inks: [black], inkLimitConfirmed: true } }
pages:
  - page: cover
    accept: { line-empty: "a painted cover" }
  - page: 1
`;

const sha256 = (bytes: Uint8Array) => createHash('sha256').update(bytes).digest('hex');
const withoutBlanks = (text: string) => text.replace(/\s/g, '');

describe("the receiver's sheet of a delivery", () => {
  let issue: SmallIssue;
  let first: Delivery;
  const partsOf = async ({ path }: Delivery) => readZip(await readFile(join(issue.folder, path)));
  const part = async (delivery: Delivery, name: string) => {
    const found = (await partsOf(delivery)).find((one) => one.name.endsWith(`/${name}`));
    if (found === undefined) throw new Error(`${name} is not in the bundle`);
    return found.data;
  };
  const go = (more: string, options = {}) =>
    deliver(parseJob(`${jobYaml}${more}`, issue.folder), {
      runner: pagesHere,
      date: '2026-11-20',
      ...options,
    });

  beforeAll(async () => {
    issue = await openSmallIssue(jobYaml);
    for (const name of ['cover.tif', 'p1.tif']) {
      const page = drawn(159, 215, 'rgb', (x, y) => [(x + name.length * 9) & 255, 200 - (y >> 2), 90]);
      await issue.drop(name, await tiffOf(page, 72));
    }
    const gloss = drawn(159, 215, 'grey', (x) => [x > 60 && x < 90 ? 0 : 255]);
    await issue.drop('cover gloss.tif', await tiffOf(gloss, 72));
    first = await go('');
  });
  afterAll(() => issue.remove());

  test('says all that its text says, and the checksum of the manifest', async () => {
    const [pages, note, manifest] = [
      await pdfPagesText(await part(first, 'receiver-sheet.pdf')),
      String(await part(first, 'READ-ME.txt')),
      await part(first, 'manifest-sha256.txt'),
    ];
    expect(pages).toHaveLength(1);
    const sheet = withoutBlanks(pages.join('\n'));
    const lines = note.split('\n').filter((line) => line.trim() !== '');
    expect(lines.length).toBeGreaterThan(25);
    for (const line of lines) expect(sheet).toContain(withoutBlanks(line));
    expect(sheet).toContain(`SHA-256ofmanifest-sha256.txt:${sha256(manifest)}`);
  });

  test('names extra inks, their plates, and that they overprint', async () => {
    const note = String(await part(first, 'READ-ME.txt')).replace(/\s+/g, ' ');
    expect(note).toContain('Extra ink Gloss Varnish, page cover: its plate is plates/..._varnish.tif');
    expect(note).toContain('It overprints; nothing is cleared beneath it.');
    const names = (await partsOf(first)).map(({ name }) => name);
    expect(names.filter((name) => name.includes('/plates/'))).toEqual([
      expect.stringMatching(/_varnish\.tif$/),
    ]);
  });

  test('stands beside the payload, and the tag manifest vouches for it', async () => {
    const lines = String(await part(first, 'tagmanifest-sha256.txt')).split('\n');
    expect(lines).toContain(`${sha256(await part(first, 'receiver-sheet.pdf'))}  receiver-sheet.pdf`);
    expect(String(await part(first, 'manifest-sha256.txt'))).not.toContain('receiver-sheet.pdf');
    expect(await verifyBag(join(issue.folder, first.path))).toMatchObject({ ok: true, warnings: [] });
  });

  test('tells of each kind its size, paper, inks, and whether its ink limit is confirmed', async () => {
    const note = String(await part(first, 'READ-ME.txt')).replace(/\n {4}/g, ' ');
    const kinds = note.split('How to print ').slice(1);
    expect(kinds[0]).toMatch(/^cover: page cover\nTrim: 50 x 70 mm \(1\.969 x 2\.756 in\)/);
    expect(kinds[0]).toMatch(/Bleed: 3 mm \(0\.118 in\).*Safe: 5 mm \(0\.197 in\)/);
    expect(kinds[0]).toMatch(/Press condition: .*; paper: coated/);
    expect(kinds[0]).toMatch(
      /Inks: cyan, magenta, yellow, black\.\nInk limit: .* Not confirmed by your printer\./,
    );
    expect(kinds[1]).toMatch(/^interior: page 1\n/);
    expect(kinds[1]).toMatch(/Inks: black alone; a grey page\.\nInk limit: .* Confirmed by your printer\./);
  });

  test('goes with PDF, composite, proofs and the plate of the extra ink, and tells of no other plates', async () => {
    const names = (await partsOf(first)).map(({ name }) => name.replace('QRY02-1/data/', ''));
    expect(names.filter((name) => /^(?:pdf|press|plates|proofs)\//.test(name))).toEqual([
      ...['pdf/QRY02_1.pdf', 'pdf/QRY02_all-pages.pdf', 'pdf/QRY02_cover.pdf'],
      'plates/QRY02_cover_varnish.tif',
      ...['press/QRY02_1.tif', 'press/QRY02_cover.tif'],
      ...['proofs/QRY02_1_proof.png', 'proofs/QRY02_cover_proof.png'],
    ]);
    expect(String(await part(first, 'READ-ME.txt'))).not.toMatch(/plates\/(?!\.\.\._varnish\.tif)/);
    expect(JSON.parse(String(await part(first, 'delivery.json'))).files).toEqual([
      ...['pdf', 'composite', 'line', 'proofs'],
    ]);
  });

  test('of the same pages with other kinds of files is a new one, which warns of plates without line', async () => {
    const second = await go('delivery: {files: [plates, line]}');
    expect(second).toMatchObject({ isNew: true, number: 2 });
    const names = (await partsOf(second)).map(({ name }) => name.replace('QRY02-2/data/', ''));
    expect(names.filter((name) => /^(?:pdf|press|proofs)\/|contact/.test(name))).toEqual([]);
    expect(names.filter((name) => name.startsWith('plates/'))).toHaveLength(6);
    const note = String(await part(second, 'READ-ME.txt')).replace(/\n {6}/g, ' ');
    expect(note).toMatch(/page cover: the same working pages, in other kinds of files\n {2}page 1: the same/);
    expect(note).toMatch(/NEVER PRINT FROM THE PLATES ALONE, pages cover, 1: .* from the _line file/);
    expect(await go('delivery: {files: [plates, line]}')).toMatchObject({ isNew: false, number: 2 });
  });

  test('of a supplement says that the delivery beneath it holds other kinds of files', async () => {
    const supplement = await go('delivery: {files: [composite]}', { pages: ['1'] });
    expect(supplement).toMatchObject({ kind: 'supplement', number: 3, alsoChanged: [] });
    expect(String(await part(supplement, 'READ-ME.txt'))).toContain(
      'It holds other kinds of files than QRY02-2, which holds line, plates.',
    );
    const withPdf = await go('', { pages: ['1'] });
    const note = String(await part(withPdf, 'READ-ME.txt'));
    expect(note).toMatch(/^pdf\/: PDF\/X/m);
    expect(note).not.toMatch(/all-pages|contact-sheet/);
  });

  test('is new as well where nothing but a confirmed ink limit is', async () => {
    const plain = await go('');
    const confirmed = jobYaml.replace('press:', 'inkLimitConfirmed: true, press:');
    const job = parseJob(confirmed, issue.folder);
    const next = await deliver(job, { runner: pagesHere, date: '2026-11-20' });
    expect([plain.isNew, next.isNew, next.changes.map(({ page, change }) => [page, change])]).toEqual([
      ...[true, true],
      [['cover', 'remarks']],
    ]);
  });
});

describe('a sheet', () => {
  let folder = '';
  let thumbnail = '';
  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'receiver-sheet-'));
    thumbnail = join(folder, 'page.png');
    await sharp({ create: { width: 44, height: 68, channels: 3, background: '#a40' } })
      .png()
      .toFile(thumbnail);
  });
  afterAll(() => rm(folder, { recursive: true, force: true }));

  const factsOf = (title: string, count: number): ReceiverFacts => ({
    ...{ issue: 'QRY02', title, delivery: 'Delivery 1 of 2026-11-20: the whole issue.', day: '2026-11-20' },
    sections: [{ heading: 'A section', lines: ['A line.', '  One below it.'] }],
    checksums: ['Check it.'],
    pages: Array.from({ length: count }, (_, i) => ({
      ...{ page: `${i + 1}`, numbers: [i + 1], aspect: 44 / 68, toLookAt: i === 2, thumbnail },
    })),
  });

  test.each([
    [28, 1],
    [200, 7],
  ])('of %i pages shows each of them with its number, on %i sheets', async (count, sheets) => {
    const pages = await pdfPagesText(await receiverSheet(factsOf('QRY02', count), 'ab'.repeat(32)));
    expect(pages).toHaveLength(sheets);
    const labels = pages
      .join('\n')
      .split('\n')
      .filter((line) => /^\d+(?: LOOK)?$/.test(line));
    const numbers = Array.from({ length: count }, (_, i) => (i === 2 ? '3 LOOK' : `${i + 1}`));
    expect(labels).toEqual(numbers);
  });

  test('has the same bytes on every run', async () => {
    const [one, other] = [
      await receiverSheet(factsOf('QRY02', 9), 'ab'.repeat(32)),
      await receiverSheet(factsOf('QRY02', 9), 'ab'.repeat(32)),
    ];
    expect(sha256(one)).toBe(sha256(other));
  });

  test('has titles in Cyrillic and with accents as they are, and tells in words what its font lacks', async () => {
    const facts = factsOf('Größe, Колокола, 灯台 und 灯台下暗し', 1);
    const [page] = await pdfPagesText(await receiverSheet(facts, 'ab'.repeat(32)));
    expect(page).toContain('Größe, Колокола, [U+706F U+53F0] und [5 signs that this font lacks]\n');
    expect(page).toContain('data/READ-ME.txt has them');
    expect(receiverNote(facts)).toContain('灯台下暗し');
  });

  test('leaves nothing out of a title that is too long for a line, nor of a word that is', async () => {
    const title = `QRY02: ${'An endless title '.repeat(12)}${'x'.repeat(300)}`;
    const [page] = await pdfPagesText(await receiverSheet(factsOf(title, 1), 'ab'.repeat(32)));
    expect(withoutBlanks(page)).toContain(withoutBlanks(title));
  });

  test('names the page whose small picture is gone', async () => {
    const facts = factsOf('QRY02', 1);
    const gone = { ...facts, pages: [{ ...facts.pages[0], thumbnail: join(folder, 'gone.png') }] };
    await expect(receiverSheet(gone, '')).rejects.toMatchObject({
      code: 'bundle-failed',
      what: expect.stringMatching(/small picture of page 1/),
    });
  });
});
