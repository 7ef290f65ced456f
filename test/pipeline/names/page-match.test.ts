import { describe, expect, test } from 'vitest';
import { match, onePage, seven, testJob, used } from '../../helpers/reconcile-job.js';

describe('the state of a page', () => {
  const states: readonly (readonly [string[], string, string[], string])[] = [
    [['p07.tif'], 'ready', [], 'the whole page is there'],
    [['p07_colour.tif', 'p07_inks.tif'], 'ready', [], 'colour and line are there'],
    [['p07.tif', 'p07_inks.tif'], 'ready', [], 'line is there, and the whole page serves as colour'],
    [['p07.tif', 'p07_lettering.tif'], 'ready', [], 'the whole page is there'],
    [['p07_colour.tif'], 'waiting', ['line'], 'waits for line; colour is there'],
    [['p07_inks.tif'], 'waiting', ['colour'], 'waits for colour; line is there'],
    [['p07_flats.tif'], 'waiting', ['colour', 'line'], 'waits for colour and line; flats are there'],
    [['p07_lettering.tif'], 'waiting', ['colour', 'line'], 'waits for colour and line; lettering is there'],
    [[], 'missing', ['whole'], 'nothing has arrived'],
  ];
  test.each(states)('%j without stated needs is %s, missing %j', (names, state, missing, rule) => {
    expect(seven(onePage(), ...names)).toMatchObject({ state, missing, rule });
  });

  test('with stated needs, exactly these are waited for', () => {
    const lettered = onePage({ needs: ['colour', 'line', 'lettering'] });
    expect(seven(lettered, 'p07.tif')).toMatchObject({ state: 'waiting', missing: ['lettering'] });
    expect(seven(lettered, 'p07.tif', 'p07_text.tif').state).toBe('ready');
    expect(seven(lettered)).toMatchObject({ state: 'missing', missing: ['whole'] });
    const inksOnly = onePage({ needs: ['line'] });
    expect(seven(inksOnly, 'p07_inks.tif').state).toBe('ready');
    expect(seven(inksOnly, 'p07_colour.tif')).toMatchObject({ state: 'waiting', missing: ['line'] });
  });

  test('beside a line file the whole page serves as colour, and its rule says so', () => {
    const page = seven(testJob, 'p07.tif', 'p07_inks.tif');
    expect(used(page)).toEqual(['p07.tif as colour', 'p07_inks.tif as line']);
    expect(page.files[0].rule).toContain('the whole page serves as colour beside the line file');
  });

  test('a held page stays held and still lists its files', () => {
    const page = seven(onePage({ heldReason: 'script rewrite' }), 'p07.tif');
    expect(page).toMatchObject({ state: 'held', rule: 'held back: script rewrite' });
    expect(used(page)).toEqual(['p07.tif as whole']);
  });

  test('pages come in the order of the page list, whatever the order of the files', () => {
    const found = match(testJob, 'p24.tif', 'cover.tif', 'p01.tif');
    expect(found.pages.map((page) => page.page)).toEqual(testJob.pages.map((page) => page.id));
  });
});
