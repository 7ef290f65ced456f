import { beforeEach, describe, expect, it, vi } from 'vitest';
import type { TextLook } from '../../../pipeline/sheets/drawing.js';
import { drawSlug, type ProofSlug, type SlugFinding } from '../../../pipeline/sheets/proof-slug.js';
import { textWidth } from '../../../pipeline/sheets/type.js';
import { wrapWhole } from '../../../pipeline/sheets/wrap.js';

interface Line {
  readonly words: string;
  readonly left: number;
  readonly right: number;
  readonly y: number;
}

const drawn: Line[] = [];

vi.mock('../../../pipeline/sheets/drawing.js', async (original) => ({
  ...(await original<typeof import('../../../pipeline/sheets/drawing.js')>()),
  text: (words: string, x: number, y: number, look: TextLook) => {
    const left = look.anchor === 'end' ? x - textWidth(words, look) : x;
    if (words !== '') drawn.push({ words, left, right: left + textWidth(words, look), y });
    return '';
  },
}));

beforeEach(() => {
  drawn.length = 0;
});

const found = (severity: SlugFinding['severity'], message: string): SlugFinding => ({
  ...{ severity, message, measured: undefined },
});

const slug: ProofSlug = {
  issue: 'SHN04',
  title: 'Salt Harbour Nights',
  page: '7',
  isSpread: false,
  scene: 'The harbour at night',
  files: [
    { part: 'colour', version: 3, name: 'SHN04_p07_colour_v3.tif' },
    { part: 'line', version: 2, name: 'SHN04_p07_inks_v2.tif' },
    { part: 'lettering', version: undefined, name: 'letters/SHN04_p07.png' },
  ],
  date: '2031-03-02',
  condition: 'cgats-tr006, ink limit 300 %',
  findings: [],
  softProofNote: 'relative colorimetric, paper white not shown',
};

/** The column of a page of 60 x 90 mm at 72 ppi. */
const narrow = { left: 36, right: 516, top: 100, em: 12, hair: 1 };

function wordsOf(change: Partial<ProofSlug>, where = narrow): string[] {
  drawn.length = 0;
  drawSlug({ ...slug, ...change }, where);
  return drawn.map(({ words }) => words);
}

const letters = (text: string) => text.replace(/\s/g, '');

const long =
  'The Exceedingly Long Chronicle of the Salt Harbour and of Everybody Who Ever Lived Beside It, Part 3';
const longName = `from the studio/2031-03/SHN04_page_0007_colour_final_${'x'.repeat(80)}_v3.tif`;
const tight: readonly [string, Partial<ProofSlug>][] = [
  ['a long title', { title: long }],
  ['a title of one word', { title: 'W'.repeat(200) }],
  ['three parts with long names', { files: slug.files.map((file) => ({ ...file, name: longName })) }],
  ['a long scene', { scene: `${long} ${long}` }],
  [
    'a long page id and a long code',
    { page: 'inside-back-cover-alternate', issue: 'SALT_HARBOUR_NIGHTS_COLLECTED_04' },
  ],
  ['a finding of many words', { findings: [{ ...found('stop', long), measured: `${long}; ${long}` }] }],
  ['letters that the font lacks', { title: '\u6f22'.repeat(90) }],
];

