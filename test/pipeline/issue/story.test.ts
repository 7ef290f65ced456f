import { readFile, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { parseJob } from '../../../config/load-job.js';
import { type IssueReport, runIssue, scenePalettes } from '../../../pipeline/index.js';
import { pagesHere } from '../../helpers/pages-here.js';
import { drawn } from '../../helpers/rasters.js';
import { lineSize, openSmallIssue, type SmallIssue, smallHead, tiffOf } from '../../helpers/small-issue.js';

const jobWith = (setOff: boolean) => `${smallHead}
scenes:
  - id: quarry
    title: The quarry at noon
  - id: before
    title: Before the flood
    setOff: ${setOff}
pages:
  - page: 1
    scene: quarry
  - page: 2
    scene: before
    needs: [colour, line]
`;

/** Sky over sand, with no line at all. */
function page(sky: readonly number[]) {
  return drawn(lineSize.width, lineSize.height, 'rgb', (_, y) =>
    y < lineSize.height * 0.6 ? sky : [200, 170, 120],
  );
}

describe('the colours of an issue', () => {
  let issue: SmallIssue;
  let report: IssueReport;
  const written = ['colour-script.png', 'palettes.csv', 'palettes.css'] as const;
  const timesOf = async () =>
    Promise.all(written.map(async (name) => (await stat(join(issue.folder, 'palettes', name))).mtimeMs));
  const runWith = (setOff: boolean) =>
    runIssue(parseJob(jobWith(setOff), issue.folder), { runner: pagesHere });
  const codesOf = ({ pages }: IssueReport) =>
    pages.map(({ findings }) => findings.map(({ code }) => code).filter((code) => code.startsWith('scene')));

  beforeAll(async () => {
    issue = await openSmallIssue(jobWith(false));
    await issue.drop('QRY02_p01.tif', await tiffOf(page([120, 180, 230])));
    await issue.drop('QRY02_p02_colour.tif', await tiffOf(page([122, 181, 228])));
    report = await runWith(false);
  });
  afterAll(() => issue.remove());

  it('are measured on each page, and on one that still waits for its line', () => {
    expect(report.pages.map(({ state }) => state)).toEqual(
      ['done', 'waiting'].map((state) => expect.stringMatching(`${state}|attention`)),
    );
    const { pages, scenes } = scenePalettes(issue.job, report);
    for (const { palette } of pages) expect(palette[0].sharePercent).toBeGreaterThan(55);
    expect(scenes.map(({ pages: own }) => own)).toEqual([['1'], ['2']]);
  });

  it('stand in palettes/, and are not made again where nothing has changed', async () => {
    const before = await timesOf();
    const csv = await readFile(join(issue.folder, 'palettes', 'palettes.csv'), 'utf8');
    expect(csv).toContain('\r\npage,1,quarry,1,');
    await runWith(false);
    expect(await timesOf()).toEqual(before);
  });

  it('are judged again where job.yaml sets a scene off, and no page is made for it', async () => {
    expect(codesOf(report)).toEqual([[], ['scenes-alike']]);
    const setOff = await runWith(true);
    expect(setOff.workedOn).toEqual([]);
    expect(codesOf(setOff)).toEqual([[], ['scene-not-set-off']]);
  });
});
