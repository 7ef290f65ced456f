import sharp from 'sharp';
import { describe, expect, test } from 'vitest';
import { openPress } from '../../../config/press.js';
import type { ColourModel, Raster } from '../../../pipeline/model/raster.js';
import { writeOpenRaster } from '../../helpers/openraster-fixtures.js';
import { colourPx, linePx, type PageThrough, pageThrough, plainTiff } from '../../helpers/page-through.js';
import { drawn } from '../../helpers/rasters.js';
import { inksTiffOf } from '../../helpers/small-issue.js';

// Every form in which a page arrives, from its files to the composite and the line plate. All pages show the same:
// a sky, a spotted black, a thin frame around the right half, a ring that may be a hold, a balloon with a letter.

type Point = readonly [x: number, y: number];

/** Places to look at, in pixels of the line. */
const places = {
  sky: [40, 500],
  frame: [301, 400],
  ring: [121, 320],
  spotted: [120, 560],
  balloon: [330, 60],
  letter: [301, 102],
  /** The frame runs on beneath the balloon. */
  hiddenFrame: [301, 62],
} as const satisfies Record<string, Point>;

const inFrame = (x: number) => x >= 300 && x < 304;
const inRing = (x: number, y: number) => Math.abs(Math.hypot(x - 121, y - 241) - 80) < 3;
const inSpotted = (x: number, y: number) => x >= 60 && x < 180 && y >= 520 && y < 600;
const inBalloon = (x: number, y: number) => Math.hypot(x - 320, y - 80) < 50;
const inLetter = (x: number, y: number) => x >= 298 && x < 306 && y >= 90 && y < 116;
const inLine = (x: number, y: number) => inFrame(x) || inRing(x, y) || inSpotted(x, y);

type Sample = readonly number[];
const sky: Sample = [110, 170, 225];
const brown: Sample = [150, 80, 20];
const black: Sample = [0, 0, 0];
const white: Sample = [255, 255, 255];
const skyInks: Sample = [140, 60, 10, 0];

const at = (model: ColourModel, sample: (x: number, y: number) => Sample, scale = 1): Raster =>
  drawn(Math.round(linePx.width / scale), Math.round(linePx.height / scale), model, (x, y) =>
    sample(x * scale, y * scale),
  );
const colour = at('rgb', (x, y) => (inSpotted(x, y) ? [50, 50, 54] : sky));
const line = at('grey', (x, y) => [inLine(x, y) ? 0 : 255]);
const painted = at('rgb', (x, y) => (inRing(x, y) ? brown : inLine(x, y) ? black : sky));
const balloons = at('rgb', (x, y) => {
  if (inLetter(x, y)) return [...black, 255];
  return inBalloon(x, y) ? [...white, 255] : [...white, 0];
});
const blackLetters = at('grey', (x, y) => [inLetter(x, y) ? 0 : 255]);

function inkAt(page: PageThrough, place: keyof typeof places): number[] {
  const [x, y] = places[place];
  const start = ((y >> 1) * colourPx.width + (x >> 1)) * 4;
  return [...(page.composite?.data.slice(start, start + 4) ?? [])];
}

function lineAt(page: PageThrough, place: keyof typeof places): number {
  const [x, y] = places[place];
  return page.line?.[y * linePx.width + x] ?? -1;
}

/** Line where it has to be, on the plate and in the composite, over colour. */
function expectLine(page: PageThrough, ...on: readonly (keyof typeof places)[]): void {
  for (const place of on) {
    expect([place, lineAt(page, place)]).toEqual([place, 255]);
    expect([place, inkAt(page, place)[3]]).toEqual([place, 255]);
  }
}

function expectSky(page: PageThrough): void {
  const [cyan, magenta, yellow, key] = inkAt(page, 'sky');
  expect(lineAt(page, 'sky')).toBe(0);
  expect(cyan).toBeGreaterThan(magenta);
  expect(magenta).toBeGreaterThan(yellow);
  expect(key).toBeLessThan(60);
}

const files = async (parts: Readonly<Record<string, Raster>>) => {
  const packed: Record<string, Buffer> = {};
  for (const [name, part] of Object.entries(parts)) {
    packed[name] = part.model === 'grey' ? await inksTiffOf(part) : plainTiff(part, 200);
  }
  return packed;
};

const codes = ({ report }: PageThrough) => report.findings.map(({ code }) => code);

