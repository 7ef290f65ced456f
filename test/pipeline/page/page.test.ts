import { afterEach, describe, expect, test } from 'vitest';
import { deliver } from '../../../pipeline/bag/deliver.js';
import { IncompleteIssueError } from '../../../pipeline/bag/refusals.js';
import { runIssue } from '../../../pipeline/issue/run-issue.js';
import { writeOpenRaster } from '../../helpers/openraster-fixtures.js';
import { plainTiff } from '../../helpers/page-through.js';
import { pagesHere } from '../../helpers/pages-here.js';
import { writePng } from '../../helpers/png-fixtures.js';
import { drawn } from '../../helpers/rasters.js';
import {
  colourPage,
  dropAll,
  inksPage,
  inksTiffOf,
  lineSize,
  openSmallIssue,
  type SmallIssue,
  smallJob,
  tiffOf,
} from '../../helpers/small-issue.js';

let issue: SmallIssue | undefined;
afterEach(async () => {
  await issue?.remove();
  issue = undefined;
});

async function issueWith(extra: string): Promise<SmallIssue> {
  issue = await openSmallIssue(`${smallJob}${extra}`);
  await dropAll(issue);
  return issue;
}

describe('findings that job.yaml accepts', () => {
  test('let a page through when there is a page to print, and stay on record', async () => {
    const { job } = await issueWith('  - page: 4\n    accept: { bleed-empty: "a white frame is meant" }\n');
    const white = drawn(441, 599, 'rgb', (x, y) =>
      x < 30 || y < 30 || x > 410 || y > 568 ? [255, 255, 255] : [90, 120, 60],
    );
    await issue?.drop('p4.tif', await tiffOf(white));
    const report = await runIssue(job, { runner: pagesHere, pages: ['4'] });
    const page = report.pages[4];
    expect(page.state).toBe('done');
    expect(page.findings.find(({ code }) => code === 'bleed-empty')).toMatchObject({
      severity: 'note',
      accepted: 'a white frame is meant',
    });
  });

  test.each([
    ['picture-unreadable', async () => (await tiffOf(colourPage())).subarray(0, 3000)],
    ['shape-wrong', () => tiffOf(drawn(300, 300, 'rgb', () => [90, 120, 60]))],
  ])('never make a page count as ready that cannot be made: %s', async (code, bytes) => {
    const { job } = await issueWith(`  - page: 4\n    accept: { ${code}: "let it go" }\n`);
    await issue?.drop('p4.tif', await bytes());
    const refused = (await deliver(job, { runner: pagesHere }).catch(
      (thrown: unknown) => thrown,
    )) as IncompleteIssueError;
    expect(refused).toBeInstanceOf(IncompleteIssueError);
    expect(refused.blocking).toMatchObject([{ page: '4', state: 'stopped' }]);
    expect(refused.report.pages[4].findings[0]).toMatchObject({ code, severity: 'stop' });
  });
});

test('too much ink in CMYK numbers is held against the limit of the press, and its source is named', async () => {
  const { job } = await issueWith('  - page: 4\n');
  await issue?.drop(
    'p4.tif',
    plainTiff(
      drawn(441, 599, 'cmyk', () => [255, 255, 255, 255]),
      200,
    ),
  );
  const report = await runIssue(job, { runner: pagesHere, pages: ['4'] });
  const page = report.pages[4];
  expect(page.state).toBe('stopped');
  const over = page.findings.find(({ code }) => code === 'ink-over-limit');
  expect(over?.source).toBe(page.condition?.inkLimitSource);
  expect(over?.source).not.toMatch(/job\.yaml/);
});

