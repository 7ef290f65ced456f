import { beforeAll, describe, expect, it } from 'vitest';
import { exactTransform, loadProfile } from '../../config/press/colour-engine.js';
import { openPress, type Press } from '../../config/press.js';
import { openSeparator, type Separator } from '../../pipeline/inks/separator.js';
import { PageArena } from '../../pipeline/kernels/page-arena.js';
import type { ColourModel, Raster } from '../../pipeline/model/raster.js';
import { processInkNames, type Separation } from '../../pipeline/model/separation.js';
import { greyProfile, rgbProfile, widePrimaries } from '../helpers/icc-writer.js';
import { inkAt, planesOf } from '../helpers/plates.js';
import { seeded } from '../helpers/stack-builder.js';

const arena = new PageArena();

const relative = { intent: 'relative', blackPointCompensation: true } as const;
let press: Press;
let separator: Separator;
beforeAll(async () => {
  press = await openPress({ kind: 'shipped', name: 'cgats-tr006' });
  separator = openSeparator(press, { ...relative, inkLimitPercent: undefined });
});

function rasterOf(model: ColourModel, data: Uint8Array | Uint16Array, width = 1): Raster {
  const channels = { grey: 1, rgb: 3, cmyk: 4 }[model];
  return { width, height: data.length / channels / width, model, alpha: false, data };
}

/** The most C+M+Y+K in percent, counted here once more. */
function mostInk(plates: Separation): number {
  let most = 0;
  const { cyan, magenta, yellow, black } = planesOf(plates);
  for (let pixel = 0; pixel < cyan.length; pixel++) {
    const inks = cyan[pixel] + magenta[pixel] + yellow[pixel] + black[pixel];
    if (inks > most) most = inks;
  }
  return (most * 100) / 255;
}

/** Every colour that 8 bits a channel can say, once. */
function fullCube(): Uint8Array {
  const data = new Uint8Array(256 ** 3 * 3);
  for (let colour = 0, at = 0; colour < 256 ** 3; colour++) {
    data[at++] = colour >> 16;
    data[at++] = colour >> 8;
    data[at++] = colour;
  }
  return data;
}

describe('the ink limit', () => {
  const cube = fullCube();
  it.each([
    ['cgats-tr006', 240],
    ['cgats-tr006', 200],
    ['fogra39l', 300],
    ['cgats-tr002', 220],
  ])('%s at %i percent holds on every pixel of the full RGB cube', async (name, inkLimitPercent) => {
    const other = openSeparator(await openPress({ kind: 'shipped', name }), { ...relative, inkLimitPercent });
    const made = other.separate(rasterOf('rgb', cube, 4096), undefined, arena);
    expect(mostInk(made.separation)).toBeLessThanOrEqual(inkLimitPercent);
    expect(made.inkAfterPercent).toBeCloseTo(mostInk(made.separation), 6);
  });

  it('is reported with the ink before and after it', () => {
    const low = openSeparator(press, { ...relative, inkLimitPercent: 220 });
    const black = rasterOf('rgb', new Uint8Array(300), 10);
    const made = low.separate(black, undefined, arena);
    const free = separator.separate(black, undefined, arena);
    expect(made.inkBeforePercent).toBe(free.inkAfterPercent);
    expect(made.inkBeforePercent).toBeGreaterThan(260);
    expect(made.inkAfterPercent).toBeLessThanOrEqual(220);
    expect(made.inkAfterPercent).toBeGreaterThan(218);
  });

  it('holds for greys and for 16 bit as well', () => {
    const low = openSeparator(press, { ...relative, inkLimitPercent: 200 });
    const grey = low.separate(
      rasterOf(
        'grey',
        Uint8Array.from({ length: 256 }, (_, level) => level),
      ),
      undefined,
      arena,
    );
    expect(mostInk(grey.separation)).toBeLessThanOrEqual(200);
    expect(grey.inkBeforePercent).toBeGreaterThan(260);
    const random = seeded(9);
    const deep = Uint16Array.from({ length: 90000 }, () => random() * 20000);
    expect(mostInk(low.separate(rasterOf('rgb', deep), undefined, arena).separation)).toBeLessThanOrEqual(
      200,
    );
  });

  it("is the press condition's own suggestion where the job says nothing", () => {
    expect(separator.inkLimitPercent).toBe(320);
    expect(separator.inkLimitSource).toBe(press.inkLimitSource);
    expect(openSeparator(press, { ...relative, inkLimitPercent: 280 }).inkLimitSource).toMatch(/job\.yaml/);
  });
});

