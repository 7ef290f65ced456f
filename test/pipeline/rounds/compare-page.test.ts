import { describe, expect, test } from 'vitest';
import { comparePage, percentWords } from '../../../pipeline/rounds/compare-page.js';
import { nothingThere, type PageState, picturesOf } from '../../../pipeline/rounds/page-state.js';

/** A page whose files nobody can read: what is told of it is told by names and checksums alone. */
function state(sha256: string, more: Partial<PageState> = {}): PageState {
  const read = () => Promise.reject(new Error('nobody is to read it'));
  const file = { half: undefined, ppi: 300, read };
  return {
    used: [{ name: `p1_${sha256}.tif`, part: 'colour', version: 1, sha256: `used ${sha256}` }],
    profileSha256: 'press a',
    files: [
      { ...file, role: 'composite', sha256, name: 'p1.tif' },
      { ...file, role: 'line', sha256: 'line', name: 'p1_line.tif' },
    ],
    lacks: 'done',
    ...more,
  };
}

const options = {
  spec: { trim: { widthMm: 100, heightMm: 150 } },
  looks: () => Promise.reject(new Error('nobody is to open a press')),
};
const told = async (before: PageState | undefined, now: PageState | undefined) => {
  const { verdict, why } = await comparePage('1', before, now, options);
  return `${verdict}: ${why}`;
};
const stopped = (sha256: string) => state(sha256, { files: [], lacks: 'stopped' });

describe('what became of a page', () => {
  test('is told without reading anything where checksums are the same', async () => {
    expect(await told(state('a'), state('a'))).toBe('unchanged: It is made of the same files');
    const again = { ...state('a'), used: state('b').used };
    expect(await told(state('a'), again)).toBe(
      'unchanged: It is made of other files, which hold the same picture',
    );
  });

  test('that came, went, or was never there', async () => {
    expect(await told(undefined, state('a'))).toBe('new: It was not there then');
    expect(await told(nothingThere, state('a'))).toBe('new: It was not there then');
    expect(await told(nothingThere, stopped('a'))).toBe('new: It was not there then, and is stopped');
    expect(await told(state('a'), nothingThere)).toBe('gone: It was there then, and is missing');
    expect(await told(state('a'), undefined)).toBe('gone: It is no longer in the page list');
    expect(await told(nothingThere, nothingThere)).toMatch(/^absent/);
  });

  test('that is stopped is told by its working pages, for it has no press files', async () => {
    expect(await told(stopped('a'), stopped('a'))).toMatch(
      /^unchanged: .*no press files.*then and now: stopped/,
    );
    expect(await told(state('a'), stopped('b'))).toMatch(/^unknown: It is made of other files.*now: stopped/);
  });

  test('whose delivery held no composite is told by its working pages', async () => {
    const delivered = state('a', { files: [], lacks: 'delivery TDL03-1 holds no composite' });
    expect(await told(delivered, state('b'))).toBe(
      'unknown: It is made of other files; no press files to compare (then: delivery TDL03-1 holds no composite)',
    );
  });

  test('for another press condition, or in other pieces, is told as that', async () => {
    expect(await told(state('a'), state('a', { profileSha256: 'press b' }))).toMatch(
      /^press: .*another press condition/,
    );
    const halves = state('a').files.map((file) => ({ ...file, half: 12 }));
    expect(await told(state('a'), state('a', { files: halves }))).toMatch(/^size: .*other pieces/);
  });

  test('cannot be told where a file is no longer there, and nothing ends for that', async () => {
    expect(await told(state('a'), state('b'))).toMatch(/^unknown: .*p1.*no longer there/);
  });

  test('is measured once', async () => {
    const asked: string[] = [];
    const known = { get: (name: string) => void asked.push(name), set: () => undefined };
    const { why } = await comparePage('1', state('a'), state('b'), { ...options, known, measures: false });
    expect(why).toMatch(/not measured yet/);
    await comparePage('1', state('a'), state('b'), { ...options, known, measures: false });
    await comparePage('1', state('a'), state('c'), { ...options, known, measures: false });
    expect(asked[0]).toBe(asked[1]);
    expect(asked[2]).not.toBe(asked[0]);
  });
});

test('a spread that is delivered whole and in halves is compared whole', () => {
  const halves = [12, 13].flatMap((half) => state('b').files.map((file) => ({ ...file, half })));
  expect([...picturesOf(state('a', { files: [...state('a').files, ...halves] })).keys()]).toEqual([
    undefined,
  ]);
  expect([...picturesOf(state('a', { files: halves })).keys()]).toEqual([12, 13]);
});

test('a single pixel is not told as 0 %', () => {
  expect([percentWords(0.0000038), percentWords(1.234), percentWords(87.6)]).toEqual([
    '0.0000038 %',
    '1.2 %',
    '88 %',
  ]);
});
