import { createHash } from 'node:crypto';
import {
  access,
  open,
  readdir,
  readFile,
  rename,
  rm,
  stat,
  symlink,
  utimes,
  writeFile,
} from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterEach, describe, expect, test, vi } from 'vitest';
import { loadJob } from '../../../config/load-job.js';
import { deliver } from '../../../pipeline/bag/deliver.js';
import { IncompleteIssueError } from '../../../pipeline/bag/refusals.js';
import { verifyBag } from '../../../pipeline/bag/verify.js';
import { writeFailed } from '../../../pipeline/files/disk-trouble.js';
import { type RunEvent, runIssue } from '../../../pipeline/issue/run-issue.js';
import { readStatus } from '../../../pipeline/issue/status.js';
import type { PageRunner } from '../../../pipeline/runner/page-runner.js';
import { FileHashes } from '../../../pipeline/store/file-hashes.js';
import { runText } from '../../../watch/commands/report-text.js';
import { rgbProfile, widePrimaries } from '../../helpers/icc-writer.js';
import { openMadeIssue } from '../../helpers/made-issue.js';
import { pagesHere } from '../../helpers/pages-here.js';
import { drawn, pixelAt } from '../../helpers/rasters.js';
import {
  colourPage,
  dropAll,
  inksPage,
  inksTiffOf,
  lineSize,
  openSmallIssue,
  type SmallIssue,
  smallJob,
  tiffOf,
} from '../../helpers/small-issue.js';
import { readZip } from '../../helpers/zip-parts.js';

/** Prepares pages in this process, which is quicker for small ones than starting others. */

let issue: SmallIssue | undefined;
afterEach(async () => {
  vi.restoreAllMocks();
  await issue?.remove();
  issue = undefined;
});

async function openWithPages(jobYaml?: string): Promise<SmallIssue> {
  issue = await openSmallIssue(jobYaml);
  await dropAll(issue);
  return issue;
}

/** As a run of all pages has left it. */
async function openMade(): Promise<SmallIssue> {
  issue = await openMadeIssue();
  return issue;
}

const exists = (path: string) =>
  access(path).then(
    () => true,
    () => false,
  );
const hashOf = async (path: string) =>
  createHash('sha256')
    .update(await readFile(path))
    .digest('hex');

