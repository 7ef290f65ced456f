import { describe, expect, it } from 'vitest';
import type { Raster } from '../../../pipeline/model/raster.js';
import { colourPx, linePx, pageThrough, plainTiff } from '../../helpers/page-through.js';

const inBlack = '    print: { inks: [black] }';

/** A page of tone from light to dark with a stroke of ink across, in grey or with a coloured corner. */
function tone(model: 'grey' | 'rgb', corner: readonly number[] = []): Raster {
  const { width, height } = linePx;
  const channels = model === 'grey' ? 1 : 3;
  const data = new Uint8Array(width * height * channels);
  for (let i = 0; i < width * height; i++) {
    const [x, y] = [i % width, Math.floor(i / width)];
    const isInk = y > 300 && y < 312;
    for (let c = 0; c < channels; c++) {
      const painted = x < 100 && y < 100 ? (corner[c] ?? 225) : 225 - Math.floor((y * 120) / height);
      data[i * channels + c] = isInk ? 0 : painted;
    }
  }
  return { width, height, model, alpha: false, data };
}

function codesOf({ report }: Awaited<ReturnType<typeof pageThrough>>): string[] {
  return report.findings.filter(({ severity }) => severity !== 'note').map(({ code }) => code);
}

describe('a page of a kind that prints in black alone', () => {
  it('has a grey composite, a black plate and line, and nothing of the other inks', async () => {
    const made = await pageThrough({ 'p1.tif': plainTiff(tone('grey'), 200) }, inBlack);
    const { report, composite, line, plates } = made;
    const shown = report.outputs.filter(({ product }) => product !== 'thumbnail' && product !== 'views');
    expect(shown.map(({ role }) => role)).toEqual(['composite', 'line', 'black', 'page', 'proof']);
    expect(report.condition).toMatchObject({ inks: ['black'], inkLimitPercent: 100 });
    expect(report.measures?.inkAfterPercent).toBe(100);
    expect(composite).toMatchObject({ ...colourPx, model: 'grey' });
    expect(line?.filter((ink) => ink === 255).length).toBeGreaterThan(0);
    // 0 is solid black in the composite, and the plate, whose numbers are ink, is the same but for the line.
    const [at, inLine] = [20 * colourPx.width + 150, 153 * colourPx.width + 150];
    expect(composite?.data[at]).toBe(255 - plates[3][at]);
    expect(composite?.data[inLine]).toBe(0);
    expect(plates[3][inLine]).toBeLessThan(255);
    expect(codesOf(made)).toEqual(['profile-untagged']);
  });

  it('asks for a look where it was painted in colour, and says how much of it', async () => {
    const made = await pageThrough({ 'p1.tif': plainTiff(tone('rgb', [220, 60, 60]), 200) }, inBlack);
    expect(codesOf(made)).toContain('colour-in-black-only');
    const finding = made.report.findings.find(({ code }) => code === 'colour-in-black-only');
    // A corner of 100 x 100 of 450 x 650 pixels is 3.4 %.
    expect(finding?.measured).toMatch(/^3\.[345] % of it in colour$/);
    expect(codesOf(made)).not.toContain('print-differs');
    expect(made.plates.slice(0, 3).every(({ length }) => length === 0)).toBe(true);
  });

  it('takes line of 1 bit alone', async () => {
    const { width, height } = linePx;
    const data = Uint8Array.from({ length: width * height }, (_, i) =>
      Math.floor(i / width) % 40 < 6 ? 0 : 255,
    );
    const bits = plainTiff({ width, height, model: 'grey', alpha: false, data }, 200);
    const { composite, report } = await pageThrough({ 'p1 line.tif': bits }, `${inBlack}\n    needs: [line]`);
    expect(report.outputs.map(({ role }) => role)).not.toContain('cyan');
    expect([composite?.data[3 * colourPx.width + 9], composite?.data[10 * colourPx.width + 9]]).toEqual([
      255, 255,
    ]);
    expect(composite?.data[1 * colourPx.width + 9]).toBe(0);
  });

  it('keeps four plates where all inks are asked for, in grey too', async () => {
    const { composite, plates } = await pageThrough({ 'p1.tif': plainTiff(tone('grey'), 200) });
    expect(composite?.model).toBe('cmyk');
    expect(plates.map(({ length }) => length)).toEqual(
      [...plates].fill(plates[3]).map(({ length }) => length),
    );
  });
});
