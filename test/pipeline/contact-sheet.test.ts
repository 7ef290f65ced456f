import Color from 'colorjs.io';
import { describe, expect, it } from 'vitest';
import { drawContactSheet } from '../../pipeline/contact-sheet.js';
import { PageArena } from '../../pipeline/kernels/page-arena.js';
import type { Raster } from '../../pipeline/model/raster.js';
import { thumbnailOf } from '../../pipeline/outputs/thumbnail.js';
import type { PageMark } from '../../pipeline/sheets/marks.js';
import type { ContactSheet, SheetPage } from '../../pipeline/sheets/sheet-cells.js';
import { dueInWords } from '../../pipeline/sheets/sheet-header.js';
import { sceneColour } from '../../pipeline/sheets/sheet-scenes.js';
import { hashDrawnWithoutFonts, hashOfRaster } from '../helpers/without-fonts.js';

const arena = new PageArena();

const aspect = 2 / 3;

/** A small picture of one colour. */
function flat(red: number, green: number, blue: number, width = 120, height = 180): Raster {
  const data = new Uint8Array(width * height * 3);
  for (let i = 0; i < data.length; i += 3) data.set([red, green, blue], i);
  return { width, height, model: 'rgb', alpha: false, data };
}

function pageOf(number: number, more: Partial<SheetPage> = {}): SheetPage {
  return {
    id: String(number),
    label: String(number),
    scene: undefined,
    sceneTitle: undefined,
    kind: 'interior',
    numbers: [number],
    isSpread: false,
    aspect,
    thumbnail: flat(10 * number, 200 - 5 * number, 120),
    state: 'done',
    note: undefined,
    ...more,
  };
}

function sheetOf(pages: readonly SheetPage[], more: Partial<ContactSheet> = {}): ContactSheet {
  return {
    issue: 'SHN04',
    title: 'Salt Harbour Nights',
    number: 4,
    condition: 'cgats-tr006, ink limit 300 %',
    due: '2031-03-14T17:00:00+01:00',
    pages,
    scenes: [
      { id: 'quay', title: 'The quay at noon' },
      { id: 'alley', title: 'Night in Lamplighter Alley' },
    ],
    summary: 'all done',
    ...more,
  };
}

function twelvePages(more: (number: number) => Partial<SheetPage> = () => ({})): SheetPage[] {
  return Array.from({ length: 12 }, (_, index) => pageOf(index + 1, more(index + 1)));
}

function colourAt(raster: Raster, x: number, y: number): number[] {
  const first = (y * raster.width + x) * 3;
  return [...raster.data.subarray(first, first + 3)];
}

/** Left and right edge of the pixels that have exactly a colour, in the row where there are most of them. */
function extentOf(raster: Raster, colour: readonly number[]): { left: number; right: number; width: number } {
  const [red, green, blue] = colour;
  let best = { left: 0, right: -1, width: 0 };
  for (let y = 0; y < raster.height; y += 3) {
    let left = -1;
    let right = -1;
    for (let x = 0; x < raster.width; x++) {
      const at = (y * raster.width + x) * 3;
      if (raster.data[at] !== red || raster.data[at + 1] !== green || raster.data[at + 2] !== blue) continue;
      if (left < 0) left = x;
      right = x;
    }
    if (right - left + 1 > best.width && left >= 0) best = { left, right, width: right - left + 1 };
  }
  return best;
}