describe('paper', () => {
  it.each(['relative', 'perceptual', 'saturation'] as const)(
    'gets no ink at all with the %s intent',
    (intent) => {
      const other = openSeparator(press, {
        intent,
        blackPointCompensation: intent === 'relative',
        inkLimitPercent: undefined,
      });
      for (const [model, white] of [
        ['rgb', new Uint8Array(3).fill(255)],
        ['rgb', new Uint16Array(3).fill(65535)],
        ['grey', new Uint8Array(1).fill(255)],
        ['grey', new Uint16Array(1).fill(65535)],
      ] as const) {
        expect(inkAt(other.separate(rasterOf(model, white), undefined, arena).separation, 0)).toEqual([
          0, 0, 0, 0,
        ]);
      }
      const wide = rgbProfile(widePrimaries, 2.2);
      const made = other.separate(rasterOf('rgb', new Uint8Array(3).fill(255)), wide, arena);
      expect(inkAt(made.separation, 0)).toEqual([0, 0, 0, 0]);
    },
  );
});

describe('colour and grey', () => {
  it('go to the plates pixel by pixel as the exact conversion has them', () => {
    const random = seeded(5);
    const data = Uint8Array.from({ length: 3000 }, () => random() * 256);
    const { separation } = separator.separate(rasterOf('rgb', data, 100), undefined, arena);
    const exact = exactTransform({ from: 'srgb', to: loadProfile(press.profile), ...relative });
    let far = 0;
    for (let pixel = 0; pixel < 1000; pixel++) {
      const wanted = exact([...data.subarray(pixel * 3, pixel * 3 + 3)].map((value) => value / 255));
      const off = Math.max(
        ...inkAt(separation, pixel).map((ink, index) => Math.abs(ink - wanted[index] * 255)),
      );
      expect(off).toBeLessThan(8);
      if (off > 2) far++;
    }
    expect(far).toBeLessThan(20);
  });

  it('come out alike from 8 and from 16 bit', () => {
    const random = seeded(6);
    const data = Uint8Array.from({ length: 30000 }, () => random() * 256);
    const eight = separator.separate(rasterOf('rgb', data), undefined, arena).separation;
    const sixteen = separator.separate(
      rasterOf(
        'rgb',
        Uint16Array.from(data, (v) => v * 257),
      ),
      undefined,
      arena,
    ).separation;
    for (const name of processInkNames) {
      const plane = planesOf(sixteen)[name];
      const off = planesOf(eight)[name].reduce(
        (most, ink, pixel) => Math.max(most, Math.abs(ink - plane[pixel])),
        0,
      );
      expect(off).toBeLessThanOrEqual(1);
    }
  });

  it('grey is exact at every level, from sRGB and from a profile of its own', () => {
    const levels = Uint8Array.from({ length: 256 }, (_, level) => level);
    const bytes = greyProfile(1.8);
    for (const profile of [undefined, bytes]) {
      const { separation } = separator.separate(rasterOf('grey', levels), profile, arena);
      const from = profile === undefined ? 'srgb' : loadProfile(profile);
      const exact = exactTransform({ from, to: loadProfile(press.profile), ...relative });
      for (let level = 0; level < 255; level++) {
        const grey = level / 255;
        const wanted = exact(profile === undefined ? [grey, grey, grey] : [grey]);
        expect(inkAt(separation, level)).toEqual(wanted.map((ink) => Math.round(ink * 255)));
      }
    }
  });

  it("follow the picture's own profile", () => {
    const orange = rasterOf('rgb', Uint8Array.of(230, 120, 40));
    const wide = separator.separate(orange, rgbProfile(widePrimaries, 2.2), arena);
    expect(wide.noticed).toEqual([]);
    expect(inkAt(wide.separation, 0)).not.toEqual(
      inkAt(separator.separate(orange, undefined, arena).separation, 0),
    );
  });
});

