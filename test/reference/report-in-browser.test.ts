import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser, Page } from 'playwright-core';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { reportPage } from '../../pipeline/report/report-page.js';
import { auditOf, browserSuite, openAs, openBrowser, type Reader } from '../helpers/browser.js';
import { fabricatedReport } from '../helpers/fabricated-report.js';

/** The report in Chromium, and before axe-core's audit of WCAG 2.2 A and AA. */

const data = fabricatedReport(8);
const { isSkipped, name } = browserSuite('report.html in a browser');

async function jpeg(width: number, height: number): Promise<Buffer> {
  const raw = new Uint8Array(width * height * 3).map((_, i) => (i * 7) % 251);
  return sharp(raw, { raw: { width, height, channels: 3 } })
    .jpeg()
    .toBuffer();
}

describe.skipIf(isSkipped)(name, () => {
  let browser: Browser;
  let folder: string;
  const open = (reader: Reader = {}, more = '') =>
    openAs(browser, `${pathToFileURL(join(folder, 'report.html')).href}${more}`, reader);

  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'report with blanks '));
    await mkdir(join(folder, 'img'));
    await writeFile(join(folder, 'report.html'), reportPage(data));
    const [view, strip] = [await jpeg(52, 80), await jpeg(39, 300)];
    for (const { pictures } of data.pages) {
      for (const { path } of pictures === null ? [] : [pictures, ...pictures.layers]) {
        await writeFile(join(folder, path), path.includes('_view') ? view : strip);
      }
    }
    browser = await openBrowser();
  });
  afterAll(async () => {
    await browser?.close();
    await rm(folder, { recursive: true, force: true });
  });

  test('opens from a file, asks for nothing but its own files, and has every picture', async () => {
    const { page, context, asked, complaints } = await open();
    const widths = await page.evaluate(async () => {
      const all = [...document.images];
      for (const one of all) one.loading = 'eager';
      // What is not shown is not decoded, yet loaded.
      await Promise.all(
        all.map((one) => one.complete || new Promise((done) => one.addEventListener('load', done))),
      );
      return all.map((one) => one.naturalWidth);
    });
    expect(widths.length).toBeGreaterThan(20);
    expect(Math.min(...widths)).toBeGreaterThan(0);
    expect(asked.filter((address) => !/^(file|data):/.test(address))).toEqual([]);
    expect(complaints).toEqual([]);
    await context.close();
  });

  test('has each box where the JSON says, and its number in the list', async () => {
    const { page, context } = await open();
    for (const { page: id, findings, pictures } of data.pages.filter((one) => one.findings.length > 0)) {
      if (pictures === null) continue;
      await page.evaluate((at) => document.getElementById(at)?.scrollIntoView(), `page.${id}`);
      const found = await boxesOf(page, `page.${id}`);
      const wanted = findings.flatMap((finding) =>
        finding.places.map(({ number, box }) => ({ number, box, to: `#f.${id}.${finding.number}` })),
      );
      expect(found.map(({ number, to }) => ({ number, to }))).toEqual(
        wanted.map(({ number, to }) => ({ number, to })),
      );
      for (const [at, { box }] of wanted.entries()) {
        const [left, top, width, height] = found[at].percent;
        for (const [is, be] of [
          [left, box.leftPercent],
          [top, box.topPercent],
          [width, box.widthPercent],
          [height, box.heightPercent],
        ]) {
          expect(Math.abs(is - be), `${id} ${found[at].number}`).toBeLessThan(0.4);
        }
      }
    }
    await context.close();
  });

  test.each(['light', 'dark'] as const)(
    'passes the audit without a violation when it is %s',
    async (colours) => {
      const { page, context } = await open({ colours });
      expect(await auditOf(page)).toEqual([]);
      await context.close();
    },
  );

  test('is walked through with the keyboard: past all else first, then in the order of reading', async () => {
    const { page, context } = await open();
    const focused = () => page.evaluate(() => document.activeElement?.textContent ?? '');
    await page.keyboard.press('Tab');
    expect(await focused()).toBe('Skip to the pages');
    await page.keyboard.press('Tab');
    expect(await focused()).toBe('How it stands');
    await page.keyboard.press('Shift+Tab');
    await page.keyboard.press('Enter');
    await page.keyboard.press('Tab');
    const first = await page.evaluate(() => document.activeElement?.closest('article')?.id);
    expect(first).toBe(`page.${data.pages[0].page}`);
    // The pictures of a page are chosen with the arrows, as any radio buttons.
    const id = data.pages.find(({ findings, pictures }) => findings.length > 1 && pictures !== null)?.page;
    await page.focus(`[id="v.${id}.0"]`);
    await page.keyboard.press('ArrowRight');
    expect(await page.isVisible(`[id="page.${id}"] .heat`)).toBe(true);
    expect(await page.isVisible(`[id="page.${id}"] .plate`)).toBe(false);
    for (let step = 0; step < 3; step++) await page.keyboard.press('ArrowRight');
    expect(await page.isVisible(`[id="page.${id}"] .plate`)).toBe(true);
    // No box stands in the way of who goes on.
    await page.keyboard.press('Tab');
    expect(await page.evaluate(() => document.activeElement?.className)).not.toContain('box');
    await context.close();
  });

  test('goes from a place in the list to its box, and from a box to its finding', async () => {
    const { page, context } = await open();
    const of = data.pages.find(({ findings }) => findings.some(({ places }) => places.length > 0))?.page;
    const link = page.locator(`[id="page.${of}"] dd li a`).first();
    const to = await link.getAttribute('href');
    await link.click();
    expect(await page.evaluate(() => location.hash)).toBe(to);
    expect(await page.locator('.box:target').count()).toBe(1);
    await page.locator('.box:target b').click();
    expect(await page.locator('.finding:target').count()).toBe(1);
    await page.locator(`[id="m.${of}"]`).uncheck();
    expect(await page.locator(`[id="page.${of}"] .box`).first().isVisible()).toBe(false);
    await context.close();
  });

  test('shows only what was chosen, tells how much that is, and keeps it in the address', async () => {
    const { page, context } = await open({}, '?state=stopped#board');
    const shown = () => page.locator('article:not([hidden])').count();
    expect(await page.inputValue('#filter-state')).toBe('stopped');
    expect(await shown()).toBe(data.counts.stopped);
    expect(await page.locator('#rows tbody tr:not([hidden])').count()).toBe(data.counts.stopped);
    await page.selectOption('#filter-state', '');
    await page.selectOption('#filter-kind', 'line-thin');
    await page.selectOption('#filter-scene', 'quay');
    const fitting = data.pages.filter(
      ({ scene, findings }) => scene === 'quay' && findings.some(({ code }) => code === 'line-thin'),
    );
    expect(await shown()).toBe(fitting.length);
    expect(await page.textContent('#chosen')).toBe(`${fitting.length} of ${data.pages.length} pages shown`);
    const others = 'article:not([hidden]) .finding:not([hidden]):not([data-kind="line-thin"])';
    expect(await page.locator(others).count()).toBe(0);
    expect(new URL(page.url()).search).toBe('?scene=quay&kind=line-thin');
    expect(new URL(page.url()).hash).toBe('#board');
    await page.reload();
    expect(await shown()).toBe(fitting.length);
    await page.click('button[type=reset]');
    await page.waitForFunction(() => location.search === '');
    expect(await shown()).toBe(data.pages.length);
    await context.close();
  });

  test.each([[320], [360], [1280]])('needs no sideways scrolling at %i pixels', async (width) => {
    const { page, context } = await open({ width });
    const [wide, view] = await page.evaluate(() => [
      document.documentElement.scrollWidth,
      document.documentElement.clientWidth,
    ]);
    expect(wide).toBeLessThanOrEqual(view);
    await context.close();
  });

  test('is all there without its script, and never turns a picture’s colours', async () => {
    const { page, context } = await open({ javaScript: false, colours: 'dark' });
    expect(await page.locator('article').count()).toBe(data.pages.length);
    expect(await page.isVisible('#filter')).toBe(false);
    const id = data.pages.find(({ pictures }) => pictures !== null)?.page;
    await page.locator(`[id="v.${id}.1"]`).check();
    expect(await page.isVisible(`[id="page.${id}"] .heat`)).toBe(true);
    expect(await page.isVisible(`[id="page.${id}"] .scale.h0`)).toBe(true);
    await context.close();
    const looked = await open({ colours: 'dark' });
    const filters = await looked.page.evaluate(() =>
      [...document.images].map(
        (one) => `${getComputedStyle(one).filter} ${getComputedStyle(one).mixBlendMode}`,
      ),
    );
    expect(new Set(filters)).toEqual(new Set(['none normal']));
    await looked.context.close();
  });

  test('goes on paper: light, without what is only for the screen, on A4', async () => {
    const { page, context } = await open({ colours: 'dark' });
    await page.emulateMedia({ media: 'print' });
    expect(await page.isVisible('nav')).toBe(false);
    expect(await page.isVisible('#filter')).toBe(false);
    expect(await page.evaluate(() => getComputedStyle(document.body).backgroundColor)).toBe(
      'rgb(255, 255, 255)',
    );
    const pdf = String(
      Buffer.from(await page.pdf({ preferCSSPageSize: true, printBackground: true })).toString('latin1'),
    );
    expect(pdf.slice(0, 5)).toBe('%PDF-');
    expect(pdf).toMatch(/\/MediaBox \[0 0 59[45]\.\d+ 841\.\d+\]/);
    await context.close();
  });
});

/** Boxes of a page: number, address and where it lies, in percent of the picture. */
function boxesOf(page: Page, id: string) {
  return page.evaluate((at) => {
    const article = document.getElementById(at);
    const picture = article?.querySelector('.stack > img')?.getBoundingClientRect();
    if (picture === undefined) return [];
    return [...(article?.querySelectorAll('.box') ?? [])].map((box) => {
      const { left, top, width, height } = box.getBoundingClientRect();
      return {
        number: box.textContent,
        to: box.getAttribute('href'),
        percent: [
          ((left - picture.left) / picture.width) * 100,
          ((top - picture.top) / picture.height) * 100,
          (width / picture.width) * 100,
          (height / picture.height) * 100,
        ],
      };
    });
  }, id);
}
