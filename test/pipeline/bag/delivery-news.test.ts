import { createHash } from 'node:crypto';
import { mkdir, readFile, rename, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { writeBundle } from '../../../pipeline/bag/bundle.js';
import { deliver } from '../../../pipeline/bag/deliver.js';
import { readShelf } from '../../../pipeline/bag/delivery-shelf.js';
import { verifySet } from '../../../pipeline/bag/verify-set.js';
import { pagesToLookAt } from '../../../pipeline/issue/to-look-at.js';
import { deliveryText, shelfText } from '../../../watch/commands/delivery-text.js';
import type { IssueMemory } from '../../../watch/daemon/issue-journal.js';
import { PageEvents } from '../../../watch/daemon/page-events.js';
import { pagesHere } from '../../helpers/pages-here.js';
import { openSmallIssue, type SmallIssue } from '../../helpers/small-issue.js';
import { readZip } from '../../helpers/zip-parts.js';

/** Due long before any day on which this is run; names and day zone of its own. */
const jobYaml = `
issue: QRY02
title: The Quarry Bells
number: 2
due: 2020-01-31T17:00:00+01:00
units: mm
print: { trim: [50, 70], bleed: 3, safe: 5, colourPpi: 72, linePpi: 144, proofPpi: 36, press: cgats-tr006 }
pages:
  - page: 1
delivery: { naming: "{issue} no {number} ({delivery})", timeZone: Pacific/Kiritimati }
`.replace('({delivery})', 'delivery {delivery}');

/** A page without a profile: it may be delivered, and somebody should look. */
async function untagged(shade: number): Promise<Buffer> {
  const data = Buffer.alloc(159 * 215 * 3, shade);
  for (let i = 0; i < data.length; i += 7) data[i] = (shade + i) & 255;
  const raw = { width: 159, height: 215, channels: 3 as const };
  return sharp(data, { raw })
    .tiff({ compression: 'lzw', xres: 72 / 25.4, yres: 72 / 25.4 })
    .toBuffer();
}

const plain = (_colour: unknown, words: string) => words;
const sha256 = (text: string | Buffer) => createHash('sha256').update(text).digest('hex');

/** A bundle as it was written before deliveries were numbered. */
async function olderBundle(folder: string, name: string, complete: boolean): Promise<void> {
  const page = Buffer.from('an older press file');
  const record = {
    format: 'platehand delivery 1',
    issue: 'QRY02',
    title: 'The Quarry Bells',
    complete,
    leftOut: complete ? [] : [{ page: '1', state: 'missing', why: 'nothing there' }],
    pages: complete
      ? [
          {
            page: '1',
            workingPages: [],
            findings: [],
            files: [{ path: 'press/QRY02_1.tif', sha256: sha256(page) }],
          },
        ]
      : [],
  };
  await writeBundle(join(folder, 'delivery', `${name}.zip`), {
    name,
    day: '1980-01-01',
    info: [],
    files: [
      { path: 'press/QRY02_1.tif', source: { bytes: page } },
      { path: 'delivery.json', source: { bytes: Buffer.from(JSON.stringify(record)) } },
    ],
  });
}

describe('a delivery of a page that asks for a look, after its due time', () => {
  let issue: SmallIssue;
  beforeAll(async () => {
    issue = await openSmallIssue(jobYaml);
    await issue.drop('p1.tif', await untagged(90));
    await olderBundle(issue.folder, 'QRY02', true);
    await olderBundle(issue.folder, 'QRY02-partial', false);
  });
  afterAll(() => issue.remove());

  test('says both, in its texts and to who delivers; two at a time give one number', async () => {
    const both = await Promise.all([
      deliver(issue.job, { runner: pagesHere }),
      deliver(issue.job, { runner: pagesHere }),
    ]);
    expect(both.map(({ isNew, number }) => [isNew, number]).sort()).toEqual([
      [false, 1],
      [true, 1],
    ]);
    const made = both.find(({ isNew }) => isNew) ?? both[0];
    expect(made.path).toBe('delivery/QRY02 no 2 delivery 1.zip');
    const [look, ...others] = made.toLookAt;
    expect([look.page, others]).toEqual(['1', []]);
    const said = deliveryText(made, plain);
    expect(said).toContain(`Pages that ask for a look:\n    page 1: ${look.message} (${look.code}`);
    expect(said).toContain('The issue was due 2020-01-31T17:00:00+01:00; that time has passed.');
    const parts = readZip(await readFile(join(issue.folder, made.path)));
    const textOf = (name: string) => String(parts.find((part) => part.name.endsWith(`/${name}`))?.data);
    expect(textOf('READ-ME.txt')).toContain(
      `before they are printed:\n  page 1: ${look.message} (${look.code}`,
    );
    expect(textOf('READ-ME.txt')).toContain(
      'The issue was due 2020-01-31T17:00:00+01:00; that time has passed.',
    );
    expect(JSON.parse(textOf('delivery.json'))).toMatchObject({ duePassed: true, toLookAt: [look] });
  });

  test('tells bundles without a number apart from it, and replaces them by name', async () => {
    const { deliveries } = await readShelf(issue.job);
    expect(deliveries.map(({ number, name }) => [number, name])).toEqual([
      [null, 'QRY02-partial'],
      [null, 'QRY02'],
      [1, 'QRY02 no 2 delivery 1'],
    ]);
    expect(deliveries[2].replaces.map(({ name }) => name)).toEqual(['QRY02-partial', 'QRY02']);
    expect(shelfText({ deliveries, odd: [], lastNumber: 1, names: [] }).join('\n')).toContain(
      'A delivery without a number (QRY02-partial), partial, 0 pages; replaced by QRY02 no 2 delivery 1\n',
    );
  });

  test('is late only after the day on which it was due, where the day is given', async () => {
    await issue.drop('p1.tif', await untagged(120));
    expect(await deliver(issue.job, { runner: pagesHere, date: '2020-01-31' })).toMatchObject({
      passedDue: undefined,
      date: '2020-01-31',
    });
  });

  test('of the same number twice, and of another issue, is told to its receiver', async () => {
    const numbered = (await readShelf(issue.job)).deliveries.find(({ number }) => number === 1);
    const path = numbered?.file ?? '';
    const foreign = await openSmallIssue(jobYaml.replace('QRY02', 'SHN04'));
    try {
      await foreign.drop('p1.tif', await untagged(90));
      const other = await deliver(foreign.job, { runner: pagesHere });
      const unpacked = join(foreign.folder, 'unpacked');
      for (const { name, data } of readZip(await readFile(join(issue.folder, path)))) {
        await mkdir(join(unpacked, name, '..'), { recursive: true });
        await writeFile(join(unpacked, name), data);
      }
      const first = join(issue.folder, path);
      expect(await verifySet([first, unpacked])).toMatchObject({
        ok: true,
        warnings: [{ code: 'given-twice' }],
      });
      const mixed = await verifySet([first, join(foreign.folder, other.path)]);
      expect(mixed.problems.map(({ code }) => code)).toEqual(['issue-differs']);
      await rename(join(issue.folder, 'delivery'), join(issue.folder, 'put away'));
      await rm(join(issue.folder, '.platehand', 'deliveries.json'));
      const twice = await deliver(issue.job, { runner: pagesHere, date: '2020-02-02' });
      expect(twice.number).toBe(1);
      const put = join(issue.folder, path.replace('delivery/', 'put away/'));
      const set = await verifySet([put, join(issue.folder, twice.path)]);
      expect(set.problems.map(({ code }) => code)).toEqual(['number-twice']);
    } finally {
      await foreign.remove();
    }
  });
});

test('the daemon says both when the issue is complete, and what to do next', () => {
  const told: string[] = [];
  const finding = {
    ...{
      code: 'line-grey',
      severity: 'warn' as const,
      page: '3',
      file: undefined,
      message: 'The line is grey',
    },
    ...{ measured: undefined, limit: undefined, source: undefined, remedy: 'Scan it again.' },
  };
  const page = {
    page: '3',
    state: 'attention',
    findings: [{ ...finding, code: 'a-note', severity: 'note' }, finding],
  };
  const report = { pages: [page, { page: '4', state: 'done', findings: [] }] } as never;
  const board = {
    completeKey: () => 'key',
    runs: [1, 2],
    report: () => report,
    job: { due: '2020-01-31T17:00:00Z', delivery: { naming: '', timeZone: 'UTC' } },
  };
  const journal = {
    tell: (_kind: string, { message }: { message: string }) => told.push(message),
    note: () => undefined,
  };
  const events = new PageEvents(journal as never, { complete: undefined } as unknown as IssueMemory);
  events.completeness(board as never);
  expect(told).toEqual([
    'the issue is complete: 2 pages; to look at: page 3: The line is grey (line-grey); it was due 2020-01-31T17:00:00Z, which has passed; next: platehand deliver',
  ]);
  expect(pagesToLookAt(report)).toHaveLength(1);
});

test('the daemon tells the way back too, when a broken version was taken out again', () => {
  const told: string[] = [];
  const journal = { tell: (kind: string) => told.push(kind), note: () => undefined };
  const events = new PageEvents(journal as never, { complete: undefined } as unknown as IssueMemory);
  const board = (key: string | undefined) => ({
    completeKey: () => key,
    report: () => ({
      pages: [{ page: '1', key, state: key === undefined ? 'stopped' : 'done', findings: [] }],
    }),
    job: { delivery: { naming: '', timeZone: 'UTC' } },
  });
  for (const key of ['v1', 'v1', undefined, undefined, 'v1', 'v1']) events.completeness(board(key) as never);
  expect(told).toEqual(['issue-complete', 'issue-open', 'issue-complete']);
});