describe('the slug of a proof', () => {
  it.each(tight)('keeps every letter of %s, within the column and on lines of their own', (_what, change) => {
    const text = letters(wordsOf(change).join(''));
    for (const given of [
      change.title,
      change.scene,
      change.page,
      ...(change.files ?? []).map(({ name }) => name),
    ]) {
      // Page and title share lines: the page's own follow the title's.
      if (given !== undefined) expect(text).toContain(letters(given));
    }
    for (const { message, measured } of change.findings ?? []) {
      expect(text).toContain(letters(measured === undefined ? message : `${message} (${measured})`));
    }
    expect(text).not.toContain('\u2026');
    for (const { left, right } of drawn) {
      expect(left).toBeGreaterThanOrEqual(narrow.left - 0.01);
      expect(right).toBeLessThanOrEqual(narrow.right + 0.01);
    }
    for (const one of drawn) {
      const beside = drawn.filter((other) => other !== one && Math.abs(other.y - one.y) < 1);
      expect(beside.filter(({ left, right }) => left < one.right && right > one.left)).toEqual([]);
    }
  });

  it('counts stops, warnings and notes, and tells the gravest first', () => {
    const findings = [
      found('note', 'one'),
      found('warn', 'two'),
      found('note', 'three'),
      found('stop', 'four'),
    ];
    const words = wordsOf({ findings });
    const from = words.indexOf('1 stop');
    expect(words.slice(from, from + 11)).toEqual([
      ...['1 stop', '1 warning', '2 notes'],
      ...['four', '1', 'two', '2', 'one', '3', 'three', '4'],
    ]);
  });

  it('says how many findings it leaves out, and of which kind', () => {
    const findings = Array.from({ length: 20 }, (_, i) => found(i % 2 === 0 ? 'warn' : 'note', `the ${i}th`));
    const words = wordsOf({ findings });
    expect(words).toContain('10 warnings');
    expect(words).toContain('and 6 notes more: platehand status --json lists them');
  });

  it('tells what was measured, and why a finding is accepted', () => {
    const findings = [
      { ...found('note', 'The colour is enlarged'), measured: '212 ppi', accepted: 'as agreed' },
    ];
    expect(wordsOf({ findings })).toContain('The colour is enlarged (212 ppi; accepted: as agreed)');
  });

  it('shows scene, and part, version and name of each file', () => {
    const words = wordsOf({});
    for (const each of ['Scene', 'The harbour at night', 'colour v3', 'line v2', 'lettering, no version']) {
      expect(words).toContain(each);
    }
    expect(words).toContain('letters/SHN04_p07.png');
    expect(wordsOf({ files: [{ part: 'whole', version: 4, name: '7 v4.png' }] })).toContain('v4');
  });

  it('tells the day that the files state, and none where they state none', () => {
    expect(wordsOf({})).toContain('dated 2031-03-02 in its files');
    expect(wordsOf({ date: undefined }).join()).not.toMatch(/dated/);
  });

  it('says pages of a spread', () => {
    expect(wordsOf({ page: '12-13', isSpread: true })).toContain('pages 12-13');
    expect(wordsOf({ page: 'cover' })).toContain('cover');
  });
});

describe('a text that is wrapped whole', () => {
  const style = { sizePx: 12 };

  it('breaks a file name behind its seams before it breaks it anywhere', () => {
    const lines = wrapWhole('SHN04_page_0007_colour_final_approved.tif', 130, style);
    expect(lines.slice(0, -1).every((line) => /[_.]$/.test(line))).toBe(true);
    expect(lines.join('')).toBe('SHN04_page_0007_colour_final_approved.tif');
  });

  it('says on its last line how many characters follow', () => {
    const words = Array.from({ length: 40 }, (_, i) => `word${i}`).join(' ');
    const whole = wrapWhole(words, 150, style);
    const [first, last] = wrapWhole(words, 150, style, 2);
    expect(first).toBe(whole[0]);
    const [, begun, rest] = /^(.*)\u2026 \((\d+) more characters\)$/.exec(last) ?? [];
    expect(whole[1].startsWith(begun)).toBe(true);
    expect(Number(rest)).toBe(whole.slice(1).join('').length - begun.length);
  });

  it('keeps a mark with its letter, and is nothing for blanks', () => {
    const lines = wrapWhole('e\u0301'.repeat(40), 100, style);
    expect(lines.every((line) => line.startsWith('e'))).toBe(true);
    expect(wrapWhole(' \t\n', 100, style)).toEqual([]);
  });
});