describe('colour and line', () => {
  test('keep every stroke when the spotted black has a dark fill beneath it', async () => {
    const page = await pageThrough(await files({ 'p1 colour.tif': colour, 'p1 line.tif': line }));
    expectLine(page, 'frame', 'ring', 'spotted');
    expectSky(page);
    expect(codes(page)).not.toContain('line-held');
    expect(inkAt(page, 'frame')[0]).toBeGreaterThan(60);
  });

  test('give holds that are painted in to the colour, the rest stays black', async () => {
    const page = await pageThrough(await files({ 'p1 colour.tif': painted, 'p1 line.tif': line }));
    expectLine(page, 'frame', 'spotted');
    expect(lineAt(page, 'ring')).toBe(0);
    expect(inkAt(page, 'ring')[3]).toBeLessThan(160);
    expect(codes(page)).toContain('line-held');
  });

  test('take a line part in colour apart: black to its plate, the rest to the colour', async () => {
    const coloured = at('rgb', (x, y) => {
      if (!inLine(x, y)) return [...white, 0];
      return inRing(x, y) ? [200, 20, 20, 255] : [...black, 255];
    });
    const page = await pageThrough(await files({ 'p1 colour.tif': colour, 'p1 line.tif': coloured }));
    expectLine(page, 'frame', 'spotted');
    expect(lineAt(page, 'ring')).toBe(0);
    // Red as it was drawn: were it multiplied with the sky, cyan would come along.
    expect(inkAt(page, 'ring')[1]).toBeGreaterThan(200);
    expect(inkAt(page, 'ring')[0]).toBeLessThan(60);
  });
});

describe('colour, line and lettering', () => {
  const expectLettered = (page: PageThrough) => {
    expectLine(page, 'frame', 'spotted', 'letter');
    expect(inkAt(page, 'balloon')).toEqual([0, 0, 0, 0]);
    expect(lineAt(page, 'balloon')).toBe(0);
    expect(lineAt(page, 'hiddenFrame')).toBe(0);
    expect(inkAt(page, 'hiddenFrame')).toEqual([0, 0, 0, 0]);
  };

  test('lay balloons over line and colour, and letters onto the line plate', async () => {
    const parts = { 'p1 colour.tif': colour, 'p1 line.tif': line, 'p1 lettering.tif': balloons };
    const page = await pageThrough(await files(parts));
    expectLettered(page);
    expectLine(page, 'ring');
    expectSky(page);
  });

  test('give painted-in holds to the colour here too', async () => {
    const parts = { 'p1 colour.tif': painted, 'p1 line.tif': line, 'p1 lettering.tif': balloons };
    const page = await pageThrough(await files(parts));
    expectLettered(page);
    expect(lineAt(page, 'ring')).toBe(0);
    expect(inkAt(page, 'ring')[3]).toBeLessThan(160);
    expect(codes(page)).toContain('line-held');
  });

  test('fit together when each came in another size, and the line stays bit for bit', async () => {
    const parts = {
      'p1 line.tif': line,
      'p1 lettering.tif': at('rgb', (x, y) => (inLetter(x, y) ? [...black, 255] : [...white, 0]), 2),
    };
    const coarse = plainTiff(
      at('rgb', () => sky, 2),
      100,
    );
    const page = await pageThrough({ ...(await files(parts)), 'p1 colour.tif': coarse });
    for (let y = 130; y < linePx.height; y++) {
      for (let x = 0; x < linePx.width; x++) {
        const i = y * linePx.width + x;
        if (page.line?.[i] !== 255 - line.data[i]) expect.fail(`line differs at ${x}, ${y}`);
      }
    }
    expectLine(page, 'letter');
  });

  test.each(['rgb', 'cmyk'] as const)(
    'are not hidden by lettering on white paper, though it has an alpha channel: over %s',
    async (model) => {
      const onPaper = at('rgb', (x, y) => [...(inLetter(x, y) ? black : white), 255]);
      const beneath = model === 'rgb' ? colour : at('cmyk', () => skyInks);
      const parts = { 'p1 colour.tif': beneath, 'p1 line.tif': line, 'p1 lettering.tif': onPaper };
      const page = await pageThrough(await files(parts));
      expectLine(page, 'frame', 'ring', 'hiddenFrame', 'letter');
      expect(inkAt(page, 'sky')[0]).toBeGreaterThan(60);
    },
  );

  test('may be 16 bit beside 8 bit', async () => {
    const deep = { ...colour, data: Uint16Array.from(colour.data, (value) => value * 257) };
    const parts = { 'p1 line.tif': line, 'p1 lettering.tif': balloons };
    const shallow = await pageThrough(await files({ ...parts, 'p1 colour.tif': colour }));
    const page = await pageThrough(await files({ ...parts, 'p1 colour.tif': deep }));
    expectLettered(page);
    inkAt(page, 'sky').forEach((ink, i) => {
      expect(Math.abs(ink - inkAt(shallow, 'sky')[i])).toBeLessThanOrEqual(1);
    });
  });
});

