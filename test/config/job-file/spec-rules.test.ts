import { describe, expect, it } from 'vitest';
import { foundIn, jobText, problemsOf } from '../job-text.js';

describe('a print spec is refused when', () => {
  it.each([
    [
      'inches are really millimetres',
      'in',
      'trim: [168, 260]',
      'a trim of 168 x 260 in is no page size (did you mean units: mm?)',
    ],
    [
      'millimetres are really inches',
      'mm',
      'trim: [6.6, 10.2]',
      'a trim of 6.6 x 10.2 mm is no page size (did you mean units: in?)',
    ],
    ['the page is wider than a press', 'mm', 'trim: [1201, 800]', 'a trim of 1201 x 800 mm is no page size'],
    ['the bleed is wider than an inch', 'in', 'bleed: 1.01', 'a bleed of 1.01 in is too wide'],
    [
      'the safe margin meets itself',
      'in',
      'safe: 3.3125',
      'a safe margin of 3.3125 in leaves nothing of the page',
    ],
    ['line is coarser than colour', 'in', 'linePpi: 299', 'linePpi 299 is below colourPpi 300'],
    ['colour is finer than the default line', 'in', 'colourPpi: 900', 'linePpi 600 is below colourPpi 900'],
    [
      'proofs are finer than colour',
      'in',
      'colourPpi: 100\nproofPpi: 101',
      'proofPpi 101 is above colourPpi 100',
    ],
    [
      'a choke is wider than 5 mm',
      'mm',
      'support: { choke: 5.1, minWidth: 20 }',
      'a choke of 5.1 mm is too wide',
    ],
    [
      'support would vanish',
      'mm',
      'support: { choke: 1 }',
      'blacks of minWidth 2 mm have no room for support choked by 1 mm',
    ],
    [
      'nobody ships the press condition',
      'in',
      'press: cgats-tr06',
      'no press condition called "cgats-tr06" ships with platehand (did you mean cgats-tr006?)',
    ],
  ])('%s', (_, units, print, message) => {
    const lengths = units === 'mm' ? 'trim: [168, 260]\nbleed: 3\nsafe: 6\n' : '';
    const own = print.split(':')[0];
    const kept = lengths.split('\n').filter((line) => line.split(':')[0] !== own);
    expect(problemsOf(jobText({ units, print: [...kept, print].join('\n').trim() }))).toEqual([message]);
  });

  // The colour engine's compensation changes nothing with these intents, so the job must not ask for it.
  it.each(['perceptual', 'saturation', 'absolute'])(
    'black point compensation is asked for with the %s intent',
    (intent) => {
      const text = jobText({ print: `intent: ${intent}\nblackPointCompensation: true` });
      expect(problemsOf(text)).toEqual([`black point compensation does not work with the ${intent} intent`]);
      expect(problemsOf(jobText({ print: `intent: ${intent}\nblackPointCompensation: false` }))).toEqual([]);
      expect(problemsOf(jobText({ print: `intent: ${intent}` }))).toEqual([]);
    },
  );
});

describe('a print spec is accepted', () => {
  it.each([
    ['without bleed', 'bleed: 0'],
    ['at the widest bleed', 'bleed: 1'],
    ['with one resolution for colour and line', 'colourPpi: 600\nlinePpi: 600'],
    ['with a path to a profile', 'press: "C:\\printer\\paper.icc"'.replaceAll('\\', '\\\\')],
  ])('%s', (_, print) => {
    expect(problemsOf(jobText({ print }))).toEqual([]);
  });
});

describe('the setting that decides is blamed', () => {
  it("at the kind, when a cover's intent does not go with the issue's compensation", () => {
    const text = jobText({
      print: 'blackPointCompensation: true',
      more: 'kinds:\n  cover:\n    intent: perceptual',
    });
    expect(foundIn(text)).toMatchObject([{ path: 'kinds.cover.intent', line: 13, column: 13 }]);
  });

  it('at the page, when its own resolution is wrong', () => {
    const text = jobText({ pages: '[{page: 1}, {page: 2, print: {linePpi: 200}}]' });
    expect(foundIn(text)).toMatchObject([{ path: 'pages[1].print.linePpi' }]);
  });

  it('once, when every kind inherits it', () => {
    const text = jobText({
      print: 'press: nowhere',
      more: 'kinds: {cover: {inkLimit: 300}, interior: {inkLimit: 280}}',
    });
    expect(foundIn(text)).toMatchObject([{ path: 'print.press' }]);
  });
});

it('what does not depend on lengths is checked even when the unit is wrong', () => {
  expect(problemsOf(jobText({ units: 'cm', print: 'press: nowhere' }))).toEqual([
    'units cannot be "cm" (did you mean "mm"?)',
    'no press condition called "nowhere" ships with platehand',
  ]);
});
