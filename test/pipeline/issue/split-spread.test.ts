import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import { expect, test } from 'vitest';
import { parseJob } from '../../../config/load-job.js';
import { runIssue } from '../../../pipeline/issue/run-issue.js';
import { pagesHere } from '../../helpers/pages-here.js';
import { openSmallIssue, smallJob, tiffOf } from '../../helpers/small-issue.js';
import { columns, dabs, foldX } from '../../helpers/spread-halves.js';

/** The small issue with one spread. */
const jobWith = (print: string) =>
  `${smallJob.slice(0, smallJob.indexOf('pages:'))}pages:\n  - spread: 10-11\n`.replace(
    '  press:',
    `  ${print}\n  press:`,
  );

/** Columns of a press file, as it is stored. */
async function inksOf(folder: string, name: string, left: number, width: number): Promise<Buffer> {
  const picture = sharp(await readFile(join(folder, 'press', name)), { ignoreIcc: true });
  const { height } = await picture.metadata();
  const cmyk = picture.pipelineColourspace('cmyk').toColourspace('cmyk');
  return cmyk.extract({ left, top: 0, width, height }).raw().toBuffer();
}

test('a spread goes out whole and as two single pages, each with the picture of the other at the fold', async () => {
  const yaml = jobWith('spreads: both');
  const issue = await openSmallIssue(yaml);
  try {
    await issue.drop('p10_v2.tif', await tiffOf(columns(dabs(), 0, foldX)));
    await issue.drop('p11_v1.tif', await tiffOf(columns(dabs(), foldX, foldX)));
    const { pages } = await runIssue(parseJob(yaml, issue.folder), { runner: pagesHere });
    const [{ used, outputs }] = pages;
    expect(used.map(({ half, version }) => [half, version])).toEqual([
      [10, 2],
      [11, 1],
    ]);
    const composites = outputs.filter(({ role }) => role === 'composite');
    // 50 + 2 x 3 mm by 70 + 2 x 3 mm at 100 ppi, as any single page of the issue: 220 x 299 px.
    expect(composites.map(({ name, half, width, height }) => [name, half, width, height])).toEqual([
      ['QRY02_10-11.tif', undefined, 417, 299],
      ['QRY02_10.tif', 10, 220, 299],
      ['QRY02_11.tif', 11, 220, 299],
    ]);
    expect(outputs.filter(({ role }) => role === 'proof')).toHaveLength(1);
    expect(outputs.filter(({ role }) => role === 'cyan').map(({ half }) => half)).toEqual([
      undefined,
      10,
      11,
    ]);
    const same = async (half: string, left: number) =>
      (await inksOf(issue.folder, 'QRY02_10-11.tif', left, 220)).equals(
        await inksOf(issue.folder, half, 0, 220),
      );
    expect(await same('QRY02_10.tif', 0)).toBe(true);
    expect(await same('QRY02_11.tif', 197)).toBe(true);
  } finally {
    await issue.remove();
  }
});