describe('CMYK colour', () => {
  const inks = at('cmyk', () => skyInks);
  const inked = async (parts: Readonly<Record<string, Raster>>, settings = '') => {
    const { profile } = await openPress({ kind: 'shipped', name: 'cgats-tr006' });
    return pageThrough({ ...(await files(parts)), 'p1 colour.tif': plainTiff(inks, 200, profile) }, settings);
  };

  test('keeps its numbers under line and black and white lettering', async () => {
    const page = await inked({ 'p1 line.tif': line, 'p1 lettering.tif': balloons });
    expect(inkAt(page, 'sky')).toEqual(skyInks);
    expect(inkAt(page, 'frame')).toEqual([...skyInks.slice(0, 3), 255]);
    expect(inkAt(page, 'balloon')).toEqual([0, 0, 0, 0]);
    expect(lineAt(page, 'hiddenFrame')).toBe(0);
    expectLine(page, 'frame', 'ring', 'spotted', 'letter');
  });

  test('takes 1-bit lettering without balloons, with line and without', async () => {
    const both = await inked({ 'p1 line.tif': line, 'p1 lettering.tif': blackLetters });
    expectLine(both, 'frame', 'hiddenFrame', 'letter');
    expect(inkAt(both, 'balloon')).toEqual(skyInks);
    const alone = await inked({ 'p1 lettering.tif': blackLetters }, '    needs: [colour, lettering]');
    expectLine(alone, 'letter');
    expect(lineAt(alone, 'frame')).toBe(0);
    expect(inkAt(alone, 'sky')).toEqual(skyInks);
  });

  test('is refused with lettering in colour, and says what to do', async () => {
    const red = at('rgb', (x, y) => (inLetter(x, y) ? [220, 0, 0, 255] : [...white, 0]));
    const page = await inked({ 'p1 line.tif': line, 'p1 lettering.tif': red });
    expect(page.report.state).toBe('stopped');
    expect(page.report.findings.at(-1)).toMatchObject({ code: 'picture-unsupported' });
  });
});

describe('an OpenRaster page', () => {
  test('keeps ink black, gives what a glow colours to the colour, and lays balloons over all', async () => {
    const { width, height } = linePx;
    const layer = (sample: (x: number, y: number) => Sample) => ({
      ...linePx,
      colourType: 6 as const,
      bits: 8,
      data: at('rgb', sample).data,
    });
    const glow = (x: number, y: number): Sample => [
      255,
      200,
      120,
      Math.hypot(x - 121, y - 320) < 20 ? 255 : 0,
    ];
    const inked = (x: number, y: number): Sample => (inLine(x, y) ? [...black, 255] : [...white, 0]);
    const stack =
      `<?xml version="1.0" encoding="UTF-8"?><image w="${width}" h="${height}" version="0.0.5" xres="200" yres="200"><stack>` +
      '<layer name="lettering" src="data/1.png"/><layer name="glow" src="data/2.png" composite-op="svg:screen"/>' +
      '<layer name="inks" src="data/3.png" composite-op="svg:multiply"/><layer name="sky" src="data/4.png"/></stack></image>';
    const pictures = {
      'data/1.png': { ...layer(() => black), data: balloons.data },
      'data/2.png': layer(glow),
      'data/3.png': layer(inked),
      'data/4.png': layer(() => [...sky, 255]),
    };
    const page = await pageThrough({ 'p1_r2.ora': writeOpenRaster(stack, pictures) });
    expectLine(page, 'frame', 'spotted', 'letter');
    expectSky(page);
    expect(lineAt(page, 'ring')).toBe(0);
    expect(inkAt(page, 'ring')[3]).toBeLessThan(60);
    expect(lineAt(page, 'hiddenFrame')).toBe(0);
    expect(inkAt(page, 'balloon')).toEqual([0, 0, 0, 0]);
    expect(codes(page)).toContain('line-held');
  });
});

