import { readdir, readFile, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { deliver } from '../../../pipeline/bag/deliver.js';
import { runIssue } from '../../../pipeline/issue/run-issue.js';
import { readStatus } from '../../../pipeline/issue/status.js';
import type { Raster } from '../../../pipeline/model/raster.js';
import { drawPage, type PageWish } from '../../helpers/drawn-pages.js';
import { pagesHere } from '../../helpers/pages-here.js';
import { plateOfBits } from '../../helpers/rasters.js';
import { inksTiffOf, openSmallIssue, type SmallIssue, tiffOf } from '../../helpers/small-issue.js';

/** Two pages of black line, 1.5 x 2 in with their bleed: 450 x 600 px at 300 ppi, drawn at 600. */
const job = `
issue: VER01
title: Versions
units: in
print:
  trim: [1.25, 1.75]
  bleed: 0.125
  safe: 0.125
  press: cgats-tr006
pages:
  - { page: 1, needs: [line], accept: { bleed-empty: its margins are white } }
  - { page: 2, needs: [line], accept: { bleed-empty: its margins are white } }
`;

let issue: SmallIssue;
beforeEach(async () => {
  issue = await openSmallIssue(job);
});
afterEach(() => issue.remove());

function scanOf(wish: PageWish): Raster {
  const { line } = drawPage('pen', { width: 450, height: 600, grid: 9, ...wish });
  const { width, height, data } = plateOfBits(line);
  return { width, height, model: 'grey', alpha: false, data: data.map((ink) => 255 - ink) };
}

async function drop(name: string, wish: PageWish): Promise<void> {
  await issue.drop(name, await tiffOf(scanOf(wish), 600));
}

async function run(products?: []) {
  const { pages } = await runIssue(issue.job, { runner: pagesHere, ...(products && { products }) });
  return pages;
}

const pressOf = (page: number) => readFile(join(issue.folder, 'press', `VER01_${page}_line.tif`), 'base64');

const about = new Set(['version-shifted', 'version-differs', 'version-of-another-page', 'version-blank']);
const codesOf = (page: { findings: readonly { code: string; severity: string }[] }) =>
  page.findings.filter(({ code }) => about.has(code)).map(({ code, severity }) => `${code} ${severity}`);

describe('a new version of a part', () => {
  test('that lies a pixel beside the last one asks for a look, in millimetres, until one comes that does not', async () => {
    await drop('p1 line v1.tif', { seed: 3 });
    await drop('p2 line v1.tif', { seed: 4 });
    expect((await run()).flatMap(codesOf)).toEqual([]);
    await drop('p1 line v2.tif', { seed: 3, laid: { dx: 0.5 } });
    const looked = await run([]);
    const [page, other] = await run();
    expect(looked.map(codesOf)).toEqual([['version-shifted warn'], []]);
    expect([codesOf(page), codesOf(other)]).toEqual([['version-shifted warn'], []]);
    expect(page.state).toBe('attention');
    const found = page.findings.find(({ code }) => code === 'version-shifted');
    expect(found?.measured).toMatch(/^0\.04 mm right, 0\.04 mm at the farthest corner/);
    expect(found?.file).toBe('p1 line v2.tif');
    expect((await readStatus(issue.job)).report.pages.map(codesOf)).toEqual([['version-shifted warn'], []]);
    await drop('p1 line v3.tif', { seed: 3, laid: { dx: 0.5, dy: 0.02 } });
    expect((await run()).flatMap(codesOf)).toEqual([]);
  });

  test('in which nothing has changed asks for a look, though it is another file, and one pixel is a change', async () => {
    await drop('p1 line v1.tif', { seed: 3 });
    await run();
    await issue.drop('p1 line v2.tif', await inksTiffOf(scanOf({ seed: 3 }), 600));
    const unchanged = async () =>
      (await run())[0].findings.filter(({ code }) => code === 'version-unchanged');
    const [found] = await unchanged();
    expect(found).toMatchObject({ severity: 'warn', file: 'p1 line v2.tif' });
    expect(found.message).toContain('the same picture as the last one (p1 line v1.tif)');
    expect(await unchanged()).toHaveLength(1);
    const scan = scanOf({ seed: 3 });
    scan.data[500 * scan.width + 400] ^= 255;
    await issue.drop('p1 line v3.tif', await tiffOf(scan, 600));
    expect(await unchanged()).toEqual([]);
  });

  test('is printed the same whatever was there before', async () => {
    const composite = async () => {
      const [{ outputs }] = await run();
      const files = outputs.filter(({ role }) => role === 'line' || role === 'proof');
      return Promise.all(
        files.map(({ product, name }) =>
          readFile(join(issue.folder, product === 'proof' ? 'proofs' : product, name), 'base64'),
        ),
      );
    };
    await drop('p1 line v1.tif', { seed: 3 });
    await run();
    await drop('p1 line v2.tif', { seed: 3, laid: { dx: 3 } });
    const after = await composite();
    await rm(join(issue.folder, '.platehand'), { recursive: true });
    expect(after.length).toBe(2);
    expect(await composite()).toEqual(after);
  });

  test("that shows another page's picture stops its page, and the other's that shows this one", async () => {
    await drop('p1 line v1.tif', { seed: 3 });
    await drop('p2 line v1.tif', { seed: 4 });
    await run();
    await drop('p1 line v2.tif', { seed: 4 });
    const [first] = await run();
    expect(codesOf(first)).toEqual(['version-of-another-page stop']);
    expect(first.state).toBe('stopped');
    expect(first.why).toContain('picture of page 2');
    await drop('p2 line v2.tif', { seed: 3 });
    expect((await run()).map(codesOf)).toEqual([
      ['version-of-another-page stop'],
      ['version-of-another-page stop'],
    ]);
  });

  test('that puts a wrong one right lifts the stop, of one page and of two that were exchanged', async () => {
    await drop('p1 line v1.tif', { seed: 3 });
    await drop('p2 line v1.tif', { seed: 4 });
    await run();
    await drop('p1 line v2.tif', { seed: 4 });
    expect(codesOf((await run())[0])).toEqual(['version-of-another-page stop']);
    await drop('p1 line v3.tif', { seed: 3, laid: { dx: 0.01 } });
    expect((await run()).flatMap(codesOf)).toEqual([]);
    await drop('p1 line v4.tif', { seed: 4 });
    await drop('p2 line v4.tif', { seed: 3 });
    expect((await run()).flatMap(codesOf)).toHaveLength(2);
    await drop('p1 line v5.tif', { seed: 3, laid: { dx: 0.02 } });
    await drop('p2 line v5.tif', { seed: 4, laid: { dx: 0.02 } });
    const mended = await run();
    expect(mended.flatMap(codesOf)).toEqual([]);
    expect((await run()).map(({ state }) => state)).toEqual(mended.map(({ state }) => state));
  });

  test('that is broken leaves what stands, also after going back to an older one', async () => {
    await drop('p1 line v1.tif', { seed: 3 });
    await run();
    const first = await pressOf(1);
    await drop('p1 line v2.tif', { seed: 8 });
    await run();
    await rm(join(issue.folder, 'incoming', 'p1 line v2.tif'));
    await run();
    expect(await pressOf(1)).toBe(first);
    const whole = await readFile(join(issue.folder, 'incoming', 'p1 line v1.tif'));
    await issue.drop('p1 line v3.tif', whole.subarray(0, 4000));
    const [page] = await run();
    expect(page.state).toBe('stopped');
    expect(page.standsMeanwhile?.used.map(({ name }) => name)).toEqual(['p1 line v1.tif']);
    expect(await pressOf(1)).toBe(first);
  });

  test("that shows another page's picture is never in press, and the version before can go out", async () => {
    await drop('p1 line v1.tif', { seed: 3 });
    await drop('p2 line v1.tif', { seed: 4 });
    await run();
    const first = await pressOf(1);
    await drop('p1 line v2.tif', { seed: 4, laid: { dx: 0.01 } });
    const [page] = await run();
    expect(page.state).toBe('stopped');
    expect(page.standsMeanwhile?.used.map(({ name }) => name)).toEqual(['p1 line v1.tif']);
    expect(await pressOf(1)).toBe(first);
    const [looked] = (await readStatus(issue.job)).report.pages;
    expect(looked.standsMeanwhile).toEqual(page.standsMeanwhile);
    const { bundle, toLookAt } = await deliver(issue.job, { runner: pagesHere, earlier: ['1'] });
    expect(bundle.verified.ok).toBe(true);
    expect(toLookAt.map(({ page, code }) => `${page} ${code}`)).toEqual(['1 earlier-version']);
    expect(await pressOf(1)).toBe(first);
  });

  test('that another run has placed meanwhile is judged beside all pages, and what stands is told', async () => {
    for (const page of [1, 2]) await drop(`p${page} line v1.tif`, { seed: page + 2 });
    await run();
    await drop('p2 line v2.tif', { seed: 4, laid: { dx: 0.02 } });
    let once: Promise<unknown> | undefined;
    const [page] = (
      await runIssue(issue.job, {
        pages: ['2'],
        runner: {
          ...pagesHere,
          async run(request, signal) {
            once ??= drop('p1 line v2.tif', { seed: 4, laid: { dx: 0.01 } }).then(() => run());
            await once;
            return pagesHere.run(request, signal);
          },
        },
      })
    ).pages;
    expect(page.state).toBe('stopped');
    expect(page.standsMeanwhile?.used.map(({ name }) => name)).toEqual(['p1 line v1.tif']);
  });

  test('that is wrong is told also behind a broken or another wrong one', async () => {
    await drop('p1 line v1.tif', { seed: 3 });
    await drop('p2 line v1.tif', { seed: 4 });
    await run();
    const first = await pressOf(1);
    await drop('p1 line v2.tif', { seed: 4 });
    await run();
    for (const [version, dx] of [0.01, 0.02, 0.03, 0.04].entries()) {
      await drop(`p1 line v${version + 3}.tif`, { seed: 4, laid: { dx } });
      expect(codesOf((await run())[0])).toEqual(['version-of-another-page stop']);
    }
    const whole = await readFile(join(issue.folder, 'incoming', 'p1 line v1.tif'));
    await issue.drop('p1 line v7.tif', whole.subarray(0, 4000));
    await run();
    await drop('p1 line v8.tif', { seed: 4, laid: { dx: 0.05 } });
    expect(codesOf((await run())[0])).toEqual(['version-of-another-page stop']);
    expect(await pressOf(1)).toBe(first);
  });

  test('that another page shows to be wrong only later leaves press again', async () => {
    await drop('p1 line v1.tif', { seed: 3 });
    await run();
    const first = await pressOf(1);
    await drop('p1 line v2.tif', { seed: 4 });
    expect(codesOf((await run())[0])).toEqual(['version-differs warn']);
    expect(await pressOf(1)).not.toBe(first);
    await drop('p2 line v1.tif', { seed: 4, laid: { dx: 0.01 } });
    const [page] = await run();
    expect(codesOf(page)).toEqual(['version-of-another-page stop']);
    expect(page.standsMeanwhile?.used.map(({ name }) => name)).toEqual(['p1 line v1.tif']);
    expect(await pressOf(1)).toBe(first);
  });

  test('that shows next to nothing any more stops its page', async () => {
    await drop('p1 line v1.tif', { seed: 3 });
    await run();
    const first = await pressOf(1);
    const blank = new Uint8Array(900 * 1200).fill(255);
    const raster: Raster = { width: 900, height: 1200, model: 'grey', alpha: false, data: blank };
    await issue.drop('p1 line v2.tif', await tiffOf(raster, 600));
    const [page] = await run();
    expect(page.state).toBe('stopped');
    expect(codesOf(page)).toEqual(['version-blank stop']);
    expect(await pressOf(1)).toBe(first);
  });

  test('of which only press files are made never stands beside plates of the last one', async () => {
    await drop('p1 line v1.tif', { seed: 3 });
    await run();
    await drop('p1 line v2.tif', { seed: 8 });
    const { pages } = await runIssue(issue.job, { runner: pagesHere, products: ['press'] });
    expect(pages[0]).toMatchObject({ state: 'ready', standsMeanwhile: undefined });
    expect(await readdir(join(issue.folder, 'plates'))).toEqual([]);
  });

  test('that was drawn anew asks for a look', async () => {
    await drop('p1 line v1.tif', { seed: 3 });
    await run();
    await drop('p1 line v2.tif', { seed: 8 });
    expect(codesOf((await run())[0])).toEqual(['version-differs warn']);
  });
});
