import { describe, expect, test } from 'vitest';
import { loadProfile } from '../../../config/press/colour-engine.js';
import { openPress } from '../../../config/press.js';
import { openInkLooks } from '../../../pipeline/inks/ink-looks.js';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import type { Bitmap } from '../../../pipeline/model/raster.js';
import { separationOf } from '../../../pipeline/model/separation.js';
import { comparePictures, type PictureState } from '../../../pipeline/rounds/compare-pictures.js';
import { openLineFile } from '../../../pipeline/rounds/line-file.js';
import { openPressFile } from '../../../pipeline/rounds/press-file.js';
import { encodeComposite, encodeLinePlate, encodePlate } from '../../../pipeline/write.js';
import { bitsOf } from '../../helpers/rasters.js';

/** A page of 40 x 30 mm with 3 mm bleed: composite at 150 ppi, line at 300. */
const ppi = 150;
const size = { width: 236, height: 177 };
const lineSize = { width: 472, height: 354 };
const spec = { trim: { widthMm: 34, heightMm: 24 } };
/** Where the trim begins, in pixels and in millimetres of the page. */
const trimPx = Math.floor((size.width - Math.round((34 / 25.4) * ppi)) / 2);

const press = await openPress({ kind: 'shipped', name: 'cgats-tr006' });
const looks = openInkLooks(loadProfile(press.profile));
const arena = new PageArena();

type Inks = readonly [number, number, number, number];
type Paint = (x: number, y: number) => Inks;

/** Sky over ground, and a black figure: what has tones, flats and solid black. */
const page: Paint = (x, y) => {
  if (x > 150 && x < 190 && y > 60 && y < 120) return [60, 50, 50, 255];
  return y < 80 ? [120, 30, 0, 0] : [20, 60, (x >> 2) & 63, 20];
};
const stroke = (x: number, y: number) => (x > 40 && x < 44) || (y > 300 && y < 306);

async function compositeOf(paint: Paint, { width, height } = size) {
  const planes = { cyan: 0, magenta: 1, yellow: 2, black: 3 } as const;
  const separation = separationOf({ width, height }, (name) =>
    Uint8Array.from(
      { length: width * height },
      (_, i) => paint(i % width, Math.floor(i / width))[planes[name]],
    ),
  );
  const pieces = await encodeComposite(separation, { ppi, profile: press.profile }, arena);
  return openPressFile(Buffer.concat(pieces), 'composite');
}

function bitmapOf(isInk: (x: number, y: number) => boolean, { width, height } = lineSize): Bitmap {
  const data = Uint8Array.from({ length: width * height }, (_, i) =>
    isInk(i % width, Math.floor(i / width)) ? 255 : 0,
  );
  return bitsOf({ width, height, data });
}

async function lineOf(isInk: (x: number, y: number) => boolean, of = lineSize) {
  return openLineFile(Buffer.concat(await encodeLinePlate(bitmapOf(isInk, of), { ppi: 2 * ppi })), 'line');
}

async function stateOf(paint: Paint = page, isInk = stroke): Promise<PictureState> {
  return { composite: await compositeOf(paint), line: await lineOf(isInk), extras: new Map() };
}

const compare = (before: PictureState, now: PictureState) =>
  comparePictures(before, now, { spec, ppi, looks });
const without = await stateOf();

