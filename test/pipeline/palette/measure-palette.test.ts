import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { ciede2000 } from '../../../config/press/ciede2000.js';
import { openPress } from '../../../config/press.js';
import { separatorFor } from '../../../pipeline/inks/separator.js';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import type { PagePalette } from '../../../pipeline/model/palette.js';
import type { Raster } from '../../../pipeline/model/raster.js';
import { labOfOklab, labOfRgb } from '../../../pipeline/palette/cie-lab.js';
import { measurePalette } from '../../../pipeline/palette/measure-palette.js';
import { type Rgb, rgbOf } from '../../../pipeline/palette/oklab.js';
import { drawn, plateOf, seeded } from '../../helpers/rasters.js';
import { specWith } from '../../helpers/specs.js';

/** 60 mm by 60 mm at 150 ppi, with 2 mm of bleed in a colour that must not count. */
const spec = specWith({ trim: { widthMm: 60, heightMm: 60 }, bleedMm: 2, colourPpi: 150 });
const [sidePx, bleedPx] = [378, 12];
const inTrim = (at: number) => at >= bleedPx && at < sidePx - bleedPx;
const trimPx = sidePx - 2 * bleedPx;
const bleedColour: Rgb = [0, 255, 0];

const arena = new PageArena();
const asItIs = { screenOf: (raster: Raster) => raster };

type Painter = (x: number, y: number) => readonly number[];

/** A page whose trim a function paints, from 0 to below 1 across and down. */
function painted(paint: Painter): Raster {
  return drawn(sidePx, sidePx, 'rgb', (x, y) =>
    inTrim(x) && inTrim(y) ? paint((x - bleedPx) / trimPx, (y - bleedPx) / trimPx) : bleedColour,
  );
}

/** A page that goes on in its bleed. */
function paintedOut(paint: Painter): Raster {
  return drawn(sidePx, sidePx, 'rgb', (x, y) => paint((x - bleedPx) / trimPx, (y - bleedPx) / trimPx));
}

function paletteOf(colour: Raster, page: object = {}, print = spec): PagePalette {
  return measurePalette({ colour, profile: undefined, coverage: undefined, ...page }, print, asItIs, arena);
}

/** What a page was drawn in: each colour with its share of the trim in percent. */
type Known = readonly (readonly [Rgb, number])[];

/** The colours of a palette that are less than 3 CIEDE2000 off, as one: how far off they are on average, and their share. */
function found({ colours }: PagePalette, rgb: Rgb): { de: number; percent: number } {
  const wanted = labOfRgb(rgb);
  const near = colours
    .map(({ oklab, sharePercent }) => ({ de: ciede2000(labOfOklab(oklab), wanted), percent: sharePercent }))
    .filter(({ de }) => de < 3);
  const percent = near.reduce((sum, each) => sum + each.percent, 0);
  const [largest] = near;
  return { de: largest?.de ?? Number.NaN, percent };
}

function expectKnown(palette: PagePalette, known: Known, within = { de: 1, percent: 2 }): void {
  for (const [rgb, percent] of known) {
    const one = found(palette, rgb);
    expect(one.de, `${rgb}: CIEDE2000`).toBeLessThan(within.de);
    expect(Math.abs(one.percent - percent), `${rgb}: share`).toBeLessThan(within.percent);
  }
  const sum = palette.colours.reduce((all, { sharePercent }) => all + sharePercent, 0);
  expect(sum).toBeCloseTo(100, 1);
}

const skin: Rgb = [240, 200, 170];
const shade: Rgb = [206, 156, 138];
const coat: Rgb = [60, 90, 150];
const night: Rgb = [28, 30, 52];
const lamp: Rgb = [255, 214, 90];
const paper: Rgb = [255, 255, 255];

/** Skin with its shade, a coat, a night, and a lamp of a thousandth of the page. */
const celKnown: Known = [
  [skin, 20],
  [shade, 10],
  [coat, 30],
  [night, 39.9],
  [lamp, 0.1],
];
const lampRadius = Math.sqrt(0.001 / Math.PI);
const cel: Painter = (x, y) => {
  if (Math.hypot(x - 0.8, y - 0.8) < lampRadius) return lamp;
  if (y < 0.3) return x < 2 / 3 ? skin : shade;
  return y < 0.6 ? coat : night;
};

/** Noise as a scan has it, of a standard deviation in levels. */
function noisy(page: Raster, levels: number): Raster {
  const random = seeded(5);
  const noise = () => (random() + random() + random() + random() - 2) * Math.sqrt(3) * levels;
  const data = Uint8ClampedArray.from(page.data, (level) => level + noise());
  return { ...page, data: new Uint8Array(data.buffer) };
}

const asRaw = (page: Raster) =>
  sharp(Buffer.from(page.data), { raw: { width: page.width, height: page.height, channels: 3 } });

