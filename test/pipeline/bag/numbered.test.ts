import { copyFile, mkdir, readdir, readFile, rename, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { parseJob } from '../../../config/load-job.js';
import { type DeliverOptions, type Delivery, deliver } from '../../../pipeline/bag/deliver.js';
import { readShelf } from '../../../pipeline/bag/delivery-shelf.js';
import { IncompleteIssueError } from '../../../pipeline/bag/refusals.js';
import { verifySet } from '../../../pipeline/bag/verify-set.js';
import { deliveryText, setText, shelfText } from '../../../watch/commands/delivery-text.js';
import { pagesHere } from '../../helpers/pages-here.js';
import { drawn } from '../../helpers/rasters.js';
import { openSmallIssue, type SmallIssue, tiffOf } from '../../helpers/small-issue.js';
import { readZip, type ZipPart } from '../../helpers/zip-parts.js';

/** Small pages in few pixels: what is delivered matters here, not how it looks. */
const jobYaml = `
issue: QRY02
title: The Quarry Bells
due: 2026-11-20T17:00:00+01:00
units: mm
print: { trim: [50, 70], bleed: 3, safe: 5, colourPpi: 72, linePpi: 144, proofPpi: 36, press: cgats-tr006 }
pages:
  - pages: 1-2
  - spread: 4-5
`;

/** A flat page at 72 ppi, of its own shade; a spread is as wide as two. */
async function drop(issue: SmallIssue, name: string, shade: number, isSpread = false): Promise<void> {
  const width = isSpread ? 301 : 159;
  const page = drawn(width, 215, 'rgb', (x, y) => [(x + shade) & 255, 200 - (y >> 2), 90 + (shade & 127)]);
  await issue.drop(name, await tiffOf(page, 72));
}

const plain = (_colour: unknown, words: string) => words;
const day = '2026-11-20';

/** One story, told in order: what each delivery does depends on those before it. */
describe('the deliveries of one issue', () => {
  let issue: SmallIssue;
  const go = (options: DeliverOptions = {}) =>
    deliver(issue.job, { runner: pagesHere, date: day, ...options });
  const zip = (name: string) => join(issue.folder, 'delivery', `${name}.zip`);
  const parts = async ({ path }: Delivery): Promise<ZipPart[]> =>
    readZip(await readFile(join(issue.folder, path)));
  const textOf = async (delivery: Delivery, name: string) =>
    String((await parts(delivery)).find((part) => part.name.endsWith(`/${name}`))?.data);
  const recordPath = () => join(issue.folder, '.platehand', 'deliveries.json');

  beforeAll(async () => {
    issue = await openSmallIssue(jobYaml);
    await drop(issue, 'p1 v1.tif', 10);
    await drop(issue, 'p2 v1.tif', 30);
  });
  afterAll(() => issue.remove());

  test('a supplement before there is anything to supplement is refused', async () => {
    await expect(go({ pages: ['1'] })).rejects.toMatchObject({
      code: 'wrong-use',
      what: expect.stringMatching(/no delivery yet/),
    });
  });

  test('the first goes out in part, bears its number and that it is a part, and says which pages are missing', async () => {
    const partial = await go({ partial: { reason: 'the spread follows' } });
    expect(partial).toMatchObject({
      number: 1,
      kind: 'partial',
      isNew: true,
      path: 'delivery/QRY02-1-partial.zip',
    });
    expect(await textOf(partial, 'bag-info.txt')).toContain(`Bagging-Date: ${day}\n`);
    const set = await verifySet([zip('QRY02-1-partial')]);
    expect(set.problems).toMatchObject([{ code: 'page-missing', what: expect.stringMatching(/page 4-5/) }]);
  });

  test('a page alone supplements a part, and both together make the issue', async () => {
    await drop(issue, 'p4-5 v1.tif', 50, true);
    const supplement = await go({ pages: ['4-5'], date: '2026-11-21' });
    expect(supplement).toMatchObject({ number: 2, path: 'delivery/QRY02-2-supplement.zip', pages: ['4-5'] });
    const { ok, members } = await verifySet([zip('QRY02-2-supplement'), zip('QRY02-1-partial')]);
    expect(ok).toBe(true);
    expect(members.map(({ name, pages }) => [name, pages])).toEqual([
      ['QRY02-1-partial', ['1', '2']],
      ['QRY02-2-supplement', ['4-5']],
    ]);
  });

  test('the whole replaces both and says that nothing has changed; once more there is nothing new', async () => {
    const whole = await go({ date: '2026-11-22' });
    expect(whole).toMatchObject({ number: 3, kind: 'whole', path: 'delivery/QRY02-3.zip', changes: [] });
    expect(whole.replaces.map(({ name }) => name)).toEqual(['QRY02-1-partial', 'QRY02-2-supplement']);
    const note = await textOf(whole, 'READ-ME.txt');
    expect(note).toMatch(/^Delivery 3 of 2026-11-22: the whole issue, 3 pages\.$/m);
    expect(note).toMatch(
      /do not print from that any more:\n {2}delivery 1 of 2026-11-20 \(QRY02-1-partial\)\n/,
    );
    expect(note).toMatch(/no page has changed\./);
    const again = await go({ date: '2026-12-24' });
    expect(again).toMatchObject({ isNew: false, number: 3, date: '2026-11-22', path: whole.path });
    expect(again.bundle.sha256).toBe(whole.bundle.sha256);
    expect(deliveryText(again, plain)).toMatch(
      /^Nothing new to deliver: .*QRY02-3\.zip, delivery 3 of 2026-11-22/,
    );
    expect(await readdir(join(issue.folder, 'delivery'))).toHaveLength(3);
  });

  test('the day stands in no page: pages of two days are the same files', async () => {
    const sums = async (name: string) =>
      readZip(await readFile(zip(name)))
        .filter((part) => /\/(?:press|plates|proofs)\//.test(part.name))
        .map((part) => part.data.toString('base64'));
    const whole = await sums('QRY02-3');
    for (const page of [...(await sums('QRY02-1-partial')), ...(await sums('QRY02-2-supplement'))]) {
      expect(whole.includes(page)).toBe(true);
    }
  });

  test('a corrected page goes out alone, with both versions and their checksums; a page that changed as well is named', async () => {
    await drop(issue, 'p1 v2.tif', 70);
    await drop(issue, 'p2 v2.tif', 90);
    const before = await readZip(await readFile(zip('QRY02-3')));
    const supplement = await go({ pages: ['1'] });
    expect(supplement).toMatchObject({ number: 4, alsoChanged: ['2'], replaces: [] });
    const json = JSON.parse(await textOf(supplement, 'delivery.json'));
    expect(json.builtOn).toMatchObject([{ number: 3, name: 'QRY02-3', date: '2026-11-22' }]);
    const [change, ...others] = json.changes;
    expect(others).toEqual([]);
    expect(change).toMatchObject({ page: '1', change: 'changed', before: { delivery: 'QRY02-3' } });
    expect([change.before.workingPages[0].version, change.now.workingPages[0].version]).toEqual([1, 2]);
    const press = before.find(({ name }) => name.endsWith('press/QRY02_1.tif'))?.data ?? Buffer.alloc(0);
    const { createHash } = await import('node:crypto');
    const old = change.before.files.find(({ path }: { path: string }) => path === 'press/QRY02_1.tif');
    expect(old.sha256).toBe(createHash('sha256').update(press).digest('hex'));
    expect(await textOf(supplement, 'READ-ME.txt')).toMatch(
      /page 1 is another: whole v2; before, in QRY02-3: whole v1/,
    );
    expect((await parts(supplement)).some(({ name }) => name.includes('QRY02_2'))).toBe(false);
    expect(await go({ pages: ['1'] })).toMatchObject({ isNew: false, number: 4 });
  });

  test('a supplement to a supplement takes its place where it holds the same page', async () => {
    const both = await go({ pages: ['1', '2'] });
    expect(both).toMatchObject({
      number: 5,
      replaces: [{ name: 'QRY02-4-supplement' }],
      builtOn: [{ name: 'QRY02-3' }],
    });
    const given = ['QRY02-5-supplement', 'QRY02-4-supplement', 'QRY02-3'].map(zip);
    const set = await verifySet(given);
    expect(set).toMatchObject({ ok: true, warnings: [{ code: 'replaced' }] });
    expect(setText(set, plain)).toMatch(/^A whole issue: QRY02: The Quarry Bells, 3 pages from 2 deliveries/);
    expect(await verifySet(given.slice(0, 2))).toMatchObject({
      ok: false,
      problems: [{ code: 'delivery-missing', path: 'QRY02-3' }],
    });
  });

  test('numbers go on although the ZIPs, or the record, or both but the last are gone', async () => {
    await mkdir(join(issue.folder, 'sent'));
    for (const name of await readdir(join(issue.folder, 'delivery')))
      await rename(join(issue.folder, 'delivery', name), join(issue.folder, 'sent', name));
    const whole = await go();
    expect(whole).toMatchObject({
      number: 6,
      isNew: true,
      since: { name: 'QRY02-5-supplement' },
      changes: [],
    });
    expect(whole.replaces.map(({ name }) => name)).toEqual(['QRY02-3', 'QRY02-5-supplement']);
    await rm(recordPath());
    await drop(issue, 'p2 v3.tif', 110);
    expect(await go()).toMatchObject({ number: 7, changes: [{ page: '2', change: 'changed' }] });
    expect((await readShelf(issue.job)).deliveries.map(({ number, file }) => [number, file])).toEqual([
      [6, 'delivery/QRY02-6.zip'],
      [7, 'delivery/QRY02-7.zip'],
    ]);
  });

  test('a number that a crash took before its ZIP had a name is not given again, and nobody builds on it', async () => {
    const record = JSON.parse(await readFile(recordPath(), 'utf8'));
    await writeFile(recordPath(), JSON.stringify({ ...record, lastNumber: 8 }));
    await drop(issue, 'p2 v4.tif', 130);
    expect(await go()).toMatchObject({ number: 9, since: { number: 7 } });
  });

  test('a crash between the ZIP and the record loses nothing', async () => {
    const record = JSON.parse(await readFile(recordPath(), 'utf8'));
    await writeFile(recordPath(), JSON.stringify({ ...record, deliveries: record.deliveries.slice(0, -1) }));
    expect(await go()).toMatchObject({ isNew: false, number: 9 });
    await writeFile(recordPath(), 'torn');
    expect(await go()).toMatchObject({ isNew: false, number: 9 });
  });

  test('whatever bears the next name is left as it is, and a copy or a stranger counts for nothing', async () => {
    await writeFile(zip('QRY02-10-Partial'), 'not a ZIP');
    await copyFile(zip('QRY02-9'), zip('to the printer'));
    await drop(issue, 'p2 v5.tif', 150);
    expect(await go()).toMatchObject({ number: 11, since: { number: 9 } });
    expect(await readFile(zip('QRY02-10-Partial'), 'utf8')).toBe('not a ZIP');
    const text = shelfText(await readShelf(issue.job)).join('\n');
    expect(text).toContain(
      'delivery/QRY02-10-Partial.zip counts for nothing: it cannot be read as a delivery',
    );
    expect(text).toContain(
      'delivery/to the printer.zip counts for nothing: it is a copy of delivery/QRY02-9.zip',
    );
    expect(text).toMatch(/Delivery 9 of 2026-11-20 \(QRY02-9\), whole, 3 pages; replaced by QRY02-11\n/);
  });

  test('a page that left the list is told as gone', async () => {
    issue = { ...issue, job: parseJob(jobYaml.replace('  - spread: 4-5\n', ''), issue.folder) };
    const whole = await go();
    expect(whole).toMatchObject({ number: 12, changes: [{ page: '4-5', change: 'gone' }] });
    expect(await textOf(whole, 'READ-ME.txt')).toMatch(/page 4-5 is no longer in it \(it was in QRY02-11\)/);
  });

  test('a supplement with a page that is not ready is refused, and only that page is named', async () => {
    await issue.drop('p1 v9.tif', Buffer.from('II*\0 cut short'));
    const refused = await go({ pages: ['1', '2'] }).catch((thrown: unknown) => thrown);
    expect(refused).toBeInstanceOf(IncompleteIssueError);
    expect((refused as IncompleteIssueError).blocking.map(({ page }) => page)).toEqual(['1']);
    expect((refused as IncompleteIssueError).message).not.toMatch(/--partial/);
  });

  test('a day that is none, and a supplement that is partial, are refused before any work', async () => {
    for (const date of ['2026-02-30', '26-11-20', 'tomorrow', '1979-12-31']) {
      await expect(go({ date })).rejects.toMatchObject({
        code: 'wrong-use',
        what: expect.stringMatching(/not a day of the calendar/),
      });
    }
    await expect(go({ pages: ['1'], partial: { reason: 'x' } })).rejects.toMatchObject({ code: 'wrong-use' });
  });

  test('and of another issue, in a folder that was copied for the next one, count for nothing', async () => {
    const next = { ...issue.job, issue: 'QRY03' };
    const { deliveries, odd } = await readShelf(next);
    expect(deliveries).toEqual([]);
    expect(odd.length).toBeGreaterThan(0);
  });
});
