import { createHash } from 'node:crypto';
import { mkdir, readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { openPress } from '../../config/press.js';
import { identityOf } from '../../pipeline/files/file-identity.js';
import { planIssue } from '../../pipeline/issue/plan.js';
import type { PageRequest, UnhashedRequest } from '../../pipeline/model/page-request.js';
import { type PageResult, productNames } from '../../pipeline/model/page-result.js';
import { pageKeys } from '../../pipeline/page/page-key.js';
import { hashFile } from '../../pipeline/reading/hash-file.js';
import type { PageRunner } from '../../pipeline/runner/page-runner.js';
import { dropAll, openSmallIssue, type SmallIssue } from './small-issue.js';

/** What every runner has to keep to (runner/page-runner.ts). @param open a runner for two pages at a time, or fewer */
export function describeRunner(name: string, open: () => PageRunner | Promise<PageRunner>): void {
  describe(`pages that are run ${name}`, () => {
    let issue: SmallIssue;
    let requests: ReadonlyMap<string, PageRequest>;
    let runner: PageRunner;
    let folders = 0;
    beforeAll(async () => {
      issue = await openSmallIssue();
      await dropAll(issue);
      await issue.drop('p04 final.tif', Buffer.from('no picture'));
      requests = await requestsOf(issue);
    });
    afterAll(() => issue.remove());
    beforeEach(async () => {
      runner = await open();
    });
    afterEach(() => runner.close());

    const requestFor = (page: string) => {
      const request = requests.get(page);
      if (request === undefined) throw new Error(`page ${page} was not planned`);
      return request;
    };
    /** A request with a new folder for its outputs. */
    const withFolder = async <Asked extends PageRequest | UnhashedRequest>(
      request: Asked,
    ): Promise<Asked> => {
      const outFolder = join(issue.folder, `out-${++folders}`);
      await mkdir(outFolder);
      return { ...request, outFolder };
    };

    test('stand whole in their folder, with the checksums that are stated, and nothing beside them', async () => {
      const request = await withFolder(requestFor('1'));
      const result = await runner.run(request);
      expect(result).toMatchObject({ page: '1', key: request.key, productKeys: request.productKeys });
      expect(new Set(result.outputs.map(({ product }) => product))).toEqual(new Set(productNames));
      expect(await sumsIn(request)).toEqual(statedSums(result));
    });

    test('come out the same when they are run again, and beside others', async () => {
      const asked = await Promise.all(['1', '2', '1', '3'].map((page) => withFolder(requestFor(page))));
      const results = await Promise.all(asked.map((request) => runner.run(request)));
      expect(results.map(({ page }) => page)).toEqual(['1', '2', '1', '3']);
      expect(results[2]).toEqual(results[0]);
      expect(await sumsIn(asked[2])).toEqual(await sumsIn(asked[0]));
    });

    test('have the products only that were asked for, which are those of the whole page', async () => {
      const whole = await runner.run(await withFolder(requestFor('2')));
      const proof = await runner.run(await withFolder({ ...requestFor('2'), products: ['proof'] }));
      expect(proof.outputs).toEqual(whole.outputs.filter(({ product }) => product === 'proof'));
      expect(proof.findings).toEqual(whole.findings);
    });

    test('are only looked at where they have no folder', async () => {
      const result = await runner.run(requestFor('2'));
      expect(result.outputs).toEqual([]);
      expect(result.measures?.coveragePercent.line).toBeGreaterThan(0);
    });

    test('are stopped by a finding when a file is no picture, and the next page goes on', async () => {
      const stopped = await runner.run(await madeOfNoPicture(issue, requestFor('1')));
      expect(stopped.findings).toMatchObject([{ severity: 'stop' }, { severity: 'stop' }]);
      expect(stopped.measures).toBeUndefined();
      expect((await runner.run(requestFor('2'))).findings).not.toContainEqual(
        expect.objectContaining({ severity: 'stop' }),
      );
    });

    test('find their checksums and keys themselves, where the runner takes such requests', async () => {
      if (!runner.takesUnhashed) return;
      const { key: _key, productKeys: _keys, ...request } = requestFor('1');
      const files = request.files.map((file) => ({ ...file, sha256: undefined }));
      const result = await runner.run({ ...request, files, key: undefined });
      expect(result.key).toBe(requestFor('1').key);
      expect(result.used).toEqual((await runner.run(requestFor('1'))).used);
    });

    test('are refused with code and remedy where their press cannot be opened', async () => {
      const request = requestFor('1');
      const press = { kind: 'file', path: join(issue.folder, 'gone.icc') } as const;
      const page = { ...request.page, spec: { ...request.page.spec, press } };
      await expect(runner.run({ ...request, key: 'gone', page })).rejects.toMatchObject({
        code: expect.stringMatching(/profile|wrong-use/),
        remedy: expect.stringMatching(/\w+/),
      });
      expect((await runner.run(request)).page).toBe('1');
    });

    test('are dropped for the reason that is given: before they begin, and while they wait', async () => {
      const reason = new Error('outdated');
      await expect(runner.run(requestFor('1'), AbortSignal.abort(reason))).rejects.toBe(reason);
      const controller = new AbortController();
      const before = [requestFor('1'), requestFor('2')].map((request) => runner.run(request));
      const dropped = runner.run(requestFor('3'), controller.signal);
      controller.abort(reason);
      await expect(dropped).rejects.toBe(reason);
      expect((await Promise.all(before)).map(({ page }) => page)).toEqual(['1', '2']);
    });

    test('fail when the runner is closed, in hand or not yet asked for', async () => {
      const inHand = runner.run(requestFor('1')).catch((thrown: unknown) => thrown);
      await runner.close();
      expect(await inHand).toMatchObject({ code: 'page-process' });
      await expect(runner.run(requestFor('2'))).rejects.toMatchObject({ code: 'page-process' });
      await runner.close();
    });
  });
}

/** The same page, all of whose files are text. */
async function madeOfNoPicture({ folder }: SmallIssue, request: PageRequest): Promise<PageRequest> {
  const path = join(folder, 'incoming', 'p04 final.tif');
  const facts = { ...(await hashFile(path)), local: { path, seen: await identityOf(path) } };
  const files = request.files.map((file) => ({ ...file, ...facts }));
  const { key: _, productKeys: _keys, ...keyless } = { ...request, files };
  return { ...keyless, ...pageKeys(keyless, await openPress(request.page.spec.press)) };
}

async function requestsOf({ job }: SmallIssue): Promise<ReadonlyMap<string, PageRequest>> {
  const { runs } = await planIssue(job, { pages: undefined, products: productNames });
  const planned = runs.flatMap(({ request }) => (request?.key === undefined ? [] : [request]));
  return new Map(planned.map((request) => [request.page.id, request]));
}

function statedSums({ outputs }: PageResult): Record<string, string> {
  return Object.fromEntries(outputs.map(({ name, sha256 }) => [name, sha256]));
}

async function sumsIn({ outFolder }: PageRequest | UnhashedRequest): Promise<Record<string, string>> {
  const sums: Record<string, string> = {};
  for (const name of await readdir(outFolder ?? '')) {
    const bytes = await readFile(join(outFolder ?? '', name));
    sums[name] = createHash('sha256').update(bytes).digest('hex');
  }
  return sums;
}
