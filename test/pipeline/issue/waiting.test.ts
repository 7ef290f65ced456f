import { readdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { readStatus } from '../../../pipeline/index.js';
import { runIssue } from '../../../pipeline/issue/run-issue.js';
import { boxIn, painted } from '../../helpers/drawn-flats.js';
import { pagesHere } from '../../helpers/pages-here.js';
import { drawn } from '../../helpers/rasters.js';
import {
  colourPage,
  inksPage,
  inksTiffOf,
  lineSize,
  openSmallIssue,
  pngOf,
  type SmallIssue,
  smallHead,
  tiffOf,
} from '../../helpers/small-issue.js';

/** Colour at 50 ppi, half of what the spec asks for. */
const coarse = drawn(110, 150, 'rgb', (x, y) => [40 + x, 60 + y, 140]);

describe('a page that waits for a part', () => {
  let issue: SmallIssue;
  beforeEach(async () => {
    issue = await openSmallIssue(`${smallHead}pages:\n  - pages: 1-2\n`);
  });
  afterEach(() => issue.remove());

  const run = () => runIssue(issue.job, { runner: pagesHere });
  const pageOf = async (id: string, report = run()) => (await report).pages.find(({ page }) => page === id);
  const made = (folder: string) => readdir(join(issue.folder, folder)).catch(() => []);

  it('has its inks inspected on the day they come, and is proofed without its colour', async () => {
    await issue.drop('QRY02_p1_inks.tif', await inksTiffOf(inksPage()));
    const page = await pageOf('1');
    expect(page).toMatchObject({ state: 'waiting', why: 'waits for colour; line is there' });
    expect(page?.outputs.map(({ name }) => name)).toContain('QRY02_1_proof.png');
    expect(await made('proofs')).toContain('QRY02_1_proof.png');
    expect(await made('press')).toEqual([]);
    expect(page?.measures?.linePpi).toBeCloseTo(200, 0);
  });

  it('says at once what is wrong with them, and goes on waiting', async () => {
    await issue.drop('QRY02_p1_colour.tif', await tiffOf(coarse));
    const page = await pageOf('1');
    expect(page?.findings).toMatchObject([{ code: 'colour-ppi-low', severity: 'stop' }]);
    expect(page?.state).toBe('waiting');
    expect(page?.why).toMatch(/^waits for line; colour is there; to look at first: The colour has fewer/);
  });

  it('shows in the status what was found, without any work', async () => {
    await issue.drop('QRY02_p1_colour.tif', await tiffOf(coarse));
    await run();
    const { report } = await readStatus(issue.job);
    expect(report.pages[0]).toMatchObject({ state: 'waiting', findings: [{ code: 'colour-ppi-low' }] });
    expect(report.pages[1]).toMatchObject({ state: 'missing', findings: [] });
  });

  it('has no ink lifted from its colour, and nothing told that only a whole page shows', async () => {
    await issue.drop('QRY02_p1_colour.tif', await tiffOf(inksPage()));
    const codes = (await pageOf('1'))?.findings.map(({ code }) => code) ?? [];
    expect(codes).not.toContain('black-lifted');
    expect(codes).not.toContain('plates-open');
  });

  it('is not inspected twice, and is made as any other when the part has come', async () => {
    await issue.drop('QRY02_p1_inks.tif', await inksTiffOf(inksPage()));
    expect((await run()).workedOn).toEqual(['1']);
    expect((await run()).workedOn).toEqual([]);
    await issue.drop('QRY02_p1_colour.tif', await tiffOf(colourPage()));
    const report = await run();
    expect(report.workedOn).toEqual(['1']);
    expect(await made('press')).toEqual(['QRY02_1.tif', 'QRY02_1_line.tif']);
    const alone = await openSmallIssue(`${smallHead}pages:\n  - pages: 1-2\n`);
    await alone.drop('QRY02_p1_inks.tif', await inksTiffOf(inksPage()));
    await alone.drop('QRY02_p1_colour.tif', await tiffOf(colourPage()));
    const straight = await runIssue(alone.job, { runner: pagesHere });
    await alone.remove();
    const sums = ({ pages }: typeof report) => pages[0].outputs.map(({ name, sha256 }) => [name, sha256]);
    expect(sums(report)).toEqual(sums(straight));
  });

  it('keeps what was made of it before, when a part is taken away', async () => {
    await issue.drop('QRY02_p1_inks.tif', await inksTiffOf(inksPage()));
    await issue.drop('QRY02_p1_colour.tif', await tiffOf(colourPage()));
    await run();
    await rm(join(issue.folder, 'incoming', 'QRY02_p1_colour.tif'));
    const page = await pageOf('1');
    expect(page?.state).toBe('waiting');
    expect(page?.standsMeanwhile?.used.map(({ part }) => part)).toEqual(['colour', 'line']);
    expect(await made('press')).toEqual(['QRY02_1.tif', 'QRY02_1_line.tif']);
  });

  it('of which a file cannot be read tells that, and the others go on', async () => {
    await issue.drop('QRY02_p1_inks.tif', Buffer.from('no picture'));
    await issue.drop('QRY02_p2_inks.tif', await inksTiffOf(inksPage()));
    const report = await run();
    expect(report.pages.map(({ state }) => state)).toEqual(['waiting', 'waiting']);
    expect(report.pages[0].findings).toMatchObject([{ severity: 'stop', file: 'QRY02_p1_inks.tif' }]);
    expect(report.pages[1].outputs.map(({ role }) => role)).toContain('proof');
  });

  it('has its flats inspected for whoever laid them, until its colour is there', async () => {
    const { width, height } = lineSize;
    const halves = drawn(width, height, 'rgb', (x) => (x < 220 ? [200, 30, 40] : [30, 60, 190]));
    const soft = painted(halves, boxIn(220, 30, 1, 300, [115, 45, 115]));
    await issue.drop('QRY02_p1_flats.png', await pngOf(soft));
    const page = await pageOf('1');
    expect(page).toMatchObject({ state: 'waiting', missing: ['colour', 'line'] });
    expect(page?.findings.map(({ code, file }) => [code, file])).toEqual([
      ['flats-soft', 'QRY02_p1_flats.png'],
    ]);
    expect(await made('proofs')).toContain('QRY02_1_flats-report.png');
    await issue.drop('QRY02_p1_colour.tif', await tiffOf(colourPage()));
    await issue.drop('QRY02_p1_inks.tif', await inksTiffOf(inksPage()));
    expect((await pageOf('1'))?.findings.filter(({ code }) => code.startsWith('flats'))).toEqual([]);
    expect(await made('proofs')).not.toContain('QRY02_1_flats-report.png');
  });
});