describe('a run of an issue', () => {
  test('makes press files, plates, proofs and a contact sheet of every page', async () => {
    const { job, folder } = await openWithPages();
    const report = await runIssue(job, { runner: pagesHere });
    expect(report.pages.map(({ page, state }) => `${page} ${state}`)).toEqual([
      'cover done',
      '1 done',
      '2 attention',
      '3 done',
    ]);
    expect((await readdir(join(folder, 'press'))).sort()).toEqual(
      ['1', '2', '3', 'cover'].flatMap((page) => [`QRY02_${page}.tif`, `QRY02_${page}_line.tif`]).sort(),
    );
    expect(await readdir(join(folder, 'plates'))).toHaveLength(16);
    expect((await readdir(join(folder, 'pdf'))).sort()).toEqual(
      ['1', '2', '3', 'all-pages', 'cover'].map((page) => `QRY02_${page}.pdf`),
    );
    expect(await readdir(join(folder, 'proofs'))).toHaveLength(5);
    expect(report.contactSheet).toBe('proofs/contact-sheet.png');
  });

  test('leaves incoming/ as it was', async () => {
    const { job, folder } = await openWithPages();
    const incoming = join(folder, 'incoming');
    const look = async () =>
      Promise.all(
        (await readdir(incoming)).map(
          async (name) =>
            `${name} ${await hashOf(join(incoming, name))} ${(await stat(join(incoming, name))).mtimeMs}`,
        ),
      );
    const before = await look();
    await runIssue(job, { runner: pagesHere });
    expect(await look()).toEqual(before);
  });

  test('does no page work the second time, and says so', async () => {
    const { job } = await openWithPages();
    await runIssue(job, { runner: pagesHere });
    const events: RunEvent[] = [];
    const again = await runIssue(job, { runner: pagesHere, onEvent: (event) => events.push(event) });
    expect(again.workedOn).toEqual([]);
    expect(events).toEqual([{ kind: 'planned', toDo: [], unchanged: ['cover', '1', '2', '3'] }]);
    expect(again.pages.map(({ outputs }) => outputs.length)).toEqual([12, 12, 12, 12]);
  });

  test('works on a changed page and on no other', async () => {
    const { job, drop } = await openMade();
    await drop('QRY02_p01_colour_v3.tif', await tiffOf(colourPage(60)));
    const again = await runIssue(job, { runner: pagesHere });
    expect(again.workedOn).toEqual(['1']);
    expect(again.superseded.map(({ name }) => name)).toEqual(['QRY02_p01_colour_v2.tif']);
  });

  test('puts back a press file that somebody has deleted or written to', async () => {
    const { job, folder } = await openMade();
    const path = join(folder, 'press', 'QRY02_1.tif');
    const good = await hashOf(path);
    await writeFile(path, 'scribble');
    await runIssue(job, { runner: pagesHere });
    expect(await hashOf(path)).toBe(good);
  });

  test('leaves the last good version of a page in place while newer ones are broken, and takes it away with its files', async () => {
    const { job, folder, drop } = await openMade();
    const press = join(folder, 'press', 'QRY02_1.tif');
    const good = await readFile(press);
    const names = await readdir(join(folder, 'press'));
    // More broken versions than results are kept.
    for (const version of [3, 4, 5, 6]) {
      const cut = (await tiffOf(colourPage(60))).subarray(0, 4000 + version);
      await drop(`QRY02_p01_colour_v${version}.tif`, cut);
      const { pages } = await runIssue(job, { runner: pagesHere });
      expect(pages[1]).toMatchObject({ state: 'stopped', outputs: [] });
      expect(pages[1].findings[0].file).toBe(`QRY02_p01_colour_v${version}.tif`);
      expect(pages[1].standsMeanwhile?.used.map(({ part, version: of }) => [part, of])).toContainEqual([
        'colour',
        2,
      ]);
      expect((await readFile(press)).equals(good)).toBe(true);
      expect(await readdir(join(folder, 'press'))).toEqual(names);
    }
    await drop('QRY02_p01_colour_v7.tif', await tiffOf(colourPage(60)));
    const mended = await runIssue(job, { runner: pagesHere });
    expect(mended.pages[1]).toMatchObject({ state: 'done', standsMeanwhile: undefined });
    expect((await readFile(press)).equals(good)).toBe(false);
    for (const name of await readdir(join(folder, 'incoming'))) {
      if (name.includes('_p01_')) await rm(join(folder, 'incoming', name));
    }
    await runIssue(job, { runner: pagesHere });
    expect(await exists(press)).toBe(false);
    expect(await exists(join(folder, 'press', 'QRY02_2.tif'))).toBe(true);
  });

  test('stops only the page of a file that went away or may not be read', async () => {
    const { job, folder } = await openMade();
    const path = join(folder, 'incoming', 'QRY02_p01_inks.tif');
    // The superuser may read everything, so the refusal is made here.
    const hashOfFile = FileHashes.prototype.of;
    vi.spyOn(FileHashes.prototype, 'of').mockImplementation(async function (this: FileHashes, file: string) {
      if (file === path) throw Object.assign(new Error('EACCES: permission denied'), { code: 'EACCES' });
      return hashOfFile.call(this, file);
    });
    const report = await runIssue(job, { runner: pagesHere });
    expect(report.pages.map(({ state }) => state)).toEqual(['done', 'stopped', 'attention', 'done']);
    expect(report.pages[1].findings).toMatchObject([
      { code: 'picture-unreadable', file: 'QRY02_p01_inks.tif', message: 'You may not read this file' },
    ]);
    // What stood there stands until a newer one can be made; that the page is stopped keeps it out of the delivery.
    expect(await exists(join(folder, 'press', 'QRY02_1.tif'))).toBe(true);
    expect(report.pages[1].standsMeanwhile?.used.map(({ name }) => name)).toContain('QRY02_p01_inks.tif');
    expect(await exists(join(folder, 'press', 'QRY02_2.tif'))).toBe(true);
  });

  test('refuses a press profile that is no press profile before any page is there', async () => {
    const jobYaml = smallJob.replace('cgats-tr006', './screen.icc');
    issue = await openSmallIssue(jobYaml);
    await writeFile(join(issue.folder, 'screen.icc'), rgbProfile(widePrimaries, 2.2));
    await expect(runIssue(await loadJob(issue.folder), { products: [] })).rejects.toMatchObject({
      code: 'profile-invalid',
      place: { file: join(issue.folder, 'screen.icc') },
    });
  });

  test('looks without writing anything', async () => {
    const { job, folder } = await openWithPages();
    const report = await runIssue(job, { runner: pagesHere, products: [] });
    expect(report.pages[1]).toMatchObject({ state: 'ready', page: '1', why: 'Could be made' });
    expect(report.pages[1].measures?.inkAfterPercent).toBeGreaterThan(100);
    expect(await readdir(join(folder, 'press'))).toEqual([]);
    expect(await exists(join(folder, '.platehand'))).toBe(false);
  });

  test('makes only what was asked for, and the rest later', async () => {
    const { job, folder } = await openWithPages();
    await runIssue(job, { runner: pagesHere, products: ['proof'], pages: ['1'] });
    expect(await readdir(join(folder, 'press'))).toEqual([]);
    expect(await exists(join(folder, 'proofs', 'QRY02_1_proof.png'))).toBe(true);
    await runIssue(job, { runner: pagesHere });
    expect(await exists(join(folder, 'press', 'QRY02_1.tif'))).toBe(true);
  });
});

