import { appendFile, mkdir, readdir, rename, rm, symlink, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { afterEach, describe, expect, test } from 'vitest';
import { pauseByHand, resumeByHand } from '../../../watch/daemon/folder-marks.js';
import {
  isMadeOf,
  looksAgain,
  pageIn,
  quick,
  type RunningDaemon,
  sha256Of,
  sideBySide,
  startDaemon,
  until,
} from '../../helpers/daemon.js';
import { writeOpenRaster } from '../../helpers/openraster-fixtures.js';
import { writePng } from '../../helpers/png-fixtures.js';
import { drawn } from '../../helpers/rasters.js';
import {
  colourPage,
  colourSize,
  flatPage,
  inksPage,
  inksTiffOf,
  openSmallIssue,
  type SmallIssue,
  smallJob,
  tiffOf,
} from '../../helpers/small-issue.js';

let issue: SmallIssue;
let daemon: RunningDaemon;
afterEach(async () => {
  await daemon.end('SIGKILL');
  await issue.remove();
});

async function watch(
  jobYaml?: string,
  options: readonly string[] = quick,
): Promise<(name: string) => string> {
  issue = await openSmallIssue(jobYaml);
  daemon = startDaemon(issue.folder, options);
  await daemon.event(({ kind }) => kind === 'started', 'the start');
  return (name) => join(issue.folder, 'incoming', name);
}

const madeOf = (page: string, ...sources: Uint8Array[]) =>
  until(() => isMadeOf(issue.folder, page, sources), `page ${page} is made of what was dropped`);

describe('a file counts once it is whole', () => {
  test('however slowly it is written', async () => {
    const incoming = await watch(smallJob, ['--settle', '0.6', ...quick.slice(2)]);
    const bytes = await tiffOf(flatPage());
    const path = incoming('p03.tif');
    await writeFile(path, '');
    for (let at = 0; at < bytes.length; at += 4000) {
      await appendFile(path, bytes.subarray(at, at + 4000));
      await pause(120);
    }
    await madeOf('3', bytes);
    // The half file was never taken for a page.
    expect(daemon.events.filter(({ kind }) => kind === 'page-stopped' || kind === 'not-whole-yet')).toEqual(
      [],
    );
    expect(daemon.events.filter(({ kind }) => kind === 'arrived')).toHaveLength(1);
  });

  test('when it is renamed into place, and not under its temporary name', async () => {
    const incoming = await watch();
    const bytes = await tiffOf(flatPage());
    await writeFile(incoming('p03.tif.part'), bytes);
    await writeFile(join(issue.folder, 'elsewhere.tif'), bytes);
    // What came after it is whole; the temporary name was never looked at.
    await writeFile(incoming('p01.tif'), bytes);
    await daemon.event(
      ({ kind, file }) => kind === 'arrived' && file === 'p01.tif',
      'a file that came later',
    );
    expect(daemon.events.map(({ kind }) => kind)).toEqual(['started', 'arrived']);
    await rename(incoming('p03.tif.part'), incoming('p03.tif'));
    await rename(join(issue.folder, 'elsewhere.tif'), incoming('p02.tif'));
    await Promise.all([madeOf('3', bytes), madeOf('2', bytes)]);
  });

  test('a pause of the copy is not taken for damage, and the rest completes the page', async () => {
    const incoming = await watch();
    const bytes = await tiffOf(flatPage());
    await writeFile(incoming('p01.tif'), bytes.subarray(0, 9000));
    await daemon.event(({ kind }) => kind === 'not-whole-yet', 'the first doubt');
    await appendFile(incoming('p01.tif'), bytes.subarray(9000));
    await madeOf('1', bytes);
    expect(daemon.events.filter(({ kind }) => kind === 'page-stopped')).toEqual([]);
  });

  test('one that stays broken is reported once, and again only when it changes', async () => {
    const incoming = await watch(smallJob, ['--settle', '0.15', '--grace', '0.6', '--rescan', '0.3']);
    const bytes = await tiffOf(flatPage());
    await writeFile(incoming('p01.tif'), bytes.subarray(0, 9000));
    const stopped = await daemon.event(({ kind }) => kind === 'page-stopped', 'the report');
    expect(stopped).toMatchObject({ page: '1', state: 'stopped', findings: ['picture-unreadable'] });
    // Several full looks later it was not said again.
    await writeFile(incoming('p02.tif'), bytes);
    await madeOf('2', bytes);
    await looksAgain(daemon, issue.folder);
    expect(daemon.events.filter(({ kind }) => kind === 'page-stopped')).toHaveLength(1);
    await writeFile(incoming('p01.tif'), bytes.subarray(0, 9500));
    await until(
      () => daemon.events.filter(({ kind }) => kind === 'page-stopped').length === 2,
      'a second report',
    );
    await writeFile(incoming('p01.tif'), bytes);
    await madeOf('1', bytes);
    expect(stopped.message).toContain('Nothing of it stands in press/');
    await writeFile(incoming('p01 v2.tif'), bytes.subarray(0, 9000));
    const again = ({ kind, message }: { kind: string; message: string }) =>
      kind === 'page-stopped' && message.endsWith('The version before stands meanwhile: p01.tif.');
    await daemon.event(again, 'a stop that names what stands');
  });

  test('a layer that stays broken inside a sound archive is one of these', async () => {
    const incoming = await watch(smallJob, ['--settle', '0.15', '--grace', '0.6', '--rescan', '0.3']);
    const { width, height } = colourSize;
    const data = new Uint8Array(width * height * 4).fill(200);
    const layer = writePng({ width, height, colourType: 6, bits: 8, data });
    layer.fill(0x5a, layer.indexOf('IDAT') + 20, layer.indexOf('IDAT') + 40);
    const stack = `<image w="${width}" h="${height}"><stack><layer name="paint" src="data/l.png"/></stack></image>`;
    await writeFile(incoming('p01.ora'), writeOpenRaster(stack, { 'data/l.png': layer }));
    const stopped = await daemon.event(({ kind }) => kind === 'page-stopped', 'the report');
    expect(stopped).toMatchObject({ page: '1', state: 'stopped', findings: ['picture-unreadable'] });
    expect(stopped.message).toContain('layer "paint"');
    await looksAgain(daemon, issue.folder);
    expect(daemon.events.filter(({ kind }) => kind === 'page-stopped')).toHaveLength(1);
  });
});

/** A page of 1800 x 2446 pixels, which keeps a process busy for a moment. */
const largePage = (hue: number) =>
  drawn(1800, 2446, 'rgb', (x, y) => [(x + hue) & 255, (y * 3) & 255, (x ^ y) & 127]);

/** Waits until a page is worked on: its result has a folder then, under a name of its own. */
async function isBegun(page: string): Promise<void> {
  const results = join(issue.folder, '.platehand', 'results', `QRY02_${page}`);
  const begun = async () => (await readdir(results)).some((name) => name.endsWith('.part'));
  await until(() => begun().catch(() => false), `page ${page} is begun`);
}

describe('while a page is worked on', () => {
  test('a new file in its place replaces it', async () => {
    const incoming = await watch();
    const [first, second] = [await tiffOf(largePage(0), 816), await tiffOf(largePage(90), 816)];
    await writeFile(incoming('p01.tif'), first);
    await daemon.event(({ kind }) => kind === 'arrived', 'the first file');
    await isBegun('1');
    await writeFile(incoming('p01.tif'), second);
    await madeOf('1', second);
  });

  test('a newer version replaces it, and the older one is left unfinished', async () => {
    const incoming = await watch();
    const [first, second] = [await tiffOf(largePage(0), 816), await tiffOf(largePage(90), 816)];
    await writeFile(incoming('p01 v1.tif'), first);
    await daemon.event(({ kind }) => kind === 'arrived', 'the first version');
    await writeFile(incoming('p01 v2.tif'), second);
    await madeOf('1', second);
    await daemon.event(({ kind }) => kind === 'page-done', 'the press files');
    expect(daemon.events.filter(({ kind }) => kind === 'page-done')).toHaveLength(1);
  });

  test('its file may go away: nothing of it stays in press', async () => {
    const incoming = await watch();
    await writeFile(incoming('p01.tif'), await tiffOf(largePage(0), 816));
    await daemon.event(({ kind }) => kind === 'arrived', 'the file');
    await isBegun('1');
    await rm(incoming('p01.tif'));
    await daemon.event(({ kind }) => kind === 'gone', 'that it is gone');
    await until(async () => (await pageIn(issue.folder, '1')).state === 'missing', 'page 1 is missing');
    expect(await sha256Of(join(issue.folder, 'press', 'QRY02_1.tif'))).toBeUndefined();
    const bytes = await tiffOf(flatPage());
    await writeFile(incoming('p02.tif'), bytes);
    await madeOf('2', bytes);
  });
});

/** 50 pages of 25 x 35 mm, so that a hundred files are a matter of seconds. */
const manyPages = smallJob
  .replace('[50, 70]', '[25, 35]')
  .replace('bleed: 3', 'bleed: 1.5')
  .replace('safe: 5', 'safe: 2')
  .replace('colourPpi: 100', 'colourPpi: 72')
  .replace('linePpi: 200', 'linePpi: 144')
  .replace('pages: 1-3', 'pages: 1-49');

describe('names and kinds of files', () => {
  test('a hundred files at once are all taken up', { timeout: 90_000 }, async () => {
    const incoming = await watch(manyPages, sideBySide);
    await pauseByHand(issue.folder);
    await daemon.event(({ kind }) => kind === 'paused', 'the pause');
    const [colour, inks] = [await tiffOf(colourPage(), 400), await inksTiffOf(inksPage(), 400)];
    const pages = ['cover', ...Array.from({ length: 49 }, (_, index) => `${index + 1}`)];
    const name = (page: string) => (page === 'cover' ? 'cover' : `p${page}`);
    await Promise.all(
      pages.flatMap((page) => [
        writeFile(incoming(`${name(page)} colour.tif`), colour),
        writeFile(incoming(`${name(page)} inks.tif`), inks),
      ]),
    );
    const count = (wanted: string) => daemon.events.filter(({ kind }) => kind === wanted).length;
    await until(() => count('arrived') === 100, 'all have arrived');
    expect(count('page-proofed')).toBe(0);
    await resumeByHand(issue.folder);
    await daemon.event(({ kind }) => kind === 'issue-complete', 'the whole issue', 80_000);
    const kinds = daemon.events.map(({ kind }) => kind);
    expect(count('arrived')).toBe(100);
    expect(kinds.filter((kind) => kind === 'page-done')).toHaveLength(50);
    // People wait for proofs: press files are begun when no proof waits any more. The other of the two processes may
    // still have one in hand, however long it takes.
    const afterFirstPress = kinds.slice(kinds.indexOf('page-done'));
    expect(afterFirstPress.filter((kind) => kind === 'page-proofed').length).toBeLessThanOrEqual(1);
  });

  test('a name with its accents apart (NFD) is the name that job.yaml writes composed', async () => {
    const incoming = await watch(`${smallJob}names:\n  "M\u00f6we.tif": { page: 2 }\n`);
    const bytes = await tiffOf(flatPage());
    await writeFile(incoming('Mo\u0308we.tif'), bytes);
    await madeOf('2', bytes);
  });

  test('a rename that changes only the case keeps the page', async () => {
    const incoming = await watch();
    const bytes = await tiffOf(flatPage());
    await writeFile(incoming('P03.TIF'), bytes);
    await madeOf('3', bytes);
    await rename(incoming('P03.TIF'), incoming('p03.tif'));
    await until(async () => (await pageIn(issue.folder, '3')).files[0]?.name === 'p03.tif', 'the new name');
    await madeOf('3', bytes);
    await daemon.event(
      ({ kind, file }) => kind === 'gone' && file === 'P03.TIF',
      'that the old name is gone',
    );
  });

  test('a symbolic link is never followed, and that is said', async () => {
    const incoming = await watch();
    const elsewhere = join(issue.folder, 'elsewhere.tif');
    await writeFile(elsewhere, await tiffOf(flatPage()));
    await symlink(elsewhere, incoming('p03.tif'));
    const told = await daemon.event(({ kind }) => kind === 'set-aside', 'that the link is not used');
    expect(told.message).toMatch(/p03\.tif is not used: a symbolic link/);
    expect((await pageIn(issue.folder, '3')).state).toBe('missing');
  });

  test('a folder of pages moved in is looked into', async () => {
    const incoming = await watch();
    const bytes = await tiffOf(flatPage());
    await mkdir(join(issue.folder, 'scene 1'));
    await writeFile(join(issue.folder, 'scene 1', 'p02.tif'), bytes);
    await rename(join(issue.folder, 'scene 1'), incoming('scene 1'));
    await madeOf('2', bytes);
  });
});