describe('CMYK', () => {
  const numbers = Uint8Array.from({ length: 400 }, (_, index) => (index * 37) % 200);

  it('with the profile of the press passes through number for number', () => {
    const made = separator.separate(rasterOf('cmyk', numbers, 10), press.profile, arena);
    expect(made.passedThrough).toBe(true);
    for (let pixel = 0; pixel < 100; pixel++) {
      expect(inkAt(made.separation, pixel)).toEqual([...numbers.subarray(pixel * 4, pixel * 4 + 4)]);
    }
    expect(made.noticed).toEqual([]);
  });

  it('without a profile passes through and is reported', () => {
    const made = separator.separate(rasterOf('cmyk', numbers, 10), undefined, arena);
    expect(made.passedThrough).toBe(true);
    expect(made.noticed).toMatchObject([{ code: 'profile-untagged', severity: 'warn' }]);
    expect(made.noticed[0]?.message).toMatch(/press condition/);
  });

  it('over the ink limit is stopped with what was measured, never altered', () => {
    const heavy = Uint8Array.of(255, 255, 255, 255);
    const made = separator.separate(rasterOf('cmyk', heavy), press.profile, arena);
    expect(inkAt(made.separation, 0)).toEqual([255, 255, 255, 255]);
    expect(made.inkAfterPercent).toBe(400);
    expect(made.noticed).toMatchObject([
      {
        code: 'ink-over-limit',
        severity: 'stop',
        measured: '400 %',
        limit: 'at most 320 %',
        source: press.inkLimitSource,
      },
    ]);
  });

  it('of another press is converted, and paper stays paper', async () => {
    const coated = await openPress({ kind: 'shipped', name: 'fogra39l' });
    const made = separator.separate(rasterOf('cmyk', numbers, 10), coated.profile, arena);
    expect(made.passedThrough).toBe(false);
    expect(made.noticed).toEqual([]);
    const paper = separator.separate(rasterOf('cmyk', new Uint8Array(4)), coated.profile, arena);
    expect(inkAt(paper.separation, 0)).toEqual([0, 0, 0, 0]);
  });

  it('of 16 bit is rounded to 8', () => {
    const made = separator.separate(
      rasterOf('cmyk', Uint16Array.of(0, 128, 129, 65535)),
      press.profile,
      arena,
    );
    expect(inkAt(made.separation, 0)).toEqual([0, 0, 1, 255]);
  });
});

describe('what is noticed', () => {
  const pixel = rasterOf('rgb', Uint8Array.of(10, 20, 30));

  it('untagged RGB is taken as sRGB, and said so', () => {
    const { noticed } = separator.separate(pixel, undefined, arena);
    expect(noticed).toMatchObject([{ code: 'profile-untagged', severity: 'warn' }]);
    expect(noticed[0]?.message).toMatch(/sRGB/);
  });

  it('a profile that does not fit the pixels is named', () => {
    expect(separator.separate(pixel, greyProfile(2.2), arena).noticed).toMatchObject([
      { code: 'profile-mismatch', severity: 'warn', measured: 'a profile for grey', limit: 'pixels in rgb' },
    ]);
  });

  it('a damaged profile is named with what is wrong with it', () => {
    const { noticed, separation } = separator.separate(
      pixel,
      rgbProfile(widePrimaries, 2.2).slice(0, 200),
      arena,
    );
    expect(noticed).toMatchObject([{ code: 'profile-damaged', severity: 'warn' }]);
    expect(noticed[0]?.message).toMatch(/bytes/);
    expect(inkAt(separation, 0)).toEqual(inkAt(separator.separate(pixel, undefined, arena).separation, 0));
  });

  it('black point compensation with another intent is refused with what to do', () => {
    const wrong = { intent: 'perceptual', blackPointCompensation: true, inkLimitPercent: 300 } as const;
    expect(() => openSeparator(press, wrong)).toThrow(/relative intent/);
  });
});

describe('200 damaged profiles in pictures', () => {
  it('each end in plates, with a finding or without; none hangs', () => {
    const random = seeded(77);
    const pixels = rasterOf('grey', Uint8Array.of(0, 90, 200));
    for (let copy = 0; copy < 200; copy++) {
      const bytes = greyProfile(1.8).slice();
      for (let hits = 0; hits < 1 + random() * 3; hits++)
        bytes[Math.floor(random() * bytes.length)] = random() * 256;
      const made = separator.separate(pixels, bytes, arena);
      expect(planesOf(made.separation).cyan.length).toBe(3);
      expect(mostInk(made.separation)).toBeLessThanOrEqual(320);
    }
  });
});