describe('what is made of a page', () => {
  test('its line plate equals the inks bit for bit, less the row and column that their export rounded up', async () => {
    const { job, folder } = await openWithPages();
    await runIssue(job, { runner: pagesHere, pages: ['1'] });
    const { data, info } = await sharp(join(folder, 'press', 'QRY02_1_line.tif'))
      .toColourspace('b-w')
      .raw()
      .toBuffer({ resolveWithObject: true });
    const inks = inksPage();
    const printed = drawn(440, 598, 'grey', (x, y) => pixelAt(inks, x, y));
    expect([info.width, info.height]).toEqual([440, 598]);
    expect(data.equals(Buffer.from(printed.data))).toBe(true);
  });

  test('its composite has the size of trim plus bleed, and black line at 100 % over the colour beneath', async () => {
    const { job, folder } = await openWithPages();
    await runIssue(job, { runner: pagesHere, pages: ['1'] });
    const { data, info } = await sharp(join(folder, 'press', 'QRY02_1.tif'), { ignoreIcc: true })
      .pipelineColourspace('cmyk')
      .toColourspace('cmyk')
      .raw()
      .toBuffer({ resolveWithObject: true });
    expect([info.width, info.height, info.channels]).toEqual([220, 299, 4]);
    const spotted = ((420 / 2) * 220 + 290 / 2) * 4;
    expect(data[Math.round(spotted / 4) * 4 + 3]).toBe(255);
    const support = [...data.subarray(Math.round(spotted / 4) * 4, Math.round(spotted / 4) * 4 + 3)];
    expect(Math.min(...support)).toBeGreaterThan(0);
    for (let i = 0; i < data.length; i += 4) {
      expect(data[i] + data[i + 1] + data[i + 2] + data[i + 3]).toBeLessThanOrEqual((320 * 255) / 100);
    }
  });
});

