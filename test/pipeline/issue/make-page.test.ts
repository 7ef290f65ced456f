import { appendFile, mkdir, mkdtemp, readdir, readFile, rm, utimes, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { makePage } from '../../../pipeline/issue/make-page.js';
import { planIssue } from '../../../pipeline/issue/plan.js';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import type { PageRequest } from '../../../pipeline/model/page-request.js';
import { productNames } from '../../../pipeline/model/page-result.js';
import { preparePage } from '../../../pipeline/page/page.js';
import { openPagePool } from '../../../pipeline/runner/page-pool.js';
import type { PageRunner } from '../../../pipeline/runner/page-runner.js';
import { until } from '../../helpers/daemon.js';
import { colourPage, flatPage, openSmallIssue, type SmallIssue, tiffOf } from '../../helpers/small-issue.js';

const arena = new PageArena();

let issue: SmallIssue;
let request: PageRequest;
beforeEach(async () => {
  issue = await openSmallIssue();
  await issue.drop('p03.tif', await tiffOf(flatPage()));
  request = await planned();
});
afterEach(() => issue.remove());

async function planned(): Promise<PageRequest> {
  const { runs } = await planIssue(issue.job, { pages: undefined, products: productNames });
  const found = runs.find(({ page }) => page.id === '3')?.request;
  if (found?.key === undefined) throw new Error('page 3 is not planned, or planned unhashed');
  return found;
}

const path = () => join(issue.folder, 'incoming', 'p03.tif');
const standing = async () => {
  const names = await readdir(issue.folder, { recursive: true });
  return names.filter((name) => /\.(?:tif|png|part)$/.test(name) && !name.startsWith('incoming'));
};

/** Prepares the page in this process; something happens to its file meanwhile. */
const meanwhile = (happens: () => Promise<unknown>): PageRunner => ({
  takesUnhashed: true,
  async run(asked) {
    const result = await preparePage(asked, arena);
    await happens();
    return result;
  },
  close: async () => undefined,
});

describe('a result is kept only for the bytes that its key names', () => {
  test.each([
    ['grows', () => appendFile(path(), 'more')],
    [
      'is written again with as many bytes and its old time',
      async () => {
        const bytes = await tiffOf(flatPage());
        bytes[bytes.length - 1] ^= 1;
        await writeFile(path(), bytes);
        await utimes(path(), new Date('2026-11-20T12:00:00Z'), new Date('2026-11-20T12:00:00Z'));
      },
    ],
    ['goes away', () => rm(path())],
  ])('nothing of it stays when the file %s while the page is worked on', async (_what, happens) => {
    await expect(makePage(issue.job, request, meanwhile(happens))).rejects.toMatchObject({
      code: 'picture-changed',
      message: expect.stringMatching(/while it was worked on/),
    });
    expect(await standing()).toEqual([]);
  });

  test('it stays when nothing happened', async () => {
    const { stored } = await makePage(
      issue.job,
      request,
      meanwhile(async () => undefined),
    );
    expect(stored?.asked).toEqual([...productNames]);
    expect(await standing()).toContain(join('press', 'QRY02_3.tif'));
  });
});

describe('what a page process still holds of its last page', () => {
  test('is not taken for a file that came back under the same key', async () => {
    const pool = openPagePool(1);
    try {
      const before = await readFile(path());
      // Between its checksum and its reading another picture stood there, and then the old one again.
      await writeFile(path(), await tiffOf(colourPage(90)));
      await expect(makePage(issue.job, request, pool)).rejects.toMatchObject({ code: 'picture-changed' });
      await writeFile(path(), before);
      const again = await planned();
      expect(again.key).toBe(request.key);
      const { result } = await makePage(issue.job, again, pool);
      const apart = await preparePage(
        { ...again, outFolder: await mkdtemp(join(issue.folder, 'apart')) },
        arena,
      );
      expect(result.outputs.map(({ sha256 }) => sha256)).toEqual(apart.outputs.map(({ sha256 }) => sha256));
    } finally {
      await pool.close();
    }
  });
});

describe('work that is outdated', () => {
  test('ends with its process, leaves nothing behind, and the next page finds another process', async () => {
    const pool = openPagePool(1);
    try {
      const controller = new AbortController();
      const outdated = makePage(issue.job, request, pool, { signal: controller.signal });
      const waiting = makePage(issue.job, request, pool);
      await until(async () => (await standing()).some((name) => name.endsWith('.part')), 'it is begun');
      controller.abort(new Error('outdated'));
      await expect(outdated).rejects.toThrow('outdated');
      expect((await waiting).stored?.result.outputs.length).toBeGreaterThan(0);
      expect((await standing()).filter((name) => name.endsWith('.part'))).toEqual([]);
    } finally {
      await pool.close();
    }
  });
});

describe('page processes that are killed all at once', () => {
  test('cost one more try, and no page, also where one of them had nothing to do', async () => {
    for (let round = 0; round < 4; round++) {
      const pool = openPagePool(2);
      try {
        pool.warm(2);
        const made = pool.run({ ...request, products: [], outFolder: undefined });
        // At another moment of their start in each round.
        await pause(60 * round);
        for (const pid of pool.pids()) process.kill(pid, 'SIGKILL');
        expect((await made).key).toBe(request.key);
      } finally {
        await pool.close();
      }
    }
  });
});

describe('a page whose proof was just made', () => {
  test('is not read again for its press files, which are the same as if it were', async () => {
    const pool = openPagePool(1);
    const [whole, parts] = ['whole', 'parts'].map((name) => join(issue.folder, name));
    try {
      for (const folder of [whole, parts]) await mkdir(folder);
      const { outputs } = await pool.run({ ...request, outFolder: whole });
      // Another page in between, so that nothing is left of the first.
      await pool.run({ ...request, key: 'another', products: ['proof'], outFolder: parts });
      const proof = await pool.run({
        ...request,
        products: ['proof', 'thumbnail', 'views'],
        outFolder: parts,
      });
      await rm(path());
      const press = await pool.run({ ...request, products: ['press', 'plates', 'pdf'], outFolder: parts });
      const sums = new Map([...proof.outputs, ...press.outputs].map(({ name, sha256 }) => [name, sha256]));
      expect(sums).toEqual(new Map(outputs.map(({ name, sha256 }) => [name, sha256])));
      expect(press.findings).toEqual(proof.findings);
    } finally {
      await pool.close();
    }
  });
});
