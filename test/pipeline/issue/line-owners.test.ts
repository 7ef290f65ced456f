import { describe, expect, test } from 'vitest';
import { findingsWithOwners } from '../../../pipeline/issue/line-owners.js';
import type { PageRun } from '../../../pipeline/issue/page-run.js';
import type { PageTrace } from '../../../pipeline/model/page-result.js';
import { seeded } from '../../helpers/rasters.js';

const [columns, rows] = [16, 24];

/** The edges of a picture that nobody else has. */
function trace(seed: number): PageTrace {
  const noise = seeded(seed);
  const bits = Buffer.from(Array.from({ length: (columns * rows) / 8 }, () => Math.floor(noise() * 256)));
  return { columns, rows, bits: bits.toString('base64'), sketch: undefined };
}

/** A page with the colour of its own number and the line of another. */
function page(id: number, lineOf: number, accepted: Record<string, string> = {}): PageRun {
  const finding = { page: `${id}`, code: 'line-of-another-page', severity: 'stop', message: '', remedy: '' };
  const result = {
    findings: [finding],
    measures: { register: { verdict: 'apart' } },
    traces: { colour: trace(id), line: trace(lineOf) },
  };
  return { page: { id: `${id}`, accepted }, stored: { result } } as unknown as PageRun;
}

const ownersOf = (runs: readonly PageRun[]) =>
  [...findingsWithOwners(runs)].map(([id, [{ message }]]) => `${id}: ${message.split(' of page ')[1]}`);

describe('lines on wrong pages', () => {
  test('are told with the page that they fit', () => {
    expect(ownersOf([page(1, 2), page(2, 1), page(3, 9)])).toEqual(['1: 2', '2: 1']);
  });

  test('are not looked into where the job accepts the line', () => {
    expect(ownersOf([page(1, 2, { 'line-of-another-page': 'as planned' }), page(2, 1)])).toEqual(['2: 1']);
  });

  test('of a long issue where nothing fits are looked into for the first pages only, so that the time stays bounded', () => {
    const count = 200;
    const runs = Array.from({ length: count }, (_, at) => page(at + 1, ((at + 1) % count) + 1));
    expect(ownersOf(runs)).toHaveLength(10_000 / count);
  });
});