describe('a delivery', () => {
  test('is one verified bundle, the same bytes on every run', async () => {
    const { job, folder } = await openWithPages();
    const first = await deliver(job, { runner: pagesHere, date: '2026-11-20' });
    const report = await verifyBag(join(folder, first.path));
    expect(report.ok).toBe(true);
    const other = await openSmallIssue();
    try {
      await dropAll(other);
      const second = await deliver(other.job, { runner: pagesHere, date: '2026-11-20' });
      expect(second.bundle.sha256).toBe(first.bundle.sha256);
    } finally {
      await other.remove();
    }
  });

  test('is refused while a page is missing, and says which and what to do', async () => {
    issue = await openSmallIssue();
    await issue.drop('QRY02_p01_colour.tif', await tiffOf(colourPage()));
    const refused = await deliver(issue.job, { runner: pagesHere }).catch((thrown: unknown) => thrown);
    expect(refused).toBeInstanceOf(IncompleteIssueError);
    const { blocking, exitCode, message } = refused as IncompleteIssueError;
    expect(exitCode).toBe(3);
    expect(blocking.map(({ page }) => page)).toEqual(['cover', '1', '2', '3']);
    expect(message).toMatch(/--partial --reason/);
    expect(await readdir(join(issue.folder, 'delivery'))).toEqual([]);
  });

  test('is refused with the files that may be what is missing', async () => {
    const { job, folder } = await openWithPages();
    await rename(join(folder, 'incoming', 'QRY02_p01_inks.tif'), join(folder, 'kept elsewhere.tif'));
    await symlink(join(folder, 'kept elsewhere.tif'), join(folder, 'incoming', 'QRY02_p01_inks.tif'));
    const error = (await deliver(job, { runner: pagesHere }).catch(
      (thrown) => thrown,
    )) as IncompleteIssueError;
    expect(error).toBeInstanceOf(IncompleteIssueError);
    expect(error.message).toContain(
      '"QRY02_p01_inks.tif" is not used: a symbolic link, which is never followed',
    );
    const text = runText(error.report, (_colour, words) => words);
    expect(text).toContain('QRY02_p01_inks.tif: a symbolic link, which is never followed');
    expect(text).toContain('Copy the file itself into incoming/');
  });

  test('is refused for the disk and not for its pages when the disk is full', async () => {
    const { job } = await openWithPages();
    const full: PageRunner = {
      takesUnhashed: true,
      run: () =>
        Promise.reject(writeFailed('press/QRY02_1.tif', Object.assign(new Error(), { code: 'ENOSPC' }))),
      close: async () => undefined,
    };
    for (const options of [{}, { partial: { reason: 'the rest follows' } }]) {
      await expect(deliver(job, { runner: full, ...options })).rejects.toMatchObject({
        code: 'write-failed',
        exitCode: 2,
        remedy: expect.stringMatching(/room/),
      });
    }
  });

  test('goes out in part only with a reason, which the bundle records', async () => {
    issue = await openSmallIssue();
    await issue.drop('QRY02_p01_colour.tif', await tiffOf(colourPage()));
    await issue.drop('QRY02_p01_line.tif', await inksTiffOf(inksPage()));
    const { path, leftOut } = await deliver(issue.job, {
      runner: pagesHere,
      partial: { reason: 'the rest follows' },
    });
    expect(path).toBe('delivery/QRY02-1-partial.zip');
    expect(leftOut.map(({ page }) => page)).toEqual(['cover', '2', '3']);
    const parts = readZip(await readFile(join(issue.folder, path)));
    const textOf = (name: string) => String(parts.find((part) => part.name.endsWith(name))?.data);
    expect(textOf('bag-info.txt')).toMatch(/Partial delivery: the rest follows/);
    expect(JSON.parse(textOf('delivery.json'))).toMatchObject({
      complete: false,
      partialReason: 'the rest follows',
    });
    expect(textOf('READ-ME.txt')).toMatch(/page cover is not in it \(missing\)/);
    expect((await verifyBag(join(issue.folder, path))).ok).toBe(true);
  });

  test('holds the version before of a page only where that is asked for, and says so', async () => {
    const { job, folder, drop } = await openMade();
    const good = await hashOf(join(folder, 'press', 'QRY02_1.tif'));
    await drop('QRY02_p01_colour_v3.tif', (await tiffOf(colourPage(60))).subarray(0, 4000));
    const refused = await deliver(job, { runner: pagesHere }).catch((thrown: unknown) => thrown);
    expect((refused as Error).message).toMatch(
      /page 1 is stopped: .*the version before stands meanwhile: colour v2/,
    );
    expect((refused as Error).message).toMatch(/deliver the version before: --earlier 1/);
    const { path, kind, toLookAt } = await deliver(job, { runner: pagesHere, earlier: ['1', '2'] });
    expect(kind).toBe('whole');
    expect(toLookAt.map(({ page, code }) => `${page} ${code}`)).toContain('1 earlier-version');
    const parts = readZip(await readFile(join(folder, path)));
    const dataOf = (name: string) => parts.find((part) => part.name.endsWith(name))?.data ?? Buffer.alloc(0);
    expect(createHash('sha256').update(dataOf('press/QRY02_1.tif')).digest('hex')).toBe(good);
    const record = JSON.parse(dataOf('delivery.json').toString());
    const [first] = record.pages.filter(
      ({ id, page }: { id?: string; page?: string }) => (id ?? page) === '1',
    );
    expect(first.workingPages.map(({ version }: { version?: number }) => version)).toContain(2);
    await expect(deliver(job, { runner: pagesHere, earlier: ['2'] })).rejects.toMatchObject({
      code: 'issue-incomplete',
    });
  });

  test('makes a press file anew that somebody edited by hand, even with its time set back', async () => {
    const { job, folder } = await openWithPages();
    const first = await deliver(job, { runner: pagesHere });
    for (const name of ['press/QRY02_1.tif', 'plates/QRY02_2_cyan.tif', 'proofs/contact-sheet.png']) {
      const path = join(folder, name);
      const { atime, mtime } = await stat(path);
      const file = await open(path, 'r+');
      await file.write(Buffer.from('scribble'), 0, 8, 2000);
      await file.close();
      await utimes(path, atime, mtime);
    }
    const second = await deliver(job, { runner: pagesHere });
    expect(second.report.workedOn).toEqual(['1', '2']);
    expect(second.bundle.sha256).toBe(first.bundle.sha256);
    const made = second.report.pages[1].outputs.find(({ role }) => role === 'composite');
    expect(await hashOf(join(folder, 'press', 'QRY02_1.tif'))).toBe(made?.sha256);
  });

  test('leaves out a page that is held back', async () => {
    const { folder } = await openWithPages(`${smallJob}held:\n  - page: 3\n    reason: script rewrite\n`);
    const job = await loadJob(folder);
    const refused = (await deliver(job, { runner: pagesHere }).catch(
      (thrown: unknown) => thrown,
    )) as IncompleteIssueError;
    expect(refused.blocking).toMatchObject([{ page: '3', state: 'held' }]);
  });
});

describe('the status of an issue', () => {
  test('tells what arrived, what blocks the delivery and how long is left, and works on no page', async () => {
    const { job, drop } = await openWithPages();
    await drop('p01 flats.tif', await tiffOf(colourPage()));
    const before = await readStatus(job, Date.parse('2026-12-04T10:00:00Z'));
    expect(before).toMatchObject({ flatted: 1, flatsAhead: 0, coloured: 4, hoursToDue: 6 });
    expect(before.blocking.map(({ state }) => state)).toEqual(['ready', 'ready', 'ready', 'ready']);
    await runIssue(job, { runner: pagesHere });
    expect((await readStatus(job)).blocking).toEqual([]);
  });
});

test('the small issue has the pixel sizes that its spec asks for', () => {
  expect(lineSize).toEqual({ width: Math.ceil((56 / 25.4) * 200), height: Math.ceil((76 / 25.4) * 200) });
});
