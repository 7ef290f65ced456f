import { describe, expect, test } from 'vitest';
import type { Raster } from '../../../pipeline/model/raster.js';
import { type PageThrough, pageThrough, plainTiff } from '../../helpers/page-through.js';
import { drawn, firstDifference, pixelAt } from '../../helpers/rasters.js';
import { inksTiffOf, pngOf, tiffOf } from '../../helpers/small-issue.js';

/**
 * Whole pages whose files are a little off their size. The page of `pageThrough` is 225 x 325 px of colour at 100 ppi and
 * 450 x 650 px of line at 200 ppi.
 */

/** Inks that show any shift and any resampling: strokes of one and two pixels, slanted and upright. */
function inks(width: number, height: number, left = 0, top = 0): Raster {
  return drawn(width, height, 'grey', (column, row) => {
    const [x, y] = [column - left, row - top];
    return [x % 17 === 3 || (y + (x >> 2)) % 23 < 2 || (x > 90 && x < 160 && y > 200 && y < 260) ? 0 : 255];
  });
}

/** Soft colour without an edge, drawn in the units of a page of 200 ppi. */
function colours(width: number, height: number, ppi: number, left = 0, top = 0): Raster {
  return drawn(width, height, 'rgb', (column, row) => {
    const [x, y] = [((column - left) * 200) / ppi, ((row - top) * 200) / ppi];
    return [150 + 60 * Math.sin(x / 40), 170 + 50 * Math.cos(y / 50), 200].map(Math.round);
  });
}

/** What a line plate of the page shows where its inks are as `inks` draws them, edge and all. */
function inkOf({ data }: Raster): Uint8Array {
  return Uint8Array.from(data, (value) => 255 - value);
}

const wholePage = async (colour: Raster, line: Raster, colourPpi: number, settings = '') =>
  pageThrough(
    { 'p1 colour.tif': await tiffOf(colour, colourPpi), 'p1 inks.tif': await inksTiffOf(line) },
    settings,
  );

describe('line of 1 bit beside its colour', () => {
  test.each([
    [451, 651],
    [450, 649],
    [449, 651],
  ])('that is a pixel off, %i x %i px, comes through bit for bit', async (width, height) => {
    const { line, composite, report } = await wholePage(
      colours(width, height, 200),
      inks(width, height),
      200,
    );
    expect([composite?.width, composite?.height, line?.length]).toEqual([225, 325, 450 * 650]);
    const given = inks(width, height);
    const wanted = drawn(450, 650, 'grey', (x, y) =>
      pixelAt(given, Math.min(x, width - 1), Math.min(y, height - 1)),
    );
    expect(
      firstDifference({ width: 450, data: line ?? [] }, { width: 450, data: inkOf(wanted) }),
    ).toBeUndefined();
    expect(report.findings.map(({ code }) => code)).not.toContain('margin-cropped');
  });

  test('is cropped where it is a little larger at the resolution that it states, and never shrunk', async () => {
    for (const [across, down] of [
      [12, 12],
      [6, 20],
    ]) {
      const scan = inks(450 + across, 650 + down, across / 2, down / 2);
      const { line, report } = await wholePage(colours(225, 325, 100), scan, 100);
      expect(
        firstDifference({ width: 450, data: line ?? [] }, { width: 450, data: inkOf(inks(450, 650)) }),
      ).toBeUndefined();
      expect(report.findings).toContainEqual(
        expect.objectContaining({ code: 'margin-cropped', severity: 'note' }),
      );
    }
  });

  test('of the same canvas is cut where its colour is', async () => {
    // Three pixels more of the colour and six of the line: the middle of the line would be at 3, that of the colour at 1.5.
    const colour = colours(228, 325, 100, 1, 0);
    const { line } = await wholePage(colour, inks(456, 650, 2, 0), 100);
    expect(
      firstDifference({ width: 450, data: line ?? [] }, { width: 450, data: inkOf(inks(450, 650)) }),
    ).toBeUndefined();
  });
});

test('line and colour have sizes that cover the same millimetres where a trim ends in half a pixel', async () => {
  // 2.205 + 0.25 in are 245.5 px at 100 ppi: 246, and 492 of the line, of which the file has 491.
  const settings = '    print: { trim: [2.205, 3] }';
  const { line, composite, plates } = await wholePage(colours(491, 650, 200), inks(491, 650), 200, settings);
  expect([composite?.width, composite?.height]).toEqual([246, 325]);
  expect(line?.length).toBe(492 * 650);
  expect(plates.map(({ length }) => length)).toEqual(new Array(4).fill(246 * 325));
});

