import { readdir, rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import type { ExtraInk } from '../../../config/extra-ink.js';
import { parseJob } from '../../../config/load-job.js';
import type { Press } from '../../../config/press.js';
import type { PrintSpec } from '../../../config/print-spec.js';
import { planIssue } from '../../../pipeline/issue/plan.js';
import { runIssue } from '../../../pipeline/issue/run-issue.js';
import { type ProductName, productNames } from '../../../pipeline/model/page-result.js';
import { pageKeys } from '../../../pipeline/page/page-key.js';
import { pagesHere } from '../../helpers/pages-here.js';
import { testPage } from '../../helpers/reconcile-job.js';
import {
  colourPage,
  inksPage,
  inksTiffOf,
  openSmallIssue,
  type SmallIssue,
  smallHead,
  tiffOf,
} from '../../helpers/small-issue.js';
import { specWith } from '../../helpers/specs.js';

/** The small issue with one page, so that a run takes a moment. */
const oneJob = `${smallHead}scenes:
  - id: quarry
    title: The quarry at noon
pages:
  - page: 1
    scene: quarry
`;

const print = (setting: string) => oneJob.replace('  press:', `  ${setting}\n  press:`);
const everything = [...productNames];

/** job.yaml with something changed, and what has to be made anew for it. */
const changes: readonly (readonly [setting: string, jobYaml: string, anew: readonly ProductName[]])[] = [
  ['due', `${oneJob}due: 2026-12-04T17:00:00+01:00\n`, []],
  ['number', `${oneJob}number: 2\n`, []],
  ['the title of a scene', oneJob.replace('at noon', 'at night'), ['proof']],
  ['the kind of a page', oneJob.replace('page: 1', 'page: 1\n    kind: cover'), []],
  ['an extra ink that no file brings', `${oneJob}extraInks: [{ id: gold, shownAs: [0, 20, 70, 20] }]\n`, []],
  ['safe', oneJob.replace('safe: 5', 'safe: 6'), ['proof']],
  ['title', oneJob.replace('The Quarry Bells', 'The Quarry'), ['pdf', 'proof']],
  ['accept', `${oneJob}    accept:\n      bleed-empty: the white edge is meant\n`, ['proof']],
  ['untagged', print('untagged: srgb'), ['proof']],
  ['allowEnlarging', print('allowEnlarging: true'), ['proof']],
  ['proofPpi', oneJob.replace('proofPpi: 72', 'proofPpi: 80'), ['proof', 'thumbnail', 'views']],
  ['proofPaperWhite', print('proofPaperWhite: true'), ['proof', 'thumbnail', 'views']],
  ['proofBoxes', print('proofBoxes: false'), ['proof']],
  ['pdf', print('pdf: x-1a'), ['pdf']],
  ['marks', print('marks: true'), ['pdf']],
  ['blackPlate', print('blackPlate: withLine'), ['plates']],
  ['inkLimitConfirmed', print('inkLimitConfirmed: true'), []],
  ['delivery files', `${oneJob}delivery: {files: [pdf]}\n`, []],
  ['bleed', oneJob.replace('bleed: 3', 'bleed: 2.9'), everything],
  ['trim', oneJob.replace('[50, 70]', '[50, 70.2]'), everything],
  ['colourPpi', oneJob.replace('colourPpi: 100', 'colourPpi: 120'), everything],
  ['linePpi', oneJob.replace('linePpi: 200', 'linePpi: 180'), everything],
  ['press', oneJob.replace('cgats-tr006', 'fogra39l'), everything],
  ['inks', print('inks: [black]'), everything],
  ['inkLimit', print('inkLimit: 290'), everything],
  ['intent', print('intent: perceptual'), everything],
  ['blackPointCompensation', print('blackPointCompensation: false'), everything],
  ['line', print('line: {threshold: 40}'), everything],
  ['support', print('support: {choke: 0.3}'), everything],
  ['fidelity', print('fidelity: {warn: 4}'), ['proof', 'views']],
  ['checks', print('checks: {thinLineMm: 0.2}'), ['proof', 'views']],
  ['inkSaving', print('inkSaving: {enabled: true}'), everything],
  ['inkSaving that is off', print('inkSaving: {enabled: false, most: 2}'), []],
  ['plateShiftMm', print('plateShiftMm: 0.2'), ['proof']],
  ['clean', `${oneJob}    clean: specks\n`, everything],
  ['register', `${oneJob}    register: {line: auto}\n`, everything],
  ['parts', `${oneJob}parts:\n  line: [quill]\n`, everything],
  ['naming', print('naming: "{page}_{issue}"'), everything],
];

async function openWithPage(jobYaml = oneJob): Promise<SmallIssue> {
  const opened = await openSmallIssue(jobYaml);
  await opened.drop('QRY02_p1_colour.tif', await tiffOf(colourPage()));
  await opened.drop('QRY02_p1_inks.tif', await inksTiffOf(inksPage()));
  return opened;
}

const madeIn = async ({ folder }: SmallIssue, jobYaml: string) => {
  const { pages } = await runIssue(parseJob(jobYaml, folder), { runner: pagesHere });
  return pages.map(({ outputs, findings }) => ({ outputs, findings }));
};

/** Folders of the results that an issue keeps, each named by its key. */
async function resultFolders({ folder }: SmallIssue): Promise<string[]> {
  const results = join(folder, '.platehand', 'results');
  const pages = await readdir(results);
  const found = await Promise.all(
    pages.map(async (page) => (await readdir(join(results, page))).map((key) => join(results, page, key))),
  );
  return found.flat();
}

describe('a setting', () => {
  /** Made once as it was before the change; what a change made is taken away before the next. */
  let issue: SmallIssue;
  let before: readonly string[] = [];
  beforeAll(async () => {
    issue = await openWithPage();
    await runIssue(issue.job, { runner: pagesHere });
    before = await resultFolders(issue);
  });
  afterEach(async () => {
    for (const folder of await resultFolders(issue)) {
      if (!before.includes(folder)) await rm(folder, { recursive: true });
    }
    expect(await resultFolders(issue)).toEqual(before);
  });
  afterAll(() => issue.remove());

  test.each(changes)(
    '%s has made anew what depends on it, and nothing else',
    async (_name, jobYaml, anew) => {
      const changed = parseJob(jobYaml, issue.folder);
      const { runs } = await planIssue(changed, { pages: undefined, products: productNames });
      expect(runs[0].request?.products ?? []).toEqual(anew);
      // Where all is made anew there is nothing that could have been taken over.
      if (anew.length === everything.length) return;
      // What was taken over is what would have been made.
      const apart = await openWithPage(jobYaml);
      try {
        expect(await madeIn(issue, jobYaml)).toEqual(await madeIn(apart, jobYaml));
      } finally {
        await apart.remove();
      }
    },
  );
});

describe('a setting that is changed', () => {
  let issue: SmallIssue;
  beforeEach(async () => {
    issue = await openWithPage();
  });
  afterEach(() => issue.remove());

  test.each([
    ['safe', oneJob.replace('safe: 5', 'safe: 6'), false],
    ['a scene', oneJob.replace('at noon', 'at night'), true],
  ])('such as %s has the contact sheet drawn anew only if it shows there', async (_name, jobYaml, anew) => {
    const writtenAt = async () => (await stat(join(issue.folder, 'proofs', 'contact-sheet.png'))).mtimeMs;
    await runIssue(issue.job, { runner: pagesHere });
    const before = await writtenAt();
    await madeIn(issue, jobYaml);
    expect((await writtenAt()) !== before).toBe(anew);
  });

  test('that was changed back has nothing made anew', async () => {
    await runIssue(issue.job, { runner: pagesHere });
    await madeIn(issue, oneJob.replace('safe: 5', 'safe: 6'));
    const { runs } = await planIssue(issue.job, { pages: undefined, products: productNames });
    expect(runs[0].request).toBeUndefined();
  });
});

describe('the key of a page', () => {
  const press: Press = {
    id: 'cgats-tr006',
    title: 'a press',
    shipped: undefined,
    profile: new Uint8Array(),
    sha256: '',
    inkLimitPercent: 320,
    inkLimitSource: 'a test',
    plateShiftMm: 0.1,
    plateShiftSource: 'a test',
  };
  const keyOf = (change: Partial<PrintSpec>, extraInks?: readonly ExtraInk[]) =>
    pageKeys(
      {
        ...{ issue: 'QRY02', title: '', units: 'mm', scene: undefined, baseName: 'QRY02_1', files: [] },
        page: testPage('4-5', [4, 5], { spec: specWith({ spreads: 'split', ...change }) }),
        partWords: { colour: [], line: [], lettering: [], flats: [] },
        ...(extraInks === undefined ? {} : { extraInks }),
      },
      press,
    ).key;

  /** One other value of every field: the type asks for a new field here as well. No pixel and no finding follows from a confirmed limit. */
  const others: {
    readonly [Field in keyof Omit<PrintSpec, 'press' | 'untaggedAs' | 'inkLimitConfirmed'>]: PrintSpec[Field];
  } = {
    trim: { widthMm: 100, heightMm: 150 },
    bleedMm: 4,
    safeMm: 7,
    colourPpi: 350,
    linePpi: 1200,
    proofPpi: 150,
    inks: ['black'],
    inkLimitPercent: 280,
    intent: 'absolute',
    blackPointCompensation: false,
    proofPaperWhite: true,
    proofBoxes: false,
    untaggedStated: true,
    allowEnlarging: true,
    line: { ...specWith().line, thresholdPercent: 51 },
    support: { ...specWith().support, minWidthMm: 3 },
    fidelity: { ...specWith().fidelity, edgeDe: 9 },
    checks: { ...specWith().checks, thinLineMm: 0.2 },
    inkSaving: { ...specWith().inkSaving, enabled: true },
    plateShiftMm: 0.2,
    spreads: 'both',
    foldBleedMm: 2,
    pdf: 'x-1a',
    marks: true,
    blackPlate: 'withLine',
  };

  const gold: ExtraInk = {
    ...{ id: 'gold', name: 'gold', shownAs: [0, 20, 70, 20], bits: 8, overprints: true, inTotal: true },
  };
  /** One other value of every field of an extra ink. */
  const otherInks: { readonly [Field in keyof ExtraInk]: ExtraInk[Field] } = {
    ...{ id: 'dust', name: 'Gold 871', shownAs: [0, 20, 70, 21], bits: 1, overprints: false, inTotal: false },
  };

  test.each(Object.entries(otherInks))(
    'changes with %s of an extra ink that its files bring',
    (field, value) => {
      const one = keyOf({}, [gold]);
      expect(one).not.toBe(keyOf({}));
      expect(keyOf({}, [{ ...gold, [field]: value }])).not.toBe(one);
    },
  );

  test.each(Object.entries(others))('changes with %s of the print spec', (field, value) => {
    expect(keyOf({ [field]: value })).not.toBe(keyOf({}));
  });

  test('does not change with where the profile stands: its bytes count', () => {
    expect(keyOf({ press: { kind: 'file', path: '/elsewhere/press.icc' } })).toBe(keyOf({}));
  });
});
