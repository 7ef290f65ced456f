import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { planIssue } from '../../../pipeline/issue/plan.js';
import { reportOf } from '../../../pipeline/issue/report.js';
import { runIssue } from '../../../pipeline/issue/run-issue.js';
import { sheetRequest } from '../../../pipeline/issue/sheet-request.js';
import { scenePalettes } from '../../../pipeline/issue/story.js';
import type { ColourScriptRequest, SheetRequest } from '../../../pipeline/model/sheet-request.js';
import {
  type SentSheet,
  sentSheet,
  sheetHere,
  sheetJobId,
  thumbnailsOf,
} from '../../../pipeline/queue/sent-sheet.js';
import { checkedSheet } from '../../../pipeline/queue/sheet-form.js';
import { pagesHere } from '../../helpers/pages-here.js';
import { dropAll, openSmallIssue, type SmallIssue } from '../../helpers/small-issue.js';

type Fields = Record<string, unknown>;

describe('a picture of an issue from the queue', () => {
  let issue: SmallIssue;
  let sheet: SheetRequest;
  let script: ColourScriptRequest;
  let sent: SentSheet;
  beforeAll(async () => {
    issue = await openSmallIssue();
    await dropAll(issue);
    await runIssue(issue.job, { runner: pagesHere, products: ['proof'] });
    const { reconciliation, runs } = await planIssue(issue.job, { pages: undefined, products: [] });
    const report = reportOf(issue.job, reconciliation, runs, []);
    sheet = sheetRequest(issue.job, report, runs);
    const { title, scenes } = issue.job;
    const story = scenePalettes(issue.job, report);
    script = { kind: 'colour-script', issue: issue.job.issue, title, number: 2, scenes, story };
    const paths = sheet.pages.flatMap(({ thumbnail }) => (thumbnail === undefined ? [] : [thumbnail]));
    sent = sentSheet(sheet, new Map(paths.map(({ path, sha256 }) => [path, { sha256, bytes: 4711 }])));
  });
  afterAll(() => issue.remove());

  const asJson = (value: unknown): unknown => JSON.parse(JSON.stringify(value));
  const changed = (of: unknown, path: string, value: unknown): unknown => {
    const whole = asJson(of) as Fields;
    const steps = path.split('.');
    const last = steps.pop() ?? '';
    let at = whole;
    for (const step of steps) at = at[step] as Fields;
    Object.defineProperty(at, last, { value, enumerable: true, configurable: true });
    return asJson(whole);
  };
  const refusal = (value: unknown): string => {
    try {
      checkedSheet(value);
    } catch (thrown) {
      expect(thrown).toMatchObject({ name: 'PlatehandError', code: 'queue-refused' });
      return (thrown as Error).message;
    }
    return 'taken';
  };

  test('is taken as it was sent, and called by all that it shows', () => {
    for (const one of [sent, script]) {
      expect(asJson(checkedSheet(asJson(one)))).toEqual(asJson(one));
      expect(sheetJobId(checkedSheet(asJson(one)))).toBe(sheetJobId(one));
    }
    expect(thumbnailsOf(sent)).toHaveLength(4);
    expect(sheetJobId(changed(sent, 'pages.1.state', 'stopped') as SentSheet)).not.toBe(sheetJobId(sent));
  });

  test('names no path of the machine that sent it, and is drawn from paths of the one that draws', () => {
    expect(JSON.stringify(sent)).not.toContain(issue.folder);
    const here = new Map(thumbnailsOf(sent).map(({ sha256 }) => [sha256, `/cache/${sha256}`]));
    const drawn = sheetHere(checkedSheet(asJson(sent)), here) as SheetRequest;
    expect(drawn.pages.map(({ thumbnail }) => thumbnail)).toEqual(
      sheet.pages.map(({ thumbnail }) => thumbnail && { ...thumbnail, path: `/cache/${thumbnail.sha256}` }),
    );
  });

  test('is refused with any field that is not as it should be, and the field is named', () => {
    const hostile: readonly (readonly [of: () => unknown, field: string, value: unknown])[] = [
      [() => sent, 'pages.0.thumbnail.sha256', '../../etc/passwd'],
      [() => sent, 'pages.0.thumbnail.path', '/etc/passwd'],
      [() => sent, 'pages.0.thumbnail.bytes', 1e300],
      [() => sent, 'pages.0.aspect', 0],
      [() => sent, 'pages.0.state', 'sold'],
      [() => sent, 'pages.0.numbers', [1, 2, 3]],
      [() => sent, 'pages', 'none'],
      [() => sent, 'title', 'x'.repeat(201)],
      [() => sent, 'title', `a${String.fromCharCode(27)}[2J`],
      [() => sent, 'palettes', { quarry: [{ colour: 'url(x)', sharePercent: 1 }] }],
      [() => sent, 'extra', true],
      [() => script, 'story.pages.0.palette', [{ oklab: [0, 0], sharePercent: 1 }]],
      [() => script, 'story.scenes', {}],
      [() => script, 'kind', 'poster'],
    ];
    for (const [of, field, value] of hostile) {
      expect(refusal(changed(of(), field, value)), `${field} ${value}`).toContain(
        `A picture on the queue is not worked on: ${field.split('.').slice(0, 2).join('.')}`,
      );
    }
    expect(refusal(undefined)).toContain('the picture is missing');
    expect(refusal([])).toMatch(/is not worked on/);
  });
});
