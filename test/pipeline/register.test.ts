import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterEach, describe, expect, test } from 'vitest';
import { runIssue } from '../../pipeline/issue/run-issue.js';
import type { Bitmap, Raster } from '../../pipeline/model/raster.js';
import { type DrawnPage, drawPage, type PageWish, type Style } from '../helpers/drawn-pages.js';
import { pagesHere } from '../helpers/pages-here.js';
import { plateOfBits } from '../helpers/rasters.js';
import { openSmallIssue, type SmallIssue, tiffOf } from '../helpers/small-issue.js';

/** Pages of 2.75 x 4.2 in with their bleed: 825 x 1260 px at 300 ppi, as they are drawn. */
const jobOf = (pages: readonly string[]) => `
issue: FIT01
title: Fit
units: in
print:
  trim: [2.5, 3.95]
  bleed: 0.125
  safe: 0.125
  press: cgats-tr006
pages:
${pages.map((page) => `  - ${page}`).join('\n')}
`;

let issue: SmallIssue | undefined;

afterEach(async () => {
  await issue?.remove();
  issue = undefined;
});

/** White paper with the line's ink in black. */
function scanOf(line: Bitmap): Raster {
  const { width, height, data } = plateOfBits(line);
  return { width, height, model: 'grey', alpha: false, data: data.map((ink) => 255 - ink) };
}

/** Runs an issue of drawn pages, looking only. */
async function looked(style: Style, wishes: readonly PageWish[], setting = '') {
  issue = await openSmallIssue(
    jobOf(
      wishes.map((_, at) => `{ page: ${at + 1}, accept: { bleed-empty: its margins are white }${setting} }`),
    ),
  );
  for (const [at, wish] of wishes.entries()) {
    const { colour, line }: DrawnPage = drawPage(style, wish);
    await issue.drop(`p${at + 1} colour.tif`, await tiffOf(colour, 300));
    await issue.drop(`p${at + 1} line.tif`, await tiffOf(scanOf(line), 600));
  }
  const { pages } = await runIssue(issue.job, { products: [], runner: pagesHere });
  return pages.map((page) => ({ ...page, about: page.findings.filter(({ code }) => codes.has(code)) }));
}

const codes = new Set(['line-shifted', 'line-of-another-page', 'line-fit-unknown', 'line-registered']);

describe('inks that do not fit', () => {
  test('ask for a look where they are turned, with millimetres and degrees', async () => {
    const [page] = await looked('brush', [{ seed: 3, laid: { degrees: 0.6, dx: 3 } }]);
    expect([page.state, page.why]).toEqual(['ready', expect.stringMatching(/to look at first/)]);
    expect(page.about).toMatchObject([
      { code: 'line-shifted', severity: 'warn', limit: 'at most 0.1 mm anywhere on the page' },
    ]);
    expect(page.about[0].measured).toMatch(
      /^0\.2\d mm right, .*0\.[56]\d degrees clockwise.* mm at the farthest/,
    );
  });

  test('are moved where the page asks for it, and that is told', async () => {
    const wish = { seed: 3, laid: { degrees: 0.6, dx: 3 } };
    const [page] = await looked('brush', [wish], ', register: { line: auto }');
    expect(page.about).toMatchObject([{ code: 'line-registered', severity: 'note' }]);
    expect(page.about[0].message).toContain('its pixels were resampled');
    expect(page.measures?.register?.putRight).toBe(true);
  });

  test('lie where they were where nothing can be told, also if they were to be moved', async () => {
    const [page] = await looked('wash', [{ seed: 3, laid: { dx: 9 } }], ', register: { line: auto }');
    expect(page.about).toMatchObject([{ code: 'line-fit-unknown', severity: 'note' }]);
    expect(page.about[0].message).toContain('nothing was moved');
    expect(page.measures?.register?.putRight).toBe(false);
  });

  test('are moved where they are laid beneath lettering', async () => {
    const wish = { seed: 3, laid: { dx: 4 } };
    const { colour, line } = drawPage('brush', wish);
    issue = await openSmallIssue(
      jobOf(['{ page: 1, accept: { bleed-empty: its margins are white }, register: { line: auto } }']),
    );
    await issue.drop('p1 colour.tif', await tiffOf(colour, 300));
    await issue.drop('p1 line.tif', await tiffOf(scanOf(line), 600));
    const lettering = sharp({
      create: { width: 1650, height: 2520, channels: 4, background: { r: 0, g: 0, b: 0, alpha: 0 } },
    });
    await issue.drop('p1 lettering.png', await lettering.withDensity(600).png().toBuffer());
    const { pages } = await runIssue(issue.job, { products: ['press'], runner: pagesHere });
    const [page] = pages;
    expect(page.findings.map(({ code }) => code)).toContain('line-registered');
    expect(page.findings.map(({ code }) => code)).not.toContain('line-shifted');
    const plate = page.outputs.find(({ role }) => role === 'line');
    const made = await sharp(await readFile(join(issue.folder, 'press', plate?.name ?? '')))
      .toColourspace('b-w')
      .raw()
      .toBuffer();
    const wanted = scanOf(drawPage('brush', { seed: 3 }).line).data;
    let [differing, ink] = [0, 0];
    for (const [at, value] of wanted.entries()) {
      if (value < 128) ink++;
      if (value < 128 !== made[at] < 128) differing++;
    }
    // Within a pixel of its place; where it lay, more than all of it differed.
    expect(differing / ink).toBeLessThan(0.15);
  });

  test('are not spoken of where they fit', async () => {
    const [page] = await looked('cel', [{ seed: 3 }]);
    expect(page.about).toEqual([]);
    expect(page.measures?.register?.verdict).toBe('fits');
  });
});

describe('inks that were exchanged', () => {
  test('stop both pages, and each is told where they belong', async () => {
    const pages = await looked('brush', [
      { seed: 3, grid: 9, inksOf: 4 },
      { seed: 4, grid: 9, inksOf: 3 },
      { seed: 5, grid: 9 },
    ]);
    expect(pages.map(({ state }) => state)).toEqual(['stopped', 'stopped', 'ready']);
    expect(pages.map(({ about }) => about.map(({ message }) => message.split(': ')[1]))).toEqual([
      ['it fits the colour of page 2'],
      ['it fits the colour of page 1'],
      [],
    ]);
  });

  test('are no alarm on a page whose colour says nothing, though another page is drawn from the same inks', async () => {
    const own = drawPage('flat-colour', { seed: 3 });
    issue = await openSmallIssue(jobOf(['{ page: 1 }', '{ page: 2 }']));
    const painted = drawPage('brush', { seed: 3 });
    for (const [name, { colour, line }] of Object.entries({ p1: own, p2: painted })) {
      await issue.drop(`${name} colour.tif`, await tiffOf(colour, 300));
      await issue.drop(`${name} line.tif`, await tiffOf(scanOf(line), 600));
    }
    const { pages } = await runIssue(issue.job, { products: [], runner: pagesHere });
    const about = pages.map(({ findings }) =>
      findings.map(({ code }) => code).filter((code) => codes.has(code)),
    );
    expect(about).toEqual([['line-fit-unknown'], []]);
  });
});
