import { beforeAll, describe, expect, test } from 'vitest';
import type { Swatch, SwatchColour } from '../../../config/job.js';
import { ciede2000, type Lab } from '../../../config/press/ciede2000.js';
import { openPress } from '../../../config/press.js';
import { openSeparator, type Separator } from '../../../pipeline/inks/separator.js';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { labOfRgb } from '../../../pipeline/palette/cie-lab.js';
import { hexOfRgb, type Rgb } from '../../../pipeline/palette/oklab.js';
import { nearestRgb, onScreen } from '../../../pipeline/palette/swatch-colours.js';
import { layOutSwatches, swatchMeasures } from '../../../pipeline/palette/swatch-layout.js';
import { type PrintedSwatch, printSwatches } from '../../../pipeline/palette/swatch-print.js';
import { drawSwatchSheet, inkWords } from '../../../pipeline/palette/swatch-sheet.js';

const swatch = (name: string, colour: SwatchColour, character?: string): Swatch => ({
  ...{ name, character, colour },
  toleranceDe: 5,
});
const srgb = (...levels: [number, number, number]): SwatchColour => ({ kind: 'srgb', srgb: levels });
const lab = (...values: [number, number, number]): SwatchColour => ({ kind: 'lab', lab: values });

describe('a swatch on the screen', () => {
  test('that was measured is the colour of the screen that comes nearest, and comes back', () => {
    for (const rgb of [
      [200, 144, 112],
      [0, 0, 0],
      [255, 255, 255],
      [3, 250, 120],
      [12, 14, 34],
    ] as Rgb[])
      expect(nearestRgb(labOfRgb(rgb))).toEqual(rgb);
  });

  test('that no screen shows says how far the screen misses it', () => {
    const { rgb, missedDe, lab: wanted } = onScreen(lab(50, -100, 0));
    expect(wanted).toEqual([50, -100, 0]);
    expect(missedDe).toBeGreaterThan(10);
    expect(missedDe).toBe(ciede2000(wanted, labOfRgb(rgb)));
    expect(onScreen(lab(65, 19, 26)).missedDe).toBeLessThan(0.5);
  });
});

describe('swatches in print', () => {
  const arena = new PageArena();
  let separator: Separator;
  let printed: readonly PrintedSwatch[];
  beforeAll(async () => {
    const press = await openPress({ kind: 'shipped', name: 'fogra39l' });
    const options = { intent: 'relative', blackPointCompensation: true, inkLimitPercent: 280 } as const;
    separator = openSeparator(press, options);
    const all = [
      srgb(200, 144, 112),
      srgb(106, 64, 48),
      srgb(0, 255, 96),
      srgb(0, 0, 0),
      srgb(255, 255, 255),
    ];
    printed = printSwatches(
      all.map((colour, i) => swatch(String(i), colour)),
      separator,
      false,
      arena,
    );
  });

  test('take the inks that a page takes, within the ink limit', () => {
    const pixel = { width: 1, height: 1, model: 'rgb', alpha: false } as const;
    for (const { screen, print } of printed) {
      const page = { ...pixel, data: Uint8Array.from(screen.rgb) };
      const { separation } = separator.separate(page, undefined, arena);
      expect(print.inksPercent.map((percent) => Math.round(percent * 2.55))).toEqual(
        separation.inks.map(({ plane }) => plane[0]),
      );
      expect(print.inksPercent.reduce((sum, percent) => sum + percent, 0)).toBeLessThanOrEqual(280.5);
    }
  });

  test('say how far they shift: paper is white, black is only as deep as the press has it', () => {
    const [skin, , green, black, white] = printed;
    expect(skin.print.shiftDe).toBeLessThan(2);
    expect(skin.missedDe).toBeLessThan(1);
    expect([green.print.shiftDe > 10, green.missedDe > 10]).toEqual([true, true]);
    expect(black.print.lab[0]).toBeGreaterThan(5);
    expect(white.print.inksPercent).toEqual([0, 0, 0, 0]);
    expect(white.print.shiftDe).toBeLessThan(0.1);
    expect(white.print.shown).toEqual([255, 255, 255]);
  });

  test('have another colour that prints nearer, where there is one', () => {
    const [skin, dark, , , white] = printed;
    expect(skin.nearest).toBeUndefined();
    expect(white.nearest).toBeUndefined();
    expect(dark.print.shiftDe).toBeGreaterThan(2);
    expect(dark.nearest?.shiftDe).toBeLessThan(0.5);
    // Painting that colour indeed prints so.
    const rgb = dark.nearest?.rgb ?? [0, 0, 0];
    const [again] = printSwatches([swatch('again', { kind: 'srgb', srgb: rgb })], separator, false, arena);
    expect(ciede2000(again.print.lab, dark.screen.lab)).toBeCloseTo(dark.nearest?.shiftDe ?? 0, 5);
  });

  test('are none where there are none', () => {
    expect(printSwatches([], separator, false, arena)).toEqual([]);
  });

  test('are told in whole percents of ink', () => {
    expect(inkWords({ inksPercent: [25.1, 48.6, 56.9, 0] })).toBe('C 25 M 49 Y 57 K 0');
  });
});