describe('a contact sheet', () => {
  it('shows facing pages side by side, and page 1 on the right', async () => {
    const sheet = await drawContactSheet(sheetOf(twelvePages()), {}, arena);
    const [one, two, three] = [1, 2, 3].map((number) =>
      extentOf(sheet, [10 * number, 200 - 5 * number, 120]),
    );
    // One pixel of each page's edge is its hairline.
    expect(one?.width).toBe(238);
    expect((three?.left ?? 0) - (two?.right ?? 0)).toBeLessThanOrEqual(3);
    expect(one?.left).toBe(64 + 240 + 1);
  });

  it('shows a spread across two pages', async () => {
    const wide = pageOf(2, {
      id: '2-3',
      numbers: [2, 3],
      isSpread: true,
      aspect: 2 * aspect,
      thumbnail: flat(9, 99, 199, 240, 180),
    });
    const sheet = await drawContactSheet(sheetOf([pageOf(1), wide, pageOf(4)]), {}, arena);
    expect(extentOf(sheet, [9, 99, 199]).width).toBe(478);
  });

  it('never stretches a picture whose aspect is not the trim\u2019s', async () => {
    const tall = pageOf(1, { thumbnail: flat(9, 99, 199, 60, 180) });
    const sheet = await drawContactSheet(sheetOf([tall]), {}, arena);
    expect(extentOf(sheet, [9, 99, 199]).width).toBe(118);
  });

  it.each<PageMark>(['missing', 'held', 'contested'])(
    'shows a page that is %s as a blank, whatever picture there is',
    async (state) => {
      const picture = flat(9, 99, 199);
      const shown = await drawContactSheet(sheetOf([pageOf(1, { thumbnail: picture })]), {}, arena);
      const blank = await drawContactSheet(sheetOf([pageOf(1, { thumbnail: picture, state })]), {}, arena);
      expect(extentOf(shown, [9, 99, 199]).width).toBeGreaterThan(200);
      expect(extentOf(blank, [9, 99, 199]).width).toBe(0);
    },
  );

  it('tells states apart without colour: every two differ in grey', async () => {
    const states: PageMark[] = ['done', 'attention', 'stopped', 'missing', 'contested', 'held'];
    const greys = await Promise.all(
      states.map(async (state) => {
        const sheet = await drawContactSheet(
          sheetOf([pageOf(1, { state, thumbnail: undefined, note: 'same words' })]),
          {},
          arena,
        );
        // Dark or light only, below the header, which counts the states.
        return Uint8Array.from(sheet.data.subarray(sheet.width * 3 * 250), (sample) =>
          sample < 200 ? 0 : 1,
        );
      }),
    );
    for (const [index, one] of greys.entries()) {
      for (const other of greys.slice(index + 1)) {
        let different = 0;
        for (let at = 0; at < one.length; at++) if (one[at] !== other[at]) different++;
        expect(different).toBeGreaterThan(300);
      }
    }
  });

  it('tells the reason on a blank and below a picture, and each thing of its header', async () => {
    const base = sheetOf([pageOf(1), pageOf(2, { state: 'missing', note: 'nothing arrived' })]);
    const changes: Partial<ContactSheet>[] = [
      { pages: [pageOf(1), pageOf(2, { state: 'missing', note: 'no colour' })] },
      { pages: [pageOf(1, { note: 'accepted' }), pageOf(2, { state: 'missing', note: 'nothing arrived' })] },
      { pages: [pageOf(1, { scene: 'quay' }), pageOf(2, { state: 'missing', note: 'nothing arrived' })] },
      { title: 'Other' },
      { issue: 'SHN05' },
      { number: 5 },
      { condition: 'cgats-tr002' },
      { due: undefined },
      { summary: '' },
    ];
    const hashes = await Promise.all(
      [{}, ...changes].map(async (change) =>
        hashOfRaster(await drawContactSheet({ ...base, ...change }, {}, arena)),
      ),
    );
    expect(new Set(hashes).size).toBe(changes.length + 1);
  });

  it('takes words of any kind', async () => {
    const words = ['', 'A & B <c> "d" \'e\'', '\ud800\u{1f600}\u6f22', 'W'.repeat(300), ']]></svg>'];
    for (const word of words) {
      const page = pageOf(1, { label: word, note: word, scene: word, sceneTitle: word, state: 'held' });
      const sheet = sheetOf([page, pageOf(2, { note: word })], {
        title: word,
        issue: word,
        condition: word,
        summary: word,
        due: word,
      });
      expect((await drawContactSheet(sheet, {}, arena)).width).toBeGreaterThan(0);
    }
  });

  it('draws an issue without pages, and one with covers alone', async () => {
    expect((await drawContactSheet(sheetOf([]), {}, arena)).height).toBeGreaterThan(200);
    const cover = pageOf(1, { id: 'cover', label: 'Front cover', kind: 'cover', numbers: [] });
    expect(extentOf(await drawContactSheet(sheetOf([cover]), {}, arena), [10, 195, 120]).width).toBe(238);
  });

  it('draws 24 ready pages well within a second', async () => {
    const pages = Array.from({ length: 24 }, (_, index) =>
      pageOf(index + 1, { thumbnail: flat(index, 99, 9, 300, 450) }),
    );
    await drawContactSheet(sheetOf([pageOf(1)]), {}, arena);
    const start = performance.now();
    await drawContactSheet(sheetOf(pages), {}, arena);
    // 0.3 s on two idle cores; the room is for a busy machine.
    expect(performance.now() - start).toBeLessThan(3000);
  });

  it('is the same, byte for byte, on a machine without fonts', async () => {
    const pages = twelvePages((number) => ({
      scene: number < 6 ? 'quay' : 'alley',
      thumbnail: undefined,
      state: number % 5 === 0 ? 'missing' : 'stopped',
      note: 'cut short',
    }));
    const sheet = sheetOf(pages);
    const here = hashOfRaster(await drawContactSheet(sheet, {}, arena));
    expect(hashOfRaster(await drawContactSheet(sheet, {}, arena))).toBe(here);
    const there = hashDrawnWithoutFonts(
      'dist/pipeline/contact-sheet.js',
      `drawn.drawContactSheet(${JSON.stringify(sheet)}, {}, arena)`,
    );
    expect(there).toBe(here);
  });
});

