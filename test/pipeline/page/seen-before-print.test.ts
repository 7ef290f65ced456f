import { describe, expect, test } from 'vitest';
import { colourPx, pageThrough, plainTiff } from '../../helpers/page-through.js';
import { drawn } from '../../helpers/rasters.js';

// Whole pages through the pipeline: 2.25 x 3.25 in with bleed, colour at 100 ppi.
const { width, height } = colourPx;

/** Letters of 12 x 15 px with strokes of 4 px, at 100 ppi. */
const isText = (left: number, top: number) => (x: number, y: number) => {
  const [u, v] = [(x - left) % 18, y - top];
  return x >= left && x < left + 5 * 18 && v >= 0 && v < 15 && u < 12 && (u < 4 || v % 6 < 3);
};

/** A file of lettering: text alone, all else transparent. */
const letteringAt = (left: number, top: number, grey: number) => {
  const covers = isText(left, top);
  return plainTiff(
    drawn(width, height, 'rgb', (x, y) => [grey, grey, grey, covers(x, y) ? 255 : 0]),
    100,
  );
};

const colour = (rgb: readonly number[]) =>
  plainTiff(
    drawn(width, height, 'rgb', () => [...rgb]),
    100,
  );
const codesOf = ({ report }: Awaited<ReturnType<typeof pageThrough>>) =>
  report.findings.map(({ code }) => code);

describe('what a press will do to a page is told before', () => {
  test('a page in colours of a screen is told, with a picture beside its proof', async () => {
    const page = await pageThrough({ 'p1.tif': colour([0, 255, 60]) });
    expect(codesOf(page)).toContain('out-of-gamut');
    expect(page.report.outputs.map(({ name }) => name)).toContain('THR01_1_gamut.png');
    const calm = await pageThrough({ 'p1.tif': colour([200, 190, 170]) });
    expect(codesOf(calm)).not.toContain('out-of-gamut');
    expect(calm.report.outputs.map(({ role }) => role)).not.toContain('gamut');
  });

  test('lettering of a file of its own is found where it lies on the page', async () => {
    const paper = colour([250, 246, 240]);
    const sound = await pageThrough({ 'p1 colour.tif': paper, 'p1 lettering.tif': letteringAt(70, 150, 0) });
    expect(codesOf(sound).filter((code) => code.startsWith('lettering'))).toEqual([]);
    const wrong = await pageThrough({
      'p1 colour.tif': paper,
      'p1 lettering.tif': letteringAt(16, 150, 190),
    });
    expect(codesOf(wrong).filter((code) => code.startsWith('lettering'))).toEqual([
      'lettering-contrast',
      'lettering-near-trim',
    ]);
  });
});