describe('the sheet of swatches', () => {
  const many = (count: number, character?: string) =>
    Array.from({ length: count }, (_, i) => swatch(`${i}`, srgb(i, 100, 200), character));

  test.each([1, 4, 5, 12, 60, 120])(
    'lays %i swatches out beside and beneath each other, none over another',
    (count) => {
      const { cells, width, height } = layOutSwatches(many(count));
      expect(new Set(cells.map(({ left, top }) => `${left} ${top}`)).size).toBe(count);
      for (const { left, top } of cells) {
        expect(left + swatchMeasures.cellWidth).toBeLessThanOrEqual(width - swatchMeasures.margin);
        expect(top + swatchMeasures.cellHeight).toBeLessThanOrEqual(height - swatchMeasures.footer);
      }
    },
  );

  test('keeps the swatches of a character together, and those of nobody at the end', () => {
    const mixed = [...many(1), ...many(2, 'Mara'), ...many(1, 'Ivo'), ...many(1, 'Mara')];
    const { headings, cells } = layOutSwatches(mixed);
    expect(headings.map(({ words }) => words)).toEqual(['Mara', 'Ivo', 'Further colours']);
    expect(cells.map(({ index }) => index)).toEqual([1, 2, 4, 3, 0]);
    expect(layOutSwatches(many(3)).headings).toEqual([]);
  });

  test('shows the screen beside the print', async () => {
    const [wanted, shown, better]: Rgb[] = [
      [10, 200, 30],
      [90, 160, 80],
      [70, 170, 60],
    ];
    const colour = (rgb: Rgb, seen: Rgb, shiftDe: number) => ({
      ...{ rgb, shown: seen, shiftDe, lab: [60, -40, 30] as Lab },
      inksPercent: [60, 0, 90, 0] as const,
    });
    const one: PrintedSwatch = {
      swatch: swatch('coat', { kind: 'srgb', srgb: wanted }),
      screen: { lab: labOfRgb(wanted), rgb: wanted, missedDe: 0 },
      print: colour(wanted, shown, 12),
      missedDe: 11,
      nearest: colour([0, 220, 0], better, 9),
    };
    const sheet = { issue: 'QRY02', title: 'The Quarry Bells', condition: 'a press', outOfGamutDe: 5 };
    const picture = await drawSwatchSheet(sheet, [one], new PageArena());
    const [{ left, top }] = layOutSwatches([one.swatch]).cells;
    const at = (x: number) => {
      const from = ((top + 50) * picture.width + left + x) * 3;
      return hexOfRgb([picture.data[from], picture.data[from + 1], picture.data[from + 2]]);
    };
    expect([at(20), at(111), at(112), at(200), at(260)]).toEqual(
      [wanted, wanted, shown, shown, better].map(hexOfRgb),
    );
  });
});