describe('the hues of scenes', () => {
  it('are the OKLCH colours that another library makes of them', () => {
    const goldenAngle = 180 * (3 - Math.sqrt(5));
    for (let index = 0; index < 24; index++) {
      // Reference: colorjs.io, by the authors of CSS Color Module Level 4.
      const hex = new Color('oklch', [0.66, 0.085, (245 + index * goldenAngle) % 360])
        .to('srgb')
        .toString({ format: 'hex', collapse: false });
      expect(sceneColour(index, 0.66, 0.085)).toBe(hex);
    }
  });

  it('differ between neighbours', () => {
    for (let index = 1; index < 12; index++) {
      const [one, other] = [index - 1, index].map((each) => new Color(sceneColour(each, 0.66, 0.085)));
      // 5 CIEDE2000 is seen at a glance: common practice, no published source.
      expect(one !== undefined && other !== undefined ? one.deltaE(other, '2000') : 0).toBeGreaterThan(15);
    }
  });
});

describe('the due date in words', () => {
  it.each([
    ['2031-03-14T17:00:00+01:00', 'due 14 March 2031, 17:00 UTC+01:00'],
    ['2031-12-01T08:30Z', 'due 1 December 2031, 08:30 UTC'],
    ['2031-12-01', 'due 1 December 2031'],
    ['2031-13-01', 'due 2031-13-01'],
    ['when it is done', 'due when it is done'],
  ])('%s', (due, words) => {
    expect(dueInWords(due)).toBe(words);
  });
});

describe('a thumbnail', () => {
  it('is the crop of the page at the width asked for', async () => {
    const page = flat(200, 10, 10, 100, 160);
    for (let y = 20; y < 140; y++)
      for (let x = 10; x < 90; x++) page.data.set([10, 200, 10], (y * 100 + x) * 3);
    const small = await thumbnailOf(page, 40, { left: 10, top: 20, width: 80, height: 120 });
    expect([small.width, small.height]).toEqual([40, 60]);
    for (const [x, y] of [
      [0, 0],
      [39, 59],
      [20, 30],
    ] as const)
      expect(colourAt(small, x, y)).toEqual([10, 200, 10]);
  });

  it('shows the whole page where no crop is given', async () => {
    const small = await thumbnailOf(flat(7, 8, 9, 100, 150), 50);
    expect([small.width, small.height]).toEqual([50, 75]);
    expect(colourAt(small, 25, 40)).toEqual([7, 8, 9]);
  });
});