describe('two states of a page', () => {
  test('with the same pixels are unchanged, though each was written by itself', async () => {
    const { verdict, colour, line, places } = await compare(without, await stateOf());
    expect({ verdict, colour, line, places }).toEqual({
      ...{ verdict: 'unchanged', colour: undefined, line: undefined, places: [] },
    });
  });

  test('differ by one pixel of colour, which is found in its place', async () => {
    const edited = await stateOf((x, y) => (x === 100 && y === 40 ? [0, 255, 255, 0] : page(x, y)));
    const { verdict, colour, line, places, placesInAll } = await compare(without, edited);
    expect(verdict).toBe('changed');
    expect(line).toBeUndefined();
    expect(colour?.changedPercent).toBeCloseTo(100 / (size.width * size.height), 9);
    expect(colour?.mostDe).toBeGreaterThan(30);
    expect(colour?.p95De).toBeCloseTo(colour?.mostDe ?? 0, 1);
    expect(placesInAll).toBe(1);
    const mm = (px: number) => (px * 25.4) / ppi;
    expect(places[0].xMm).toBeCloseTo(mm(100 - trimPx), 1);
    expect(places[0].widthMm).toBeCloseTo(mm(1), 2);
    expect(places[0].of).toBe('colour');
    expect(places[0].measured).toMatch(/^colour: 1 pixel, dE00 mean \d+\.\d, most \d+\.\d$/);
  });

  test('differ by one step of one ink in one pixel, which nobody sees and which is still told', async () => {
    const edited = await stateOf((x, y) => (x === 7 && y === 9 ? [121, 30, 0, 0] : page(x, y)));
    const { verdict, colour, places } = await compare(without, edited);
    expect(verdict).toBe('changed');
    expect(colour?.visiblePercent).toBe(0);
    expect(colour?.mostDe).toBeGreaterThan(0);
    expect(colour?.mostDe).toBeLessThan(1);
    expect(places).toHaveLength(1);
  });

  test('differ in one pixel of line, and not in colour, though the composite follows the line', async () => {
    const speck = (x: number, y: number) => stroke(x, y) || (x === 201 && y === 101);
    const edited = await stateOf((x, y) => (x === 100 && y === 50 ? [120, 30, 0, 64] : page(x, y)), speck);
    const { colour, line, places } = await compare(without, edited);
    expect(colour).toBeUndefined();
    expect(line?.gainedPercent).toBeCloseTo(100 / (lineSize.width * lineSize.height), 9);
    expect(line?.lostPercent).toBe(0);
    expect(places.map(({ of }) => of)).toEqual(['plate']);
    expect(places[0].widthMm).toBeCloseTo(25.4 / (2 * ppi), 2);
    expect(places[0].measured).toMatch(/^line: [\d.]+ mm2 more$/);
  });

  test('differ in line and in colour at two places, told apart and the graver first', async () => {
    const edited = await stateOf(
      (x, y) => (x > 20 && x < 60 && y > 20 && y < 50 ? [0, 200, 200, 0] : page(x, y)),
      (x, y) => stroke(x, y) && !(x < 44 && y > 280 && y < 290),
    );
    const { colour, line, places } = await compare(without, edited);
    expect(places.map(({ of }) => of)).toEqual(['colour', 'plate']);
    expect(colour?.changedPercent).toBeCloseTo((39 * 29 * 100) / (size.width * size.height), 6);
    expect(line?.gainedPercent).toBe(0);
    expect(line?.lostPercent).toBeCloseTo((3 * 9 * 100) / (lineSize.width * lineSize.height), 6);
    expect(places[1].measured).toMatch(/^line: [\d.]+ mm2 less$/);
  });

  test('differ in every pixel', async () => {
    const { colour, places } = await compare(without, await stateOf(() => [0, 0, 0, 40]));
    expect(colour?.changedPercent).toBeGreaterThan(90);
    expect(places[0].widthMm).toBeGreaterThan(38);
    expect(colour?.meanDe).toBeGreaterThan(5);
  });

  test('show what is seen, not the noise of another export around it', async () => {
    const noise: Paint = (x, y) => {
      const [c, m, yellow, k] = page(x, y);
      return [Math.min(255, c + ((x * 7 + y * 3) % 2)), m, yellow, k];
    };
    const edited: Paint = (x, y) => (x > 99 && x < 110 && y > 99 && y < 110 ? [0, 0, 0, 0] : noise(x, y));
    const { colour, places } = await compare(without, await stateOf(edited));
    expect(colour?.changedPercent).toBeGreaterThan(40);
    expect(places).toHaveLength(1);
    expect(places[0].widthMm).toBeLessThan(5);
  });

  test('a frame around the page is told as the edges that it lies on, not as the whole page', async () => {
    const framed: Paint = (x, y) => (x < 4 || y < 4 || x >= 232 || y >= 173 ? [0, 255, 0, 0] : page(x, y));
    const { places, placesInAll } = await compare(without, await stateOf(framed));
    expect(placesInAll).toBeGreaterThan(2);
    const areaOf = ({ widthMm, heightMm }: { widthMm: number; heightMm: number }) => widthMm * heightMm;
    expect(places.reduce((sum, place) => sum + areaOf(place), 0)).toBeLessThan(0.6 * 40 * 30);
  });

  test('of another size are told as that', async () => {
    const smaller = await compositeOf(page, { width: 230, height: 177 });
    const { verdict, sizes } = await compare(without, { ...without, composite: smaller });
    expect(verdict).toBe('size');
    expect(sizes).toEqual([size, { width: 230, height: 177 }]);
    const coarse = await lineOf(stroke, { width: 236, height: 177 });
    expect((await compare(without, { ...without, line: coarse })).verdict).toBe('size');
  });

  test('differ in an ink beside the process inks alone', async () => {
    const plate = async (isInk: (x: number) => boolean) => {
      const { width, height } = size;
      const data = Uint8Array.from({ length: width * height }, (_, i) => (isInk(i % width) ? 200 : 0));
      return openPressFile(
        Buffer.concat(await encodePlate({ width, height, data }, { ppi }, arena)),
        'varnish',
      );
    };
    const before = { ...without, extras: new Map([['varnish', await plate((x) => x < 10)]]) };
    const now = { ...without, extras: new Map([['varnish', await plate((x) => x < 10 && x !== 4)]]) };
    const { inks, places, line } = await compare(before, now);
    expect(inks.map(({ ink, gainedPercent }) => [ink, gainedPercent])).toEqual([['varnish', 0]]);
    expect(line).toBeUndefined();
    expect(places[0].measured).toMatch(/^extra ink: .* less$/);
    const gone = await compare(before, without);
    expect(gone.inks[0].lostPercent).toBeCloseTo((10 * 100) / size.width, 1);
  });

  test('a line that came where none was is a change of line', async () => {
    const { line } = await compare({ ...without, line: undefined }, without);
    expect(line?.lostPercent).toBe(0);
    expect(line?.gainedPercent).toBeGreaterThan(1);
  });

  test('a press file that another program has saved is refused in words', async () => {
    const [line] = await encodeLinePlate(bitmapOf(stroke), { ppi });
    await expect(openPressFile(Buffer.from(line), 'p01.tif')).rejects.toThrow(/another program has saved it/);
  });
});
