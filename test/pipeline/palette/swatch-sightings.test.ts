import { describe, expect, test } from 'vitest';
import type { Swatch } from '../../../config/job.js';
import type { OkLab } from '../../../pipeline/model/palette.js';
import { oklabOf, type Rgb } from '../../../pipeline/palette/oklab.js';
import { noticeDrift } from '../../../pipeline/palette/swatch-hints.js';
import { type PaintedPage, sightSwatches } from '../../../pipeline/palette/swatch-sightings.js';
import { swatchTable } from '../../../pipeline/palette/swatch-table.js';

const swatch = (name: string, srgb: Rgb, toleranceDe = 5, character?: string): Swatch => ({
  ...{ name, character, toleranceDe },
  colour: { kind: 'srgb', srgb },
});

const skin = swatch('skin', [200, 144, 112], 5, 'Mara');
const coat = swatch('coat', [31, 78, 140], 5, 'Mara');

/** A page of colours with their shares; what is left is sky, so that the page is light. */
function page(
  id: string,
  colours: readonly (readonly [Rgb, number])[],
  scene?: string,
  rest: Rgb = [200, 225, 240],
): PaintedPage {
  const left = 100 - colours.reduce((sum, [, share]) => sum + share, 0);
  const all = [...colours, [rest, left] as const];
  return {
    page: id,
    scene,
    palette: {
      colourPercent: 80,
      colours: all.map(([rgb, sharePercent], i) => ({
        oklab: oklabOf(rgb),
        sharePercent,
        xMm: 10 * i,
        yMm: 5,
      })),
    },
  };
}

const night: Rgb = [20, 24, 50];
const verdicts = (swatches: readonly Swatch[], ...pages: readonly PaintedPage[]) =>
  sightSwatches(swatches, pages).map(({ page: id, swatch: { name }, verdict }) => `${id} ${name} ${verdict}`);

/** Less light of the same kind. */
function dimmed(rgb: Rgb, share: number): Rgb {
  const level = (value: number) => Math.round(255 * ((value / 255) ** 2.2 * share) ** (1 / 2.2));
  return [level(rgb[0]), level(rgb[1]), level(rgb[2])];
}

describe('where a swatch appears', () => {
  test('is where its colour is, with its share and place', () => {
    const [one] = sightSwatches([skin], [page('3', [[[201, 145, 110], 7]])]);
    expect(one.distanceDe).toBeLessThan(1.5);
    expect([one.verdict, one.light, one.sharePercent, one.xMm, one.yMm]).toEqual(['kept', 'light', 7, 0, 5]);
    expect(one.driftDe).toBeUndefined();
  });

  test('has drifted where it is beyond the tolerance, in its own hue, and other pages of the scene keep it', () => {
    const strict = { ...skin, toleranceDe: 3 };
    const own: Rgb = [200, 144, 112];
    const off: Rgb = [216, 150, 108];
    const at = (id: string, rgb: Rgb, scene?: string) => page(id, [[rgb, 7]], scene);
    const harbour = [at('1', own, 'harbour'), at('2', own, 'harbour')];
    expect(verdicts([strict], ...harbour, at('3', off, 'harbour')).at(-1)).toBe('3 skin drifted');
    const [, , one] = sightSwatches([strict], [...harbour, at('3', off, 'harbour')]);
    expect(one.driftDe).toBe(one.distanceDe);
    expect(one.distanceDe).toBeGreaterThan(3.5);
    // A scene has a light of its own, and a cover stands for itself.
    expect(verdicts([strict], ...harbour, at('3', off, 'memory')).at(-1)).toBe('3 skin unsure');
    expect(verdicts([strict], ...harbour, at('3', off)).at(-1)).toBe('3 skin unsure');
    expect(verdicts([strict], harbour[0], at('3', off, 'harbour')).at(-1)).toBe('3 skin unsure');
    // An issue without scenes is one.
    expect(verdicts([strict], at('1', own), at('2', own), at('3', off)).at(-1)).toBe('3 skin drifted');
  });

  test('has not drifted where other pages have both: a cloud beside a face is a colour of its own', () => {
    const strict = { ...skin, toleranceDe: 3 };
    const cloud: Rgb = [200, 152, 128];
    const drifted = [page('1', [[[200, 144, 112], 7]], 'day'), page('2', [[[200, 144, 112], 7]], 'day')];
    const both = [
      drifted[0],
      page(
        '2',
        [
          [[200, 144, 112], 7],
          [[201, 152, 127], 4],
        ],
        'day',
      ),
    ];
    const last = page('3', [[cloud, 5]], 'day');
    expect(verdicts([strict], ...drifted, last).at(-1)).toBe('3 skin drifted');
    expect(verdicts([strict], ...both, last).at(-1)).toBe('3 skin unsure');
  });

  test('is nowhere on a page of other colours, be they of about its lightness', () => {
    const others: Rgb[] = [
      [150, 160, 112],
      [170, 140, 180],
      [235, 200, 170],
      [120, 80, 60],
      [190, 190, 190],
    ];
    expect(
      verdicts(
        [skin, coat],
        page(
          '3',
          others.map((rgb) => [rgb, 12] as const),
        ),
      ),
    ).toEqual([]);
  });

  test('is not what is too little to be seen', () => {
    expect(verdicts([skin], page('3', [[[200, 144, 112], 0.2]]))).toEqual([]);
  });

  test('is where it is nearest: a shadow of it beside it is no drift', () => {
    const shadow: Rgb = [186, 130, 100];
    expect(
      verdicts(
        [skin],
        page('3', [
          [[200, 144, 112], 5],
          [shadow, 9],
        ]),
      ),
    ).toEqual(['3 skin kept']);
  });

  test('is the nearest swatch of several, and unsure where two are about as near', () => {
    const tan = swatch('tan', [206, 150, 116]);
    expect(verdicts([skin, tan], page('3', [[[206, 151, 116], 5]]))).toEqual(['3 tan kept']);
    const strict = [skin, tan].map((one) => ({ ...one, toleranceDe: 2 }));
    expect(verdicts(strict, page('3', [[[216, 150, 112], 5]]))).toEqual(['3 tan unsure']);
  });

  test('is never told of greys: any grey may be another one', () => {
    const grey = swatch('steel', [128, 130, 132], 2);
    expect(verdicts([grey], page('3', [[[136, 138, 140], 30]]))).toEqual([]);
    expect(verdicts([grey], page('3', [[[128, 130, 133], 30]]))).toEqual(['3 steel kept']);
  });

  test('is not asked of a page without colour', () => {
    const blank: PaintedPage = { page: '3', scene: undefined, palette: { colourPercent: 0, colours: [] } };
    expect(verdicts([skin], blank)).toEqual([]);
  });
});

