import { describe, expect, test } from 'vitest';
import { eyesNamed, seenText } from '../../../watch/commands/proof-options.js';

describe('the eyes that --seen-as names', () => {
  test('are taken as they are typed, with commas and blanks', () => {
    expect(eyesNamed('grey, Deuteranopia')).toEqual(['grey', 'deuteranopia']);
    expect(eyesNamed(undefined)).toBeUndefined();
  });

  test.each([
    ['sepia', /does not know "sepia"/],
    ['grey,sepia,protan', /does not know "sepia", "protan"/],
    ['', /names nobody/],
    [',', /names nobody/],
  ])('%j is refused with what is possible', (words, why) => {
    expect(() => eyesNamed(words)).toThrow(why);
    expect(() => eyesNamed(words)).toThrow(/Possible are grey, protanopia, deuteranopia, tritanopia/);
  });

  test('are told in a line each', () => {
    const pages = [{ page: '1', path: 'proofs/seen-as/QRY02_1_proof_grey.png' }];
    const sheet = 'proofs/seen-as/contact-sheet_grey.png';
    expect(seenText([{ eyes: 'grey', pages, contactSheet: sheet }])).toEqual([
      `Seen as grey: 1 proof in proofs/seen-as, and ${sheet}`,
    ]);
    expect(seenText(undefined)).toEqual([]);
  });
});