async function resized(page: Raster, factor: number): Promise<Raster> {
  const width = Math.round(page.width * factor);
  const small = await asRaw(page).resize(width, width, { fit: 'fill' }).raw().toBuffer();
  const back = sharp(small, { raw: { width, height: width, channels: 3 } });
  return {
    ...page,
    data: new Uint8Array(await back.resize(page.width, page.height, { fit: 'fill' }).raw().toBuffer()),
  };
}

async function throughJpeg(page: Raster): Promise<Raster> {
  const jpeg = await asRaw(page).jpeg({ quality: 80 }).toBuffer();
  return { ...page, data: new Uint8Array(await sharp(jpeg).raw().toBuffer()) };
}

describe('what colours a page was painted in', () => {
  const flats = painted(cel);

  it('are those of its flats, with the share that each has of the trim, the largest first', () => {
    const palette = paletteOf(flats);
    expectKnown(palette, celKnown, { de: 0.3, percent: 0.5 });
    expect(palette.colours.map(({ oklab }) => rgbOf(oklab))).toEqual([night, coat, skin, shade, lamp]);
    expect(palette.colourPercent).toBe(100);
  });

  it('are each to be seen at the place that is named', () => {
    for (const { oklab, xMm, yMm } of paletteOf(flats).colours) {
      expect(rgbOf(oklab)).toEqual(cel(xMm / 60, yMm / 60));
    }
  });

  it.each([
    ['with noise of 6 levels', noisy(flats, 6)],
    ['of 16 bit', { ...flats, data: Uint16Array.from(flats.data, (level) => level * 257) }],
  ])('stay what they are %s', (_, page) => {
    expectKnown(paletteOf(page), celKnown);
  });

  it('stay what they are with noise of 12 levels, of which the light makes black a little lighter', () => {
    // A lamp of 2 mm is lost in so much.
    expectKnown(paletteOf(noisy(flats, 12)), celKnown.slice(0, -1), { de: 1.5, percent: 3 });
  });

  it.each([
    ['exported at two thirds of the size', () => resized(paintedOut(cel), 2 / 3)],
    ['exported larger', () => resized(paintedOut(cel), 1.7)],
    ['saved as JPEG', () => throughJpeg(paintedOut(cel))],
  ])('stay what they are %s', async (_, page) => {
    const palette = paletteOf(await page());
    expectKnown(palette, celKnown.slice(0, -1));
    // JPEG and scaling mix what is as small as a lamp with what is around it.
    expect(found(palette, lamp).percent).toBeGreaterThan(0.05);
  });

  it('leave out line, lettering and bleed', () => {
    const coverage = plateOf(sidePx, sidePx, (x) => (x % 16 < 5 ? 255 : 0));
    const half = Math.ceil(sidePx / 2);
    const lettering = plateOf(half, half, (x) => (x < half / 2 ? 255 : 0));
    const dirty = painted((x, y) => (x < 0.49 ? [9, 9, 9] : cel(x, y)));
    const palette = paletteOf(dirty, { coverage, lettering });
    expect(found(palette, [9, 9, 9]).percent).toBe(0);
    expect(found(palette, bleedColour).percent).toBe(0);
    expect(palette.colourPercent).toBeGreaterThan(25);
    expect(palette.colourPercent).toBeLessThan(40);
    expect(Math.abs(found(palette, coat).percent - 30)).toBeLessThan(2);
  });

  it('have none where line covers all of it', () => {
    const coverage = plateOf(sidePx, sidePx, () => 255);
    expect(paletteOf(flats, { coverage })).toEqual({ colourPercent: 0, colours: [] });
  });

  it('are the same to the last digit, however often they are measured', () => {
    const page = noisy(flats, 12);
    expect(paletteOf(page)).toEqual(paletteOf(page));
  });
});