describe('on dark pages', () => {
  const inScene = (id: string, share: number, scene = 'night') =>
    page(id, [[dimmed(skin.colour.kind === 'srgb' ? skin.colour.srgb : night, share), 8]], scene, night);

  test('less light is expected, and told as a figure', () => {
    const [one] = sightSwatches([skin], [inScene('9', 0.3)]);
    expect([one.light, one.verdict]).toEqual(['dark', 'dimmed']);
    expect(one.distanceDe).toBeGreaterThan(15);
    expect(Math.abs((one.lightPercent ?? 0) - 30)).toBeLessThan(6);
  });

  test('a swatch is held against itself on the other dark pages of its scene, where two of them agree', () => {
    const alike = [inScene('1', 0.3), inScene('2', 0.3), inScene('3', 0.32)];
    expect(verdicts([skin], ...alike)).toEqual(['1 skin dimmed', '2 skin dimmed', '3 skin dimmed']);
    expect(verdicts([skin], ...alike, inScene('4', 0.42)).at(-1)).toBe('4 skin drifted');
    expect(verdicts([skin], ...alike, inScene('4', 0.42, 'another')).at(-1)).toBe('4 skin dimmed');
    expect(verdicts([skin], alike[0], inScene('4', 0.42))).toEqual(['1 skin dimmed', '4 skin dimmed']);
    // What is far off there is another colour.
    expect(verdicts([skin], ...alike, inScene('4', 0.75)).at(-1)).toBe('4 skin unsure');
  });
});

describe('the hint on a page', () => {
  const drifting = page('3', [
    [[216, 150, 108], 7],
    [[31, 92, 150], 20],
  ]);
  const strict = [skin, coat].map((one) => ({ ...one, toleranceDe: 3 }));
  const keeping = ['1', '2'].map((id) =>
    page(id, [
      [[200, 144, 112], 7],
      [[31, 78, 140], 20],
    ]),
  );

  test('is one, names what has drifted with figures and places, and asks for no look', () => {
    const [[id, hint], ...more] = noticeDrift(sightSwatches(strict, [...keeping, drifting]));
    expect([id, more]).toEqual(['3', []]);
    expect(hint.severity).toBe('note');
    expect(hint.message).toMatch(/Mara, (coat|skin) by \d+\.\d; Mara, (skin|coat) by \d+\.\d$/);
    expect(hint.measured).toMatch(/#d8966c on 7\.0 % is CIEDE2000 \d\.\d from its swatch/);
    expect(hint.places?.inAll).toBe(2);
  });

  test('is none where swatches are kept, dimmed, or nowhere', () => {
    const kept = page('1', [[[200, 144, 112], 7]]);
    expect(noticeDrift(sightSwatches([skin, coat], [kept]))).toEqual([]);
  });
});

describe('the table', () => {
  test('has a line for each swatch on each page, and one for a swatch that is nowhere', () => {
    const odd = swatch('=1+1, "red"', [255, 0, 0]);
    const swatches = [skin, coat, odd];
    const pages = [page('1', [[[200, 144, 112], 7]], 'harbour'), page('2', [[[31, 78, 140], 9]])];
    const lines = swatchTable(swatches, sightSwatches(swatches, pages)).split('\r\n');
    expect(lines.length).toBe(5);
    expect(lines[1]).toBe(
      'Mara,skin,#c89070,64.82,18.98,25.85,5,1,harbour,light,kept,#c89070,64.82,18.98,25.85,0.00,,7.00,0.0,5.0',
    );
    expect(lines[2]).toMatch(/^Mara,coat,.*,2,,light,kept,#1f4e8c,/);
    expect(lines[3]).toMatch(/^,"'=1\+1, ""red""",#ff0000,.*,5,,,,not seen,,,,,,,,,$/);
    for (const line of lines.slice(0, 3)) expect(line.split(',').length).toBe(20);
  });
});

// Only so that a wrong helper is seen: a third of the light keeps the hue.
test('less light takes lightness and chroma by one factor in OKLab', () => {
  const [full, third]: OkLab[] = [oklabOf([200, 144, 112]), oklabOf(dimmed([200, 144, 112], 1 / 3))];
  const factors = full.map((value, i) => third[i] / value);
  for (const factor of factors) expect(Math.abs(factor - Math.cbrt(1 / 3))).toBeLessThan(0.06);
});
