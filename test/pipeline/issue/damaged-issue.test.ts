import sharp from 'sharp';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { parseJob } from '../../../config/load-job.js';
import type { IssueReport } from '../../../pipeline/issue/report.js';
import { runIssue } from '../../../pipeline/issue/run-issue.js';
import type { Raster } from '../../../pipeline/model/raster.js';
import { openPagePool } from '../../../pipeline/runner/page-pool.js';
import { damagedCopies } from '../../helpers/damage.js';
import { mimetypeEntry, openRasterEntries, writeZip } from '../../helpers/openraster-fixtures.js';
import {
  colourPage,
  dropAll,
  flatPage,
  inksPage,
  inksTiffOf,
  lineSize,
  openSmallIssue,
  pngOf,
  type SmallIssue,
  smallJob,
  tiffOf,
} from '../../helpers/small-issue.js';

/** Copies of each format: a seeded sample of the kinds of damage that damaged.test.ts tries 200 times on the reader. */
const copiesPerFormat = 10;
const firstDamaged = 10;

let issue: SmallIssue;
beforeEach(async () => {
  issue = await openSmallIssue();
  await dropAll(issue);
});
afterEach(() => issue.remove());

const goodPages = ['cover', '1', '2', '3'];

/** Checksums of everything that was made of the good pages; their names count zeros by the length of the page list. */
function outputsOf(report: IssueReport): string[] {
  return report.pages
    .filter(({ page }) => goodPages.includes(page))
    .flatMap(({ outputs }) => outputs.map(({ role, sha256 }) => `${role} ${sha256}`));
}

function layeredPage(): Buffer {
  const asPng = (picture: Raster, bits: 8) => {
    const data = Uint8Array.from(picture.data);
    return { ...lineSize, colourType: picture.model === 'rgb' ? 2 : 0, bits, data } as const;
  };
  const stack =
    `<?xml version="1.0" encoding="UTF-8"?><image w="${lineSize.width}" h="${lineSize.height}" version="0.0.5" ` +
    'xres="200" yres="200"><stack><layer name="inks" src="data/1.png" composite-op="svg:multiply"/>' +
    '<layer name="sky" src="data/2.png"/></stack></image>';
  const pictures = { 'data/1.png': asPng(inksPage(), 8), 'data/2.png': asPng(colourPage(), 8) };
  return writeZip([mimetypeEntry, ...openRasterEntries(stack, pictures)]);
}

describe('an issue with damaged files among good pages', () => {
  test('has each damage as a finding on its own page, and completes the others as if it were not there', async () => {
    const alone = outputsOf(await runIssue(issue.job));
    const png = await pngOf(flatPage());
    const formats = {
      tiff: { extension: 'tif', bytes: await tiffOf(flatPage()) },
      png: { extension: 'png', bytes: png },
      jpeg: { extension: 'jpg', bytes: await jpegOf(png) },
      openraster: { extension: 'ora', bytes: layeredPage() },
    };
    const last = firstDamaged + 4 * copiesPerFormat - 1;
    const job = parseJob(`${smallJob}  - pages: ${firstDamaged}-${last}\n`, issue.folder);
    const cut = new Set<string>();
    const dropped = new Map<string, string>();
    let number = firstDamaged;
    for (const [format, { extension, bytes }] of Object.entries(formats)) {
      for (const copy of damagedCopies([bytes], format, copiesPerFormat, 20261125)) {
        const name = `QRY02_p${number}.${extension}`;
        await issue.drop(name, copy.bytes.length === 0 ? Buffer.from('?') : copy.bytes);
        dropped.set(String(number), name);
        if (copy.cut) cut.add(String(number));
        number++;
      }
    }
    const report = await runIssue(job);
    expect(outputsOf(report)).toEqual(alone);
    const stopped = report.pages.filter(({ state }) => state === 'stopped');
    expect(stopped.length).toBeGreaterThanOrEqual(2 * copiesPerFormat);
    for (const { page, findings, outputs } of stopped) {
      expect(goodPages).not.toContain(page);
      const stop = findings.find(({ severity }) => severity === 'stop');
      expect(stop, `page ${page}`).toMatchObject({ page, file: dropped.get(page) });
      expect(stop?.code, `page ${page}`).toMatch(/^(picture-|archive-|shape-|bleed-|colour-ppi)/);
      expect(stop?.remedy.length, `page ${page}`).toBeGreaterThan(10);
      expect(outputs.filter(({ product }) => product === 'press')).toEqual([]);
    }
    for (const page of cut) expect(stopped.map((one) => one.page)).toContain(page);
  });
});

function jpegOf(png: Buffer): Promise<Buffer> {
  return sharp(png).withMetadata({ density: 200 }).jpeg().toBuffer();
}

describe('a page process that is killed in the middle of its work', () => {
  /** Runs the issue in one process at a time and kills the ones that work on page 2, as often as told. */
  async function runKilling(times: number): Promise<IssueReport> {
    const pool = openPagePool(1);
    let left = 0;
    const killed = new Set<number>();
    const killer = setInterval(() => {
      const pid = pool.pids().find((one) => !killed.has(one));
      if (left === 0 || pid === undefined) return;
      left--;
      killed.add(pid);
      process.kill(pid, 'SIGKILL');
    }, 5);
    try {
      return await runIssue(issue.job, {
        runner: pool,
        jobs: 1,
        onEvent: (event) => {
          if (event.kind === 'started') left = event.page === '2' ? times : 0;
        },
      });
    } finally {
      clearInterval(killer);
      await pool.close();
      expect(killed.size).toBe(times);
    }
  }

  test('costs nothing the first time: the page is tried again', async () => {
    const report = await runKilling(1);
    expect(report.pages.map(({ state }) => state)).toEqual(['done', 'done', 'attention', 'done']);
  });

  test('twice is a finding on its page; the others complete, and the next run makes it', async () => {
    const report = await runKilling(2);
    expect(report.pages.map(({ state }) => state)).toEqual(['done', 'done', 'stopped', 'done']);
    expect(report.pages[2].findings).toMatchObject([{ code: 'page-process', severity: 'stop', page: '2' }]);
    expect(report.pages[2].findings[0].message).toMatch(/twice/);
    const again = await runIssue(issue.job);
    expect(again.workedOn).toEqual(['2']);
    expect(again.pages[2].state).toBe('attention');
  });
});

describe('a file that cannot be read', () => {
  test('is a finding on its page while the rest of the issue completes', async () => {
    await issue.drop('QRY02_p02_line_v5.tif', (await inksTiffOf(inksPage())).subarray(0, 150));
    const report = await runIssue(issue.job);
    expect(report.pages.map(({ state }) => state)).toEqual(['done', 'done', 'stopped', 'done']);
    expect(report.pages[2].findings[0].file).toBe('QRY02_p02_line_v5.tif');
  });
});
