import { cp, mkdtemp, readdir, readFile, rm, utimes } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { parseJob } from '../../../config/load-job.js';
import { deliver } from '../../../pipeline/bag/deliver.js';
import { planIssue } from '../../../pipeline/issue/plan.js';
import { productNames } from '../../../pipeline/model/page-result.js';
import { pagesHere } from '../../helpers/pages-here.js';
import { writePng } from '../../helpers/png-fixtures.js';
import {
  colourPage,
  inksPage,
  inksTiffOf,
  openSmallIssue,
  type SmallIssue,
  smallJob,
} from '../../helpers/small-issue.js';

const jobYaml = smallJob.replace(/pages:\n.*$/s, 'pages:\n  - page: 1\n');

let issue: SmallIssue;
let copy: string;
beforeEach(async () => {
  issue = await openSmallIssue(jobYaml);
  await issue.drop('QRY02_p1_colour_v2.png', datedPage(2));
  await issue.drop('QRY02_p1_inks.tif', await inksTiffOf(inksPage()));
  copy = await mkdtemp(join(tmpdir(), 'copied-issue-'));
});
afterEach(async () => {
  await issue.remove();
  await rm(copy, { recursive: true });
});

/** A PNG that states a day of March 2031. */
function datedPage(day: number): Buffer {
  const chunks = [['tIME', Buffer.from([7, 239, 3, day, 12, 0, 0])]] as const;
  return writePng({ ...colourPage(), colourType: 2, bits: 8, chunks });
}

/** The job and its pages copied elsewhere, each page with another time. */
async function copied(): Promise<SmallIssue['job']> {
  await cp(join(issue.folder, 'incoming'), join(copy, 'incoming'), { recursive: true });
  const times = ['2019-07-01T00:00:00Z', '2038-01-18T00:00:00Z', '1990-05-05T05:05:05Z'];
  for (const [at, entry] of (await readdir(join(copy, 'incoming'))).entries()) {
    const time = new Date(times[at % times.length]);
    await utimes(join(copy, 'incoming', entry), time, time);
  }
  return parseJob(jobYaml, copy);
}

/** The bytes of the bundle, and of every file that people see. */
async function delivered(job: SmallIssue['job']): Promise<Record<string, Buffer>> {
  const { path } = await deliver(job, { runner: pagesHere });
  const bytes: Record<string, Buffer> = { bundle: await readFile(join(job.folder, path)) };
  for (const folder of ['press', 'plates', 'proofs']) {
    for (const name of await readdir(join(job.folder, folder))) {
      bytes[`${folder}/${name}`] = await readFile(join(job.folder, folder, name));
    }
  }
  return bytes;
}

describe('the same pages with other times on their files', () => {
  test('give the same proofs and the same bundle, byte for byte', async () => {
    const first = await delivered(issue.job);
    const again = await delivered(await copied());
    expect(Object.keys(again)).toEqual(Object.keys(first));
    expect(Object.keys(again)).toContain('proofs/QRY02_1_proof.png');
    for (const [name, bytes] of Object.entries(again))
      expect([name, bytes.equals(first[name])]).toEqual([name, true]);
  });

  test('have the same keys, and nothing is made anew where they come back', async () => {
    const first = await delivered(issue.job);
    await copied();
    await rm(join(issue.folder, 'incoming'), { recursive: true });
    await cp(join(copy, 'incoming'), join(issue.folder, 'incoming'), {
      recursive: true,
      preserveTimestamps: true,
    });
    const { runs } = await planIssue(issue.job, { pages: undefined, products: productNames });
    expect(runs.map(({ request, stored }) => [request, stored !== undefined])).toEqual([[undefined, true]]);
    expect((await delivered(issue.job)).bundle.equals(first.bundle)).toBe(true);
  });
});

test('a file that states another day has its proof made anew, for the day is part of what it holds', async () => {
  const first = await delivered(issue.job);
  await issue.drop('QRY02_p1_colour_v2.png', datedPage(3));
  const again = await delivered(issue.job);
  const differing = Object.keys(first).filter((name) => !first[name].equals(again[name]));
  // Of what is seen of the page, the day stands on the proof alone; the bundle has the proof and the file's checksum.
  expect(differing).toEqual(['bundle', 'proofs/QRY02_1_proof.png']);
});
