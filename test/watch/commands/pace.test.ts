import { describe, expect, test } from 'vitest';
import { type Pace, paceOf } from '../../../watch/commands/pace.js';
import { paceText } from '../../../watch/commands/status-text.js';
import type { LedgerRecord } from '../../../watch/daemon/ledger-lines.js';

const hourMs = 3_600_000;
const startMs = Date.parse('2031-03-03T08:00:00Z');
const at = (hours: number) => new Date(startMs + hours * hourMs).toISOString();

const arrived = (page: string, hours: number): LedgerRecord => ({ at: at(hours), kind: 'arrived', page });
const made = (page: string, hours: number, state = 'done', products = ['press', 'plates']): LedgerRecord => ({
  at: at(hours),
  kind: 'result',
  page,
  state,
  products,
});
const page = (id: string, state: 'done' | 'attention' | 'waiting' | 'held') => ({ page: id, state });

describe('the pace of an issue', () => {
  const records = [
    { at: at(-400), kind: 'started' } as const,
    arrived('1', 0),
    made('1', 20),
    made('1', 30),
    made('2', 24, 'attention'),
    made('3', 40, 'stopped'),
    made('4', 41, 'done', ['proof']),
    made('9', 42),
  ];
  const pages = [
    page('1', 'done'),
    page('2', 'attention'),
    page('3', 'waiting'),
    page('4', 'waiting'),
    page('5', 'held'),
  ];

  test('counts each page of the list once, when its press files were first made', () => {
    const pace = paceOf(records, pages, undefined, startMs + 48 * hourMs);
    expect(pace).toMatchObject({ finished: 2, days: 2, pagesADay: 1, left: 2, hoursToSpare: undefined });
  });

  test('says when the last page will be done, and how that stands to the due time', () => {
    const nowMs = startMs + 48 * hourMs;
    const late = paceOf(records, pages, nowMs + 40 * hourMs, nowMs);
    // Two pages are left at one a day; a held page is nobody's work.
    expect(late).toMatchObject({ lastDoneAt: at(96), hoursToSpare: -8 });
    expect(paceText(late)).toMatch(
      /^Pace: 2 pages finished in the last 2\.0 days, 1\.0 a day; .* 8\.0 hours too late\.$/,
    );
    const early = paceOf(records, pages, nowMs + 200 * hourMs, nowMs);
    expect(paceText(early)).toMatch(/, 6 days before it is due\.$/);
  });

  test('looks back a week and no further', () => {
    const old = [arrived('1', 0), made('1', 1), made('2', 200)];
    const pace = paceOf(old, pages, undefined, startMs + 240 * hourMs);
    expect(pace).toMatchObject({ finished: 1, days: 7 });
    expect(paceOf([arrived('1', 0), made('1', 1)], pages, undefined, startMs + 240 * hourMs)).toBeUndefined();
  });

  test('of pages made all at once is no more than what a day has seen', () => {
    const burst = ['1', '2', '3'].map((id) => made(id, 0));
    expect(paceOf(burst, [...pages], undefined, startMs + hourMs)).toMatchObject({ pagesADay: 3, days: 1 });
  });

  test('of an issue whose pages are all made forecasts nothing, and without a ledger there is none', () => {
    const all: Pace | undefined = paceOf(
      records,
      [page('1', 'done'), page('2', 'done')],
      startMs,
      startMs + 48 * hourMs,
    );
    expect(all).toMatchObject({ left: 0, lastDoneAt: undefined, hoursToSpare: undefined });
    expect(paceText(all)).toMatch(/none is left\.$/);
    expect(paceOf([], pages, undefined, startMs)).toBeUndefined();
    expect(paceText(undefined)).toMatch(/^No pace yet/);
  });
});