describe('line that is not called line', () => {
  const inked = (x: number, y: number) => x > 100 && x < 300 && y % 60 < 12;
  const layer = (of: (x: number, y: number) => readonly number[]) => {
    const { width, height, data } = {
      ...lineSize,
      data: new Uint8Array(lineSize.width * lineSize.height * 4),
    };
    for (let i = 0; i < width * height; i++) data.set(of(i % width, Math.floor(i / width)), i * 4);
    return { width, height, colourType: 6 as const, bits: 8, data };
  };
  const pictures = {
    'data/1.png': layer((x, y) => (inked(x, y) ? [0, 0, 0, 255] : [0, 0, 0, 0])),
    'data/2.png': layer(() => [208, 48, 48, 255]),
  };
  const pageOf = (inks: string) =>
    writeOpenRaster(
      `<image w="441" h="599"><stack><layer name="${inks}" src="data/1.png"/><layer name="paint" src="data/2.png"/></stack></image>`,
      pictures,
    );

  test('in layers is lifted as from a flat picture, and somebody should look', async () => {
    const { job } = await issueWith('  - pages: 4-5\n');
    await issue?.drop('p4.ora', pageOf('Layer 7'));
    await issue?.drop('p5.ora', pageOf('line'));
    const { pages } = await runIssue(job, { runner: pagesHere, pages: ['4', '5'] });
    const [unnamed, named] = [pages[4], pages[5]];
    expect(unnamed.findings.find(({ code }) => code === 'line-unnamed')?.severity).toBe('warn');
    expect(named.findings.map(({ code }) => code)).not.toContain('line-unnamed');
    const lineOf = (page: typeof named) => page.outputs.find(({ role }) => role === 'line')?.sha256;
    expect(lineOf(unnamed)).toBeDefined();
    expect(lineOf(unnamed)).toBe(lineOf(named));
    const magentaOf = (page: typeof named) => page.measures?.coveragePercent.magenta ?? 0;
    expect(magentaOf(unnamed)).toBeCloseTo(magentaOf(named), 0);
  });

  test('in inks saved with black and white exchanged, somebody should look', async () => {
    const { job } = await issueWith('  - page: 4\n');
    const inverted = drawn(441, 599, 'grey', (x, y) => [inked(x, y) ? 255 : 0]);
    await issue?.drop('p4 colour.tif', await tiffOf(colourPage()));
    await issue?.drop('p4 inks.tif', await inksTiffOf(inverted));
    const { pages } = await runIssue(job, { runner: pagesHere, pages: ['1', '4'] });
    const codesOf = (index: number) => pages[index].findings.map(({ code }) => code);
    expect(codesOf(4)).toContain('line-mostly-ink');
    expect(codesOf(1)).not.toContain('line-mostly-ink');
  });
});

describe('a page of parts', () => {
  test('is stopped with what to do when the layers of one are of another size', async () => {
    const { job } = await issueWith('  - page: 4\n    needs: [colour, lettering]\n');
    const layer = {
      width: 441,
      height: 599,
      colourType: 6 as const,
      bits: 8,
      data: new Uint8Array(441 * 599 * 4),
    };
    const stack = '<image w="441" h="599"><stack><layer name="words" src="data/l.png"/></stack></image>';
    await issue?.drop('p4 colour.tif', await tiffOf(drawn(221, 300, 'rgb', () => [90, 120, 60])));
    await issue?.drop('p4 lettering.ora', writeOpenRaster(stack, { 'data/l.png': layer }));
    const report = await runIssue(job, { runner: pagesHere, pages: ['4'] });
    expect(report.pages[4]).toMatchObject({ state: 'stopped', outputs: [] });
    expect(report.pages[4].findings.at(-1)).toMatchObject({
      code: 'picture-unsupported',
      message: expect.stringContaining('441 x 599 px on 221 x 300 px'),
      remedy: expect.stringContaining('flat TIFF or PNG'),
    });
  });

  test('may have line of 1 bit in which paper is transparent', async () => {
    const { job } = await issueWith('  - page: 4\n');
    const inks = inksPage();
    const bits = Array.from(inks.data, (sample) => (sample < 128 ? 0 : 1));
    // tRNS of a grey picture: the grey level that is transparent, as 16 bit (PNG, third edition, 11.3.1.1).
    const clear = writePng({
      ...inks,
      colourType: 0,
      bits: 1,
      data: bits,
      chunks: [['tRNS', Uint8Array.of(0, 1)]],
    });
    await issue?.drop('p4 colour.tif', await tiffOf(colourPage()));
    await issue?.drop('p4 inks.png', clear);
    const report = await runIssue(job, { runner: pagesHere, pages: ['1', '4'] });
    expect(report.pages[4].findings.filter(({ severity }) => severity === 'stop')).toEqual([]);
    const line = (id: number) => report.pages[id].measures?.coveragePercent.line;
    expect(line(4)).toBeGreaterThan(0);
    expect(line(4)).toBe(line(1));
  });

  test('names the file of the line when the line holds grey', async () => {
    const { job } = await issueWith('  - page: 4\n');
    const washed = drawn(441, 599, 'grey', (x, y) => [x > 100 && x < 300 && y > 100 && y < 300 ? 128 : 255]);
    await issue?.drop('p4 colour.tif', await tiffOf(colourPage()));
    await issue?.drop('p4 inks.tif', await tiffOf(washed));
    const report = await runIssue(job, { runner: pagesHere, pages: ['4'] });
    expect(report.pages[4].findings.find(({ code }) => code === 'line-grey')).toMatchObject({
      file: 'p4 inks.tif',
    });
  });

  test('is stopped as a whole when one part cannot be read, and its name is told', async () => {
    const { job } = await issueWith('  - page: 4\n');
    await issue?.drop('p4 colour.tif', await tiffOf(colourPage()));
    await issue?.drop('p4 inks.tif', (await inksTiffOf(inksPage())).subarray(0, 200));
    const report = await runIssue(job, { runner: pagesHere, pages: ['4'] });
    expect(report.pages[4]).toMatchObject({ state: 'stopped', outputs: [] });
    expect(report.pages[4].findings[0]).toMatchObject({ severity: 'stop', file: 'p4 inks.tif' });
  });
});