describe('a page without colour', () => {
  const needs = '    needs: [line]\n    accept: { bleed-empty: "black and white" }';

  test('is 1-bit line alone', async () => {
    const page = await pageThrough(await files({ 'p1 inks.tif': line }), needs);
    expectLine(page, 'frame', 'ring', 'spotted');
    expect(inkAt(page, 'sky')).toEqual([0, 0, 0, 0]);
  });

  test('has both its line and its lettering', async () => {
    const page = await pageThrough(await files({ 'p1 inks.tif': line, 'p1 lettering.tif': balloons }), needs);
    expectLine(page, 'frame', 'ring', 'spotted', 'letter');
    expect(lineAt(page, 'hiddenFrame')).toBe(0);
    expect(inkAt(page, 'sky')).toEqual([0, 0, 0, 0]);
  });

  test('may bring its line as OpenRaster', async () => {
    const { width, height } = linePx;
    const pixels = (sample: (x: number, y: number) => Sample) => ({
      ...linePx,
      colourType: 6 as const,
      bits: 8,
      data: at('rgb', sample).data,
    });
    const stack =
      `<?xml version="1.0" encoding="UTF-8"?><image w="${width}" h="${height}" version="0.0.5" xres="200" yres="200">` +
      '<stack><layer name="brush" src="data/1.png"/><layer name="paper" src="data/2.png"/></stack></image>';
    const ora = writeOpenRaster(stack, {
      'data/1.png': pixels((x, y) => (inLine(x, y) ? [...black, 255] : [...white, 0])),
      'data/2.png': pixels(() => [...white, 255]),
    });
    const page = await pageThrough({ 'p1 inks.ora': ora }, needs);
    expectLine(page, 'frame', 'ring', 'spotted');
    expect(inkAt(page, 'sky')).toEqual([0, 0, 0, 0]);
  });
});

describe('one flat picture', () => {
  const flat = at('rgb', (x, y) => (inLine(x, y) ? black : sky));

  test.each([
    ['8 bit', async () => plainTiff(flat, 200), 'p1.tif'],
    [
      '16 bit',
      async () => plainTiff({ ...flat, data: Uint16Array.from(flat.data, (v) => v * 257) }, 200),
      'p1.tif',
    ],
    ['JPEG', () => sharp(plainTiff(flat, 200)).withDensity(200).jpeg({ quality: 95 }).toBuffer(), 'p1.jpg'],
  ])('of %s has its black lifted', async (_name, bytes, name) => {
    const page = await pageThrough({ [name]: await bytes() });
    expectLine(page, 'frame', 'ring', 'spotted');
    expectSky(page);
    expect(codes(page)).toContain('black-lifted');
    expect(inkAt(page, 'frame')[0]).toBeGreaterThan(60);
  });

  test('in grey has its black lifted too', async () => {
    const grey = at('grey', (x, y) => [inLine(x, y) ? 0 : 150]);
    const page = await pageThrough({ 'p1.tif': plainTiff(grey, 200) });
    expectLine(page, 'frame', 'ring', 'spotted');
    expect(lineAt(page, 'sky')).toBe(0);
  });

  test('stays in one piece where the job says so', async () => {
    const page = await pageThrough(
      { 'p1.tif': plainTiff(flat, 200) },
      '    print: { line: { lift: false } }',
    );
    expect(page.line).toBeUndefined();
    expectSkyInks(page);
  });

  test('with transparency is laid on paper and reported', async () => {
    const holed = at('rgb', (x, y) =>
      inBalloon(x, y) ? [0, 0, 0, 0] : [...(inLine(x, y) ? black : sky), 255],
    );
    const page = await pageThrough({ 'p1.tif': plainTiff(holed, 200) });
    expect(codes(page)).toContain('alpha-left');
    expect(inkAt(page, 'balloon')).toEqual([0, 0, 0, 0]);
    expectLine(page, 'frame');
  });

  test('in CMYK keeps its numbers, and its black is copied to the line plate', async () => {
    const { profile } = await openPress({ kind: 'shipped', name: 'cgats-tr006' });
    const inks = at('cmyk', (x, y) => (inLine(x, y) ? [40, 20, 20, 255] : skyInks));
    const page = await pageThrough({ 'p1.tif': plainTiff(inks, 200, profile) });
    expect(inkAt(page, 'sky')).toEqual(skyInks);
    expect(inkAt(page, 'spotted')).toEqual([40, 20, 20, 255]);
    expectLine(page, 'spotted');
    // The composite holds the page's own black, brought to the size of the colour; the plate holds the crisp copy.
    expect(lineAt(page, 'frame')).toBe(255);
  });

  function expectSkyInks(page: PageThrough): void {
    expect(inkAt(page, 'sky')[0]).toBeGreaterThan(60);
    expect(inkAt(page, 'spotted')[3]).toBeGreaterThan(150);
  }
});
