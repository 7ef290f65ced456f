import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { parseJob } from '../../../config/load-job.js';
import { type Emptiness, noticeBlank } from '../../../pipeline/checks/blank.js';
import { runIssue } from '../../../pipeline/issue/run-issue.js';
import type { Raster } from '../../../pipeline/model/raster.js';
import { separationOf } from '../../../pipeline/model/separation.js';
import { pagesHere } from '../../helpers/pages-here.js';
import { drawn } from '../../helpers/rasters.js';
import {
  colourPage,
  inksPage,
  inksTiffOf,
  lineSize,
  openSmallIssue,
  type SmallIssue,
  smallJob,
  tiffOf,
} from '../../helpers/small-issue.js';
import { seeded } from '../../helpers/stack-builder.js';

/** Black that stands on every tenth pixel, over a tone of paper with grain. */
const sheetOf = (isDrawn: boolean, toneCounts = 0, grainCounts = 0) => {
  const next = seeded(3);
  const size = { width: 200, height: 100 };
  return separationOf(size, (name) => {
    const plane = new Uint8Array(size.width * size.height);
    for (let i = 0; i < plane.length; i++) {
      plane[i] =
        name === 'black' && isDrawn && i % 10 === 0 ? 255 : toneCounts + Math.round(grainCounts * next());
    }
    return plane;
  });
};

const nothing: Emptiness = {
  coveragePercent: { cyan: 0, magenta: 0, yellow: 0, black: 0, line: 0 },
  hasLineFile: true,
  hasColourFile: true,
  mostColourPercent: 0,
  heldPercent: 0,
  composite: sheetOf(true),
};
const codesOf = (change: Partial<Emptiness['coveragePercent']>, more: Partial<Emptiness> = {}) =>
  noticeBlank({ ...nothing, ...more, coveragePercent: { ...nothing.coveragePercent, ...change } }).map(
    ({ code, severity }) => `${code} ${severity}`,
  );

describe('emptiness', () => {
  test('is told once, by the gravest thing that is missing', () => {
    expect(codesOf({})).toEqual(['page-blank stop']);
    expect(codesOf({ yellow: 12 })).toEqual(['line-empty stop']);
    expect(codesOf({ line: 6 })).toEqual(['colour-empty warn']);
    expect(codesOf({ yellow: 12, line: 6 }, { mostColourPercent: 90 })).toEqual([]);
  });

  test('is dust as well, and no word of lettering', () => {
    expect(codesOf({ line: 0.009 })).toEqual(['page-blank stop']);
    expect(codesOf({ yellow: 12, line: 0.03 }, { mostColourPercent: 90 })).toEqual([]);
  });

  test('is none of the line that moved to the colour plates as a hold', () => {
    expect(codesOf({ yellow: 12 }, { heldPercent: 100, mostColourPercent: 90 })).toEqual([]);
  });

  test('is none of a page in black and white, or painted without inks', () => {
    expect(codesOf({ line: 6 }, { hasColourFile: false })).toEqual([]);
    expect(codesOf({ yellow: 12 }, { hasLineFile: false, mostColourPercent: 90 })).toEqual([]);
  });
});

describe('bare paper', () => {
  const scan = { hasLineFile: false, hasColourFile: false, mostColourPercent: 20 } as const;
  const toned = { yellow: 3, magenta: 2, cyan: 1 };

  test('is told of a scan by its even tone and grain, and of one printed with the colour of its paper', () => {
    expect(codesOf(toned, { ...scan, composite: sheetOf(false, 4, 9) })).toEqual(['page-blank warn']);
    expect(codesOf({ yellow: 6 }, { ...scan, composite: sheetOf(false, 6) })).toEqual(['page-blank warn']);
  });

  test('is none with a drawing on it, and none where the whole sheet is painted', () => {
    expect(codesOf(toned, { ...scan, composite: sheetOf(true, 4, 9) })).toEqual([]);
    expect(codesOf({ yellow: 30 }, { ...scan, composite: sheetOf(false, 20, 9) })).toEqual([]);
  });
});

describe('a page of which something is missing', () => {
  const { width, height } = lineSize;
  const white = (model: 'rgb' | 'grey'): Raster =>
    drawn(width, height, model, () => (model === 'grey' ? [255] : [255, 255, 255]));
  /** Inks whose scan has some dust. */
  const dusty = drawn(width, height, 'grey', (x, y) => [x === 40 && y < 12 ? 0 : 255]);

  let issue: SmallIssue;
  beforeEach(async () => {
    issue = await openSmallIssue();
  });
  afterEach(() => issue.remove());

  const stateOf = async (jobYaml = smallJob) => {
    const { pages } = await runIssue(parseJob(jobYaml, issue.folder), { runner: pagesHere });
    const { state, findings } = pages[1];
    return { state, codes: findings.filter(({ severity }) => severity !== 'note').map(({ code }) => code) };
  };

  test('is stopped when it is white all over', async () => {
    await issue.drop('p01.tif', await tiffOf(white('rgb')));
    expect(await stateOf()).toEqual({ state: 'stopped', codes: ['page-blank'] });
  });

  test('is stopped when its inks are an empty file, or hold nothing but dust', async () => {
    await issue.drop('p01 colour.tif', await tiffOf(colourPage()));
    for (const inks of [white('grey'), dusty]) {
      await issue.drop('p01 inks.tif', await inksTiffOf(inks));
      expect(await stateOf()).toEqual({ state: 'stopped', codes: ['line-empty'] });
    }
  });

  test('asks for a look when its colour is an empty file, also where its blacks have support ink', async () => {
    await issue.drop('p01 colour.tif', await tiffOf(white('rgb')));
    await issue.drop('p01 inks.tif', await inksTiffOf(inksPage()));
    expect(await stateOf()).toEqual({ state: 'attention', codes: ['colour-empty'] });
  });

  test('is made when job.yaml says that it is meant so', async () => {
    await issue.drop('p01.tif', await tiffOf(white('rgb')));
    const accepted = smallJob.replace(
      '  - pages: 1-3\n    scene: quarry',
      '  - page: 1\n    accept: {page-blank: the endpaper}\n  - pages: 2-3\n    scene: quarry',
    );
    expect(await stateOf(accepted)).toEqual({ state: 'done', codes: [] });
  });
});
