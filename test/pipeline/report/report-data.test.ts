import { describe, expect, test } from 'vitest';
import { forReceiver, type ReportedIssue, reportData } from '../../../pipeline/issue/report-data.js';
import type { Finding } from '../../../pipeline/model/findings.js';
import {
  fabricatedFinding,
  fabricatedIssue,
  fabricatedJob,
  fabricatedReport,
} from '../../helpers/fabricated-report.js';

const job = fabricatedJob(7);
const issue = fabricatedIssue(job);

/** The issue with other findings on page 1, which is in state `attention`. */
function withFindings(...findings: readonly Finding[]): ReportedIssue {
  return { ...issue, pages: issue.pages.map((page) => (page.page === '1' ? { ...page, findings } : page)) };
}

function boxOf(xMm: number, yMm: number, widthMm: number, heightMm: number) {
  const places = { shown: [{ xMm, yMm, widthMm, heightMm }], inAll: 1 };
  const { pages } = reportData(job, withFindings({ ...fabricatedFinding('speck', 'warn'), places }));
  return pages[1].findings[0].places[0].box;
}

describe('a box on the picture of a page', () => {
  // Trim 168 x 260 mm with 3 mm bleed: the picture is 174 x 266 mm.
  test('counts from the picture, which has the bleed around the trim', () => {
    expect(boxOf(0, 0, 168, 260)).toEqual({
      leftPercent: 1.72,
      topPercent: 1.13,
      widthPercent: 96.55,
      heightPercent: 97.74,
    });
    expect(boxOf(84, 130, 17.4, 26.6)).toEqual({
      leftPercent: 50,
      topPercent: 50,
      widthPercent: 10,
      heightPercent: 10,
    });
  });

  test('of a speck is large enough to be seen, about the speck', () => {
    const { leftPercent, widthPercent, topPercent, heightPercent } = boxOf(83.9, 129.9, 0.2, 0.2);
    expect(widthPercent).toBe(2);
    expect(leftPercent + widthPercent / 2).toBeCloseTo(50, 1);
    expect(heightPercent * 266).toBeCloseTo(widthPercent * 174, -1);
    expect(topPercent + heightPercent / 2).toBeCloseTo(50, 1);
  });

  test('stays on the picture, whatever is asked', () => {
    for (const box of [
      boxOf(-3, -3, 0.1, 0.1),
      boxOf(171, 263, 0, 0),
      boxOf(-50, -50, 400, 400),
      boxOf(300, 300, 1, 1),
    ]) {
      expect(box.leftPercent).toBeGreaterThanOrEqual(0);
      expect(box.topPercent).toBeGreaterThanOrEqual(0);
      expect(box.widthPercent).toBeGreaterThan(0);
      expect(box.leftPercent + box.widthPercent).toBeLessThanOrEqual(100.01);
      expect(box.topPercent + box.heightPercent).toBeLessThanOrEqual(100.01);
    }
  });
});

describe('what the report says', () => {
  const data = fabricatedReport(7);

  test('has the pages that need most first on its board, and all of them once in reading order', () => {
    const stateOf = new Map(data.pages.map(({ page, state }) => [page, state]));
    expect(data.board.map((page) => stateOf.get(page)).slice(0, 4)).toEqual([
      'stopped',
      'contested',
      'missing',
      'waiting',
    ]);
    expect(stateOf.get(data.board.at(-1) ?? '')).toBe('done');
    expect(data.pages.map(({ page }) => page)).toEqual(job.pages.map(({ id }) => id));
    expect([...data.board].sort()).toEqual(data.pages.map(({ page }) => page).sort());
  });

  test('counts what it lists', () => {
    const findings = data.pages.flatMap((page) => page.findings);
    for (const severity of ['stop', 'warn', 'note'] as const) {
      expect(data.found[severity]).toBe(findings.filter((one) => one.severity === severity).length);
    }
    expect(data.kinds.reduce((sum, kind) => sum + kind.findings, 0)).toBe(findings.length);
    expect(data.kinds[0]).toMatchObject({ code: 'bleed-missing', severity: 'stop' });
    for (const { code, pages } of data.kinds) {
      const having = data.pages.filter((page) => page.findings.some((one) => one.code === code));
      expect(pages).toEqual(having.map(({ page }) => page));
    }
  });

  test('numbers findings from the gravest on, and their places after them', () => {
    const stopped = data.pages[2];
    expect(stopped.findings.map(({ number, severity }) => `${number} ${severity}`)).toEqual([
      '1 stop',
      '2 warn',
      '3 note',
    ]);
    expect(stopped.findings[1].places.map(({ number }) => number).slice(0, 3)).toEqual(['2.1', '2.2', '2.3']);
    expect([stopped.findings[1].places.length, stopped.findings[1].placesInAll]).toEqual([30, 64]);
  });

  test('names the pictures of each page where there are any, and what their strips show', () => {
    const [cover, , , , waiting] = data.pages;
    expect(waiting.pictures).toBeNull();
    expect(
      cover.pictures?.layers.map(({ role, kind, tile, tiles }) => `${kind} ${role} ${tile}/${tiles}`),
    ).toEqual([
      'heat ink-coverage 0/3',
      'heat out-of-gamut 1/3',
      'heat fidelity 2/3',
      ...['line', 'cyan', 'magenta', 'yellow', 'black'].map((ink, tile) => `plate ${ink} ${tile}/5`),
    ]);
  });

  test('goes out without what only tells of the version before: the same pages are the same delivery', () => {
    const version = fabricatedFinding('version-shifted', 'warn');
    const thin = fabricatedFinding('line-thin', 'warn');
    const out = (...findings: readonly Finding[]) => forReceiver(withFindings(...findings)).pages[1];
    expect(out(version)).toMatchObject({ state: 'done', findings: [], why: 'Nothing to look at' });
    expect(out(version, thin)).toMatchObject({ state: 'attention', findings: [thin], why: thin.message });
    expect(reportData(job, forReceiver(withFindings(version, thin)))).toEqual(
      reportData(
        job,
        forReceiver({
          ...withFindings(thin),
          pages: withFindings(thin).pages.map((page) =>
            page.page === '1' ? { ...page, why: thin.message } : page,
          ),
        }),
      ),
    );
  });
});