test('colour of one size comes out the same whether it has its exact size or a pixel more, in 8 bit and 16, RGB and CMYK', async () => {
  const asCmyk = (rgb: Raster): Raster =>
    drawn(rgb.width, rgb.height, 'cmyk', (x, y) => [...pixelAt(rgb, x, y).map((value) => 255 - value), 0]);
  const asDeep = (raster: Raster): Raster => ({
    ...raster,
    data: Uint16Array.from(raster.data, (value) => value * 257),
  });
  const forms: readonly ((rgb: Raster) => Raster)[] = [(rgb) => rgb, asDeep, asCmyk];
  for (const form of forms) {
    const made = async (width: number, height: number) =>
      pageThrough({
        'p1 colour.tif': plainTiff(form(colours(width, height, 100)), 100),
        'p1 inks.tif': await inksTiffOf(inks(450, 650)),
      });
    expectSame(await made(226, 326), await made(225, 325));
  }
});

test('lettering, line and colour of canvases a pixel apart make the page that they make at their exact sizes', async () => {
  const letters = (width: number, height: number) =>
    drawn(width, height, 'rgb', (x, y) => {
      const inBalloon = Math.hypot(x - 300, y - 130) < 70;
      const isLetter = inBalloon && x % 11 < 2 && Math.abs(y - 130) < 20;
      return isLetter ? [0, 0, 0, 255] : inBalloon ? [255, 255, 255, 255] : [0, 0, 0, 0];
    });
  const made = async (more: number, lettersMore: number) =>
    pageThrough({
      'p1 colour.tif': await tiffOf(colours(225 + more, 325 + more, 100), 100),
      'p1 inks.tif': await inksTiffOf(inks(450 + more, 650 + more)),
      'p1 lettering.png': await letteringPng(letters(450 + lettersMore, 650 + lettersMore)),
    });
  const exact = await made(0, 0);
  expect(exact.report.state).not.toBe('stopped');
  // Lettering a pixel larger than the page, and of the very canvas of the colour.
  for (const lettersMore of [1, 2]) expectSame(await made(1, lettersMore), exact);
});

/** Number for number, and quicker than `toEqual`, which tells where pixels differ one by one. */
function expectSame(page: PageThrough, wanted: PageThrough): void {
  expect(wanted.composite).toBeDefined();
  expect(page.composite?.width).toBe(wanted.composite?.width);
  expect(Buffer.compare(page.line ?? Buffer.alloc(0), wanted.line ?? Buffer.alloc(1))).toBe(0);
  const [own, other] = [page, wanted].map(({ composite }) => composite?.data as Uint8Array);
  expect(Buffer.compare(own, other)).toBe(0);
}

async function letteringPng(raster: Raster): Promise<Uint8Array> {
  const { default: sharp } = await import('sharp');
  const { width, height } = raster;
  return sharp(raster.data, { raw: { width, height, channels: 4 } })
    .withDensity(200)
    .png()
    .toBuffer();
}

test('a spread is cut like a page', async () => {
  const settings = '    print: { trim: [3, 2] }';
  const scan = inks(650 + 12, 450 + 8, 6, 4);
  const { line, composite } = await wholePage(colours(326, 225, 100), scan, 100, settings);
  expect([composite?.width, composite?.height]).toEqual([325, 225]);
  expect(
    firstDifference({ width: 650, data: line ?? [] }, { width: 650, data: inkOf(inks(650, 450)) }),
  ).toBeUndefined();
});

test('a flat page that is a pixel too large keeps its own pixels', async () => {
  const page = (width: number, height: number) => {
    const black = inks(width, height);
    const colour = colours(width, height, 200);
    return drawn(width, height, 'rgb', (x, y) =>
      pixelAt(black, x, y)[0] === 0 ? [0, 0, 0] : pixelAt(colour, x, y),
    );
  };
  const [exact, larger] = [
    await pageThrough({ 'p1.png': await pngOf(page(450, 650)) }),
    await pageThrough({ 'p1.png': await pngOf(page(451, 651)) }),
  ];
  expect(exact.line?.length).toBe(450 * 650);
  // Colour is carried in beneath black from further away than the edge that is cut.
  const inner = (pixels: ArrayLike<number> | undefined) =>
    drawn(440, 640, 'grey', (x, y) => [pixels?.[y * 450 + x] ?? 0]);
  expect(firstDifference(inner(larger.line), inner(exact.line))).toBeUndefined();
});
