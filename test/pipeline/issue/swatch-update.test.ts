import { readdir, readFile, stat, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Job, Swatch } from '../../../config/job.js';
import type { PageReport } from '../../../pipeline/issue/report.js';
import { swatchesInPrint, swatchesOnPages, updateSwatches } from '../../../pipeline/issue/swatch-update.js';
import { oklabOf } from '../../../pipeline/palette/oklab.js';
import { openSmallIssue, type SmallIssue } from '../../helpers/small-issue.js';

let issue: SmallIssue;
beforeEach(async () => {
  issue = await openSmallIssue();
});
afterEach(() => issue.remove());

const coat: Swatch = {
  name: 'coat',
  character: 'Mara',
  colour: { kind: 'srgb', srgb: [200, 144, 112] },
  toleranceDe: 5,
};
const withSwatches = (swatches: readonly Swatch[] = [coat]): Job => ({ ...issue.job, swatches });

/** What a run says of a page that was separated for a press. */
function made(page: string, press: string): PageReport {
  const colours = [
    { oklab: oklabOf([201, 144, 111]), sharePercent: 20, xMm: 4, yMm: 6 },
    { oklab: oklabOf([220, 230, 240]), sharePercent: 80, xMm: 0, yMm: 0 },
  ];
  const condition = {
    id: press,
    profileSha256: `profile of ${press}`,
    inks: ['cyan', 'magenta', 'yellow', 'black'],
  };
  return { page, condition, measures: { palette: { colourPercent: 90, colours } } } as unknown as PageReport;
}

const inPalettes = async () => (await readdir(join(issue.folder, 'palettes')).catch(() => [])).sort();
const timeOf = async (name: string) => (await stat(join(issue.folder, 'palettes', name))).mtimeMs;

describe('the swatches of an issue', () => {
  test('have a sheet a press condition and a table, which stay while nothing has changed', async () => {
    const pages = [made('1', 'cgats-tr006'), made('2', 'cgats-tr006')];
    expect(await updateSwatches(withSwatches(), pages, true)).toEqual(['palettes/swatches_cgats-tr006.png']);
    expect(await inPalettes()).toEqual(['swatches.csv', 'swatches_cgats-tr006.png']);
    const { width, density } = await sharp(
      join(issue.folder, 'palettes', 'swatches_cgats-tr006.png'),
    ).metadata();
    expect([(width ?? 0) > 500, density]).toEqual([true, 150]);
    const table = await readFile(join(issue.folder, 'palettes', 'swatches.csv'), 'utf8');
    expect(
      table
        .split('\r\n')
        .slice(1, 3)
        .map((line) => line.split(',').slice(7, 11)),
    ).toEqual([
      ['1', '', 'light', 'kept'],
      ['2', '', 'light', 'kept'],
    ]);

    const drawnAt = await timeOf('swatches_cgats-tr006.png');
    await updateSwatches(withSwatches(), pages, true);
    // A daemon draws none, and leaves what still holds.
    await updateSwatches(withSwatches(), pages, false);
    expect(await timeOf('swatches_cgats-tr006.png')).toBe(drawnAt);

    // Once it would be another, it does not stand there any more.
    const other: Swatch = { ...coat, name: 'cape' };
    expect(await updateSwatches(withSwatches([other]), pages, false)).toEqual([]);
    expect(await inPalettes()).toEqual(['swatches.csv']);
    expect(await readFile(join(issue.folder, 'palettes', 'swatches.csv'), 'utf8')).toContain('Mara,cape,');
  });

  test('that are no more leave nothing behind, and files of others alone', async () => {
    const pages = [made('1', 'cgats-tr006')];
    await updateSwatches(withSwatches(), pages, false);
    await writeFile(join(issue.folder, 'palettes', 'notes.txt'), 'mine');
    expect(await updateSwatches(withSwatches([]), pages, true)).toEqual([]);
    expect(await inPalettes()).toEqual(['notes.txt']);
  });

  test('of a job without any make no folder', async () => {
    await updateSwatches(issue.job, [made('1', 'cgats-tr006')], true);
    expect(await readdir(issue.folder)).not.toContain('palettes');
  });

  test('are had by programs too, with figures and refusals', async () => {
    const sightings = swatchesOnPages(withSwatches(), [made('1', 'cgats-tr006')]);
    expect(sightings.map(({ page, verdict }) => [page, verdict])).toEqual([['1', 'kept']]);
    await expect(swatchesInPrint(issue.job)).rejects.toThrow(/no swatches/);
    const elsewhere = { kind: 'shipped', name: 'fogra29l' } as const;
    await expect(swatchesInPrint(withSwatches(), elsewhere)).rejects.toThrow(/No page of this issue prints/);
  });
});
