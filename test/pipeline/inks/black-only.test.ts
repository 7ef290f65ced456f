import { beforeAll, describe, expect, it } from 'vitest';
import { exactTransform, loadProfile } from '../../../config/press/colour-engine.js';
import { openPress, type Press } from '../../../config/press.js';
import { compensatedLightness } from '../../../pipeline/inks/black-ramp.js';
import { openSeparator, type Separator } from '../../../pipeline/inks/separator.js';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import type { ColourModel, Raster } from '../../../pipeline/model/raster.js';
import { processPlanes } from '../../../pipeline/model/separation.js';

const arena = new PageArena();
const relative = { intent: 'relative', blackPointCompensation: true, inkLimitPercent: 300 } as const;
let press: Press;
let separator: Separator;
beforeAll(async () => {
  press = await openPress({ kind: 'shipped', name: 'cgats-tr002' });
  separator = openSeparator(press, { ...relative, inks: ['black'] });
});

function rowOf(model: ColourModel, data: Uint8Array | Uint16Array): Raster {
  const channels = { grey: 1, rgb: 3, cmyk: 4 }[model];
  return { width: data.length / channels, height: 1, model, alpha: false, data };
}

/** The black plate; nothing may be on the others. */
function blackOf(raster: Raster, profile?: Uint8Array, by: Separator = separator): Uint8Array {
  const [cyan, magenta, yellow, black] = processPlanes(by.separate(raster, profile, arena).separation);
  for (const plane of [cyan, magenta, yellow]) expect(Math.max(...plane)).toBe(0);
  return black.slice();
}

const levels = Uint8Array.from({ length: 256 }, (_, level) => level);
const wide = Uint16Array.from(levels, (level) => level * 257);
const threeTimes = Uint8Array.from({ length: 256 * 3 }, (_, i) => Math.floor(i / 3));
const pureBlack = Uint8Array.from({ length: 256 * 4 }, (_, i) => (i % 4 === 3 ? i >> 2 : 0));

describe('a page in black ink alone', () => {
  it('is as light as it was painted, its black on solid black, at every level of grey', () => {
    const black = blackOf(rowOf('grey', levels));
    const toLab = { to: 'lab', intent: 'relative', blackPointCompensation: false } as const;
    const painted = exactTransform({ ...toLab, from: 'srgb' });
    const printed = exactTransform({ ...toLab, from: loadProfile(press.profile) });
    const lightness = (ink: number) => printed([0, 0, 0, ink])[0] * 100;
    for (const level of levels) {
      const wanted = compensatedLightness(
        painted([level, level, level].map((v) => v / 255))[0] * 100,
        0,
        lightness(1),
      );
      // Half a step of black ink on newsprint, where it is steepest.
      expect(Math.abs(lightness(black[level] / 255) - wanted)).toBeLessThan(0.25);
    }
    expect([black[0], black[255]]).toEqual([255, 0]);
  });

  it('comes out alike from grey of 8 and 16 bit and from RGB that is grey', () => {
    const black = blackOf(rowOf('grey', levels));
    expect(blackOf(rowOf('grey', wide))).toEqual(black);
    const fromRgb = blackOf(rowOf('rgb', threeTimes));
    expect(Math.max(...fromRgb.map((ink, i) => Math.abs(ink - black[i])))).toBeLessThanOrEqual(1);
  });

  it('keeps pure black of its own press number for number, whether its profile is there or not', () => {
    for (const profile of [press.profile, undefined]) {
      expect(blackOf(rowOf('cmyk', pureBlack), profile)).toEqual(levels);
    }
  });

  it('lays pure black of another press on its own, solid on solid; what is darker prints solid', async () => {
    const coated = await openPress({ kind: 'shipped', name: 'fogra39l' });
    const black = blackOf(rowOf('cmyk', pureBlack), coated.profile);
    expect([black[0], black[255]]).toEqual([0, 255]);
    for (let k = 1; k < 256; k++) expect(black[k]).toBeGreaterThanOrEqual(black[k - 1]);
    expect([...blackOf(rowOf('cmyk', Uint8Array.of(150, 100, 100, 255)), coated.profile)]).toEqual([255]);
  });

  it('prints solid where it is darker than black ink, without compensation', async () => {
    const exact = openSeparator(press, { ...relative, blackPointCompensation: false, inks: ['black'] });
    const black = blackOf(rowOf('grey', levels), undefined, exact);
    expect(black.lastIndexOf(255)).toBeGreaterThan(40);
    expect(black[0]).toBe(255);
  });

  it('has an ink limit of one solid', () => {
    expect([separator.inkLimitPercent, separator.inkLimitSource]).toEqual([100, 'black ink alone prints']);
  });
});

describe('the colour that black alone cannot print', () => {
  const half = Uint8Array.from({ length: 4000 * 3 }, (_, i) => (i < 6000 ? 128 : [200, 40, 40][i % 3]));

  it('is told by its share of the page', () => {
    expect(separator.colouredPercent(rowOf('rgb', half), undefined)).toBe(50);
    expect(
      separator.colouredPercent(
        rowOf(
          'rgb',
          Uint16Array.from(half, (v) => v * 257),
        ),
        undefined,
      ),
    ).toBe(50);
    expect(
      separator.colouredPercent(rowOf('cmyk', Uint8Array.of(0, 0, 0, 90, 0, 200, 0, 0)), undefined),
    ).toBe(50);
  });

  it('is none on grey, on a warm scan of it, and where all inks print', () => {
    expect(separator.colouredPercent(rowOf('grey', levels), undefined)).toBe(0);
    expect(separator.colouredPercent(rowOf('rgb', Uint8Array.of(238, 232, 216)), undefined)).toBe(0);
    expect(openSeparator(press, relative).colouredPercent(rowOf('rgb', half), undefined)).toBe(0);
  });
});
