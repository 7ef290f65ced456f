import { readFile, rm, writeFile } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { deliver } from '../../../pipeline/bag/deliver.js';
import { runIssue } from '../../../pipeline/issue/run-issue.js';
import { openMadeIssue } from '../../helpers/made-issue.js';
import { pagesHere } from '../../helpers/pages-here.js';
import type { SmallIssue } from '../../helpers/small-issue.js';
import { readZip } from '../../helpers/zip-parts.js';

/** What happens between the run and the packing: delivery/ is made in that moment. */
const between = vi.hoisted(() => ({ happens: async (_folder: string): Promise<void> => undefined }));
vi.mock('../../../pipeline/files/atomic.js', async (original) => {
  const real = await original<typeof import('../../../pipeline/files/atomic.js')>();
  const makeFolder: typeof real.makeFolder = async (path) => {
    if (basename(path) === 'delivery') await between.happens(join(path, '..'));
    await real.makeFolder(path);
  };
  return { ...real, makeFolder };
});

let issue: SmallIssue;
beforeEach(async () => {
  issue = await openMadeIssue();
  await rm(sheetPath());
});
afterEach(() => issue.remove());

/** As if all pages had been run and nothing been delivered. */
async function drawnButNotDelivered(): Promise<void> {
  await runIssue(issue.job, { runner: pagesHere });
  await rm(join(issue.folder, 'delivery'), { recursive: true });
  await rm(join(issue.folder, '.platehand', 'deliveries.json'));
}

const sheetPath = () => join(issue.folder, 'proofs', 'contact-sheet.png');

describe('the contact sheet in the bundle', () => {
  test.each([
    ['drawn anew', (path: string) => writeFile(path, 'another sheet')],
    ['taken away', (path: string) => rm(path)],
  ])(
    'is the one of the pages that are delivered, although it is %s before it is packed',
    async (_, happens) => {
      // Once drawn by the delivery itself, once found as an earlier run left it.
      for (const isDrawn of [false, true]) {
        if (isDrawn) await drawnButNotDelivered();
        let sheet = Buffer.alloc(0);
        between.happens = async () => {
          sheet = await readFile(sheetPath());
          await happens(sheetPath());
        };
        const { path } = await deliver(issue.job, { runner: pagesHere });
        const entries = readZip(await readFile(join(issue.folder, path)));
        const packed = entries.find(({ name }) => name === 'QRY02-1/data/contact-sheet.png');
        expect(packed?.data.equals(sheet)).toBe(true);
      }
    },
  );
});