describe('what colours it was painted in, by how it was made', () => {
  it('brush: strokes of one colour over another, with soft edges', () => {
    const page = painted((x, y) => {
      const stroke = Math.sin(x * 40 + Math.sin(y * 9) * 3);
      const over = Math.max(0, Math.min(1, stroke * 4 + 0.5));
      return coat.map((level, c) => Math.round(level + (skin[c] - level) * over));
    });
    expectKnown(
      paletteOf(page),
      [
        [coat, 50 - 4],
        [skin, 50 - 4],
      ],
      { de: 1.5, percent: 6 },
    );
  });

  it('painted: a sky from one colour to another has each part of its way', () => {
    const [up, down] = [
      [40, 60, 120],
      [250, 180, 120],
    ];
    const page = painted((_, y) => up.map((level, c) => Math.round(level + (down[c] - level) * y)));
    const { colours } = paletteOf(page);
    expect(colours.length).toBeGreaterThan(12);
    const dark = colours.filter(({ oklab }) => rgbOf(oklab)[0] < 145);
    expect(Math.abs(dark.reduce((sum, { sharePercent }) => sum + sharePercent, 0) - 50)).toBeLessThan(4);
    expect(Math.max(...colours.map(({ sharePercent }) => sharePercent))).toBeLessThan(20);
  });

  it('watercolour: grain of the paper around three washes', () => {
    const washes: Known = [
      [[214, 226, 232], 50],
      [[178, 204, 190], 30],
      [[232, 204, 180], 20],
    ];
    const page = painted((x, y) => {
      const wash = y < 0.5 ? 0 : x < 0.6 ? 1 : 2;
      const grain = 5 * Math.sin(x * 500 + 3 * Math.sin(y * 300)) * Math.sin(y * 450);
      return washes[wash][0].map((level) => Math.round(level + grain));
    });
    expectKnown(paletteOf(page), washes);
  });

  it('screened: fine dots are the tint that they make, coarse ones their colour and the paper', () => {
    // 30 mm at 300 ppi: as many pixels as the other pages have.
    const small = specWith({ trim: { widthMm: 30, heightMm: 30 }, bleedMm: 1, colourPpi: 300 });
    const dots = (period: number) =>
      drawn(sidePx, sidePx, 'rgb', (x, y) => {
        const [u, v] = [(x * 0.8 + y * 0.6) / period, (y * 0.8 - x * 0.6) / period + 99];
        return Math.hypot((u % 1) - 0.5, (v % 1) - 0.5) < 0.3 ? coat : paper;
      });
    const area = Math.PI * 0.3 ** 2;
    const tint = coat.map((level) => {
      const light = ((level / 255 + 0.055) / 1.055) ** 2.4 * area + 1 - area;
      return Math.round(255 * (1.055 * light ** (1 / 2.4) - 0.055));
    }) as unknown as Rgb;
    expect(found(paletteOf(dots(4.6), {}, small), tint).percent).toBeGreaterThan(90);
    const coarse = paletteOf(dots(40), {}, small);
    expect(found(coarse, coat).de).toBeLessThan(1);
    expect(Math.abs(found(coarse, coat).percent - 100 * area)).toBeLessThan(2);
  });

  it('like a photograph: light over form and grain comes to the mean that the picture has', () => {
    const random = seeded(11);
    const page = painted((x, y) => {
      const light = Math.max(0.1, Math.cos(Math.hypot(x - 0.4, y - 0.4) * 2));
      return [200, 150, 120].map((level) => Math.round(level * light + 16 * random()));
    });
    const { colours } = paletteOf(page);
    const mean = [0, 0, 0];
    for (const { oklab, sharePercent } of colours) {
      for (const [c, level] of rgbOf(oklab).entries()) mean[c] += (level * sharePercent) / 100;
    }
    const meant = [0, 0, 0];
    for (let at = 0; at < page.data.length; at++) {
      const pixel = Math.floor(at / 3);
      if (inTrim(pixel % sidePx) && inTrim(Math.floor(pixel / sidePx)))
        meant[at % 3] += page.data[at] / trimPx ** 2;
    }
    for (const c of [0, 1, 2]) expect(Math.abs(mean[c] - meant[c])).toBeLessThan(1.5);
  });

  it('at night: what is nearly black stays apart, and so do its few lights', () => {
    const known: Known = [
      [[10, 12, 24], 60],
      [[24, 30, 56], 39.7],
      [[255, 240, 180], 0.3],
    ];
    const page = painted((x, y) => {
      if (Math.hypot(x - 0.5, y - 0.2) < Math.sqrt(0.003 / Math.PI)) return known[2][0];
      return y < 0.6 ? known[0][0] : known[1][0];
    });
    expectKnown(paletteOf(page), known);
  });
});

describe('colour that came as CMYK', () => {
  it('is what its inks will look like in print', async () => {
    const press = await openPress(spec.press);
    const separator = separatorFor(press, spec);
    const inks = [
      [255, 0, 0, 0],
      [0, 128, 255, 0],
    ] as const;
    const page = drawn(sidePx, sidePx, 'cmyk', (_, y) => inks[y < sidePx / 2 ? 0 : 1]);
    const palette = measurePalette(
      { colour: page, profile: undefined, coverage: undefined },
      spec,
      separator,
      arena,
    );
    const one = { ...page, width: 2, height: 1, data: Uint8Array.from(inks.flat()) };
    const seen = [...separator.softProof(one, { paperWhite: false }, arena).data];
    expectKnown(palette, [
      [seen.slice(0, 3) as unknown as Rgb, 50],
      [seen.slice(3) as unknown as Rgb, 50],
    ]);
  });
});
