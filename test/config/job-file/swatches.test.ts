import { describe, expect, test } from 'vitest';
import { swatchTitle } from '../../../config/job.js';
import { parseJob } from '../../../config/load-job.js';
import { foundIn, jobText } from '../job-text.js';

const swatchesOf = (more: string) => parseJob(jobText({ more }), '/job').swatches;

describe('swatches of job.yaml', () => {
  test('are a colour of the screen or one that was measured, each with a tolerance', () => {
    const more = `swatches:
  - { name: coat, character: Mara, srgb: "#C89070" }
  - { name: lamp, lab: [82.5, -4, 61], toleranceDe: 3 }
  - { name: 7, srgb: 102030 }`;
    expect(swatchesOf(more)).toEqual([
      { name: 'coat', character: 'Mara', colour: { kind: 'srgb', srgb: [200, 144, 112] }, toleranceDe: 5 },
      { name: 'lamp', character: undefined, colour: { kind: 'lab', lab: [82.5, -4, 61] }, toleranceDe: 3 },
      { name: '7', character: undefined, colour: { kind: 'srgb', srgb: [16, 32, 48] }, toleranceDe: 5 },
    ]);
    expect(swatchesOf('')).toEqual([]);
  });

  test('are called by their character and name', () => {
    expect(swatchTitle({ name: 'coat', character: 'Mara' })).toBe('Mara, coat');
    expect(swatchTitle({ name: 'lamp', character: undefined })).toBe('lamp');
  });

  test('may have one name where they are of two characters', () => {
    const more =
      'swatches: [{name: skin, character: Mara, srgb: "#c89070"}, {name: skin, character: Ivo, srgb: "#8a5a40"}]';
    expect(swatchesOf(more).length).toBe(2);
  });

  test.each([
    ['no colour', '  - { name: coat }', 11, /swatch "coat" has no colour/],
    [
      'two colours',
      '  - { name: coat, srgb: "#c89070", lab: [60, 10, 10] }',
      11,
      /has both srgb and lab.*either srgb or lab/,
    ],
    [
      'a colour that the # made a comment',
      '  - { name: coat, srgb: }',
      11,
      /in quotes, for a # begins a comment/,
    ],
    ['a colour by its name', '  - { name: coat, srgb: tan }', 11, /six hexadecimal digits/],
    ['Lab beyond itself', '  - { name: coat, lab: [120, 0, 0] }', 11, /from 0 to 100/],
    ['two numbers for Lab', '  - { name: coat, lab: [50, 0] }', 11, /lab\[2\] is missing/],
    ['no name', '  - { srgb: "#c89070" }', 11, /name/],
    ['a tolerance of nothing', '  - { name: coat, srgb: "#c89070", toleranceDe: 0 }', 11, /from 0.5 to 30/],
    [
      'one swatch twice',
      '  - { name: coat, srgb: "#c89070" }\n  - { name: Coat, srgb: "#102030" }',
      12,
      /swatch "Coat" stands in the list twice/,
    ],
    ['a key that is none', '  - { name: coat, srgb: "#c89070", tolerance: 3 }', 11, /tolerance/],
  ])('%s is a mistake with its line', (_, entries, line, message) => {
    const found = foundIn(jobText({ more: `swatches:\n${entries}` }));
    expect(found.length).toBe(1);
    expect(`${found[0].message}: ${found[0].expected}`).toMatch(message);
    expect([found[0].line, found[0].column > 1]).toEqual([line, true]);
  });
});
