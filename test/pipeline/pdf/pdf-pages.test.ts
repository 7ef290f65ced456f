import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { parseJob } from '../../../config/load-job.js';
import { runIssue } from '../../../pipeline/issue/run-issue.js';
import { pagesHere } from '../../helpers/pages-here.js';
import { maskSamples, pictureSamples, type ReadPdf, readPdf } from '../../helpers/read-pdf.js';
import {
  colourPage,
  inksPage,
  inksTiffOf,
  openSmallIssue,
  type SmallIssue,
  smallHead,
  tiffOf,
} from '../../helpers/small-issue.js';

/** A page with line, one of colour alone, and a spread with both, delivered whole and as halves. */
const jobYaml = `${smallHead}  spreads: both
  foldBleed: 2
pages:
  - page: 1
  - spread: 2-3
  - page: 4
    needs: [colour]
`;

let issue: SmallIssue;
beforeAll(async () => {
  issue = await openSmallIssue(jobYaml);
  const colour = await tiffOf(colourPage());
  const inks = await inksTiffOf(inksPage());
  const wide = await sharp(colour).resize({ width: 835, height: 599, fit: 'fill' }).tiff().toBuffer();
  const wideInks = await sharp(inks).resize({ width: 835, height: 599, fit: 'fill' }).tiff().toBuffer();
  await issue.drop('QRY02_p1_colour.tif', colour);
  await issue.drop('QRY02_p1_inks.tif', inks);
  await issue.drop('QRY02_p2-3_colour.tif', wide);
  await issue.drop('QRY02_p2-3_inks.tif', wideInks);
  await issue.drop('QRY02_p4_colour.tif', colour);
  await runIssue(issue.job, { runner: pagesHere });
});
afterAll(() => issue.remove());

const bytesOf = (name: string) => readFile(join(issue.folder, 'pdf', name));
const pdfOf = async (name: string): Promise<ReadPdf> => readPdf(await bytesOf(name));

/** The plates of a page side by side, as they print. */
async function plateSamples(page: string): Promise<Uint8Array> {
  const plates = await Promise.all(
    ['cyan', 'magenta', 'yellow', 'black'].map(async (ink) => {
      const file = await readFile(join(issue.folder, 'plates', `QRY02_${page}_${ink}.tif`));
      return sharp(file).toColourspace('b-w').raw().toBuffer();
    }),
  );
  return Uint8Array.from({ length: plates[0].length * 4 }, (_, i) => 255 - plates[i % 4][i >> 2]);
}

const pages = ['1', '2-3', '2', '3', '4'];

describe('a page as PDF', () => {
  test.each(pages)('%s holds the samples of its four plates, bit for bit', async (page) => {
    const { data } = pictureSamples(await pdfOf(`QRY02_${page}.pdf`));
    expect(Buffer.compare(data, await plateSamples(page))).toBe(0);
  });

  test.each(['1', '2-3', '2', '3'])('%s holds its line plate over them, bit for bit', async (page) => {
    const painted = await maskSamples(await pdfOf(`QRY02_${page}.pdf`));
    const plate = await readFile(join(issue.folder, 'press', `QRY02_${page}_line.tif`));
    const paper = await sharp(plate).toColourspace('b-w').raw().toBuffer();
    expect(painted.filter((ink, i) => ink !== 255 - paper[i])).toHaveLength(0);
    expect(painted.some((ink) => ink === 255)).toBe(true);
  });

  test('without line has no mask', async () => {
    const pdf = await pdfOf('QRY02_4.pdf');
    expect(pdf.said('Page', 0, 'Resources', 'XObject')).not.toContain('Layer');
    expect(pdf.text).not.toContain('ImageMask');
  });

  test('has the same bytes on every run', async () => {
    const again = await openSmallIssue(jobYaml);
    try {
      await again.drop('QRY02_p1_colour.tif', await tiffOf(colourPage()));
      await again.drop('QRY02_p1_inks.tif', await inksTiffOf(inksPage()));
      await runIssue(again.job, { runner: pagesHere, products: ['pdf'] });
      const once = await readFile(join(again.folder, 'pdf', 'QRY02_1.pdf'));
      expect(once.equals(await bytesOf('QRY02_1.pdf'))).toBe(true);
    } finally {
      await again.remove();
    }
  });
});

describe('the boxes of a PDF page', () => {
  const mm = (points: number) => (points / 72) * 25.4;
  const boxOf = (pdf: ReadPdf, name: string) => {
    const numbers = (pdf.said('Page', 0, name) ?? '').match(/[\d.]+/g) ?? [];
    const [left, bottom, right, top] = numbers.map(Number).map(mm);
    return { left, bottom, right, top, width: right - left, height: top - bottom };
  };

  test.each([
    ['1', 50, 3, 3],
    ['4', 50, 3, 3],
    ['2-3', 100, 3, 3],
    ['2', 50, 3, 2],
    ['3', 50, 2, 3],
  ])('of %s are its trim and bleed to a hundredth of a millimetre', async (page, width, left, right) => {
    const pdf = await pdfOf(`QRY02_${page}.pdf`);
    const [media, bleed, trim] = ['MediaBox', 'BleedBox', 'TrimBox'].map((name) => boxOf(pdf, name));
    expect(trim.width).toBeCloseTo(width, 2);
    expect(trim.height).toBeCloseTo(70, 2);
    expect(trim.left - bleed.left).toBeCloseTo(left, 2);
    expect(bleed.right - trim.right).toBeCloseTo(right, 2);
    expect(trim.bottom - bleed.bottom).toBeCloseTo(3, 2);
    expect(bleed.top - trim.top).toBeCloseTo(3, 2);
    expect(media).toMatchObject({ left: 0, bottom: 0 });
    // Each lies within the next, to the five decimals that are written.
    expect(
      Math.min(bleed.left, bleed.bottom, media.right - bleed.right, media.top - bleed.top),
    ).toBeGreaterThan(-1e-5);
  });

  test.each(pages)('of %s leave the picture as large as its pixels say', async (page) => {
    const pdf = await pdfOf(`QRY02_${page}.pdf`);
    const { width, height } = pictureSamples(pdf);
    const contents = Buffer.from(pdf.stream('Page', 0, 'Contents').contents).toString('latin1');
    const places = [...contents.matchAll(/([\d.]+) 0 0 ([\d.]+) ([\d.]+) ([\d.]+) cm/g)].map((found) =>
      found.slice(1).map(Number),
    );
    expect(places).toHaveLength(page === '4' ? 1 : 2);
    for (const [wide, high, left, bottom] of places) {
      expect([wide, high]).toEqual([(width * 72) / 100, (height * 72) / 100]);
      // Its corner lies a whole number of the line's pixels from that of the page.
      for (const at of [left, bottom]) expect((at * 200) / 72).toBeCloseTo(Math.round((at * 200) / 72), 4);
    }
  });

  test('of halves lie so that trim meets trim at the fold', async () => {
    const whole = await pdfOf('QRY02_2-3.pdf');
    const [left, right] = [await pdfOf('QRY02_2.pdf'), await pdfOf('QRY02_3.pdf')];
    const pxOf = (pdf: ReadPdf) => pictureSamples(pdf).width;
    const pictureLeft = (pdf: ReadPdf) => (boxOf(pdf, 'MediaBox').width - (pxOf(pdf) * 25.4) / 100) / 2;
    const foldOfLeft = boxOf(left, 'TrimBox').right - pictureLeft(left);
    const foldOfRight =
      boxOf(right, 'TrimBox').left - pictureLeft(right) + ((pxOf(whole) - pxOf(right)) * 25.4) / 100;
    const middle = (pxOf(whole) * 25.4) / 200;
    expect(foldOfLeft).toBeCloseTo(middle, 3);
    expect(foldOfRight).toBeCloseTo(middle, 3);
  });
});

describe('PDF/X-1a', () => {
  test('refuses a profile of version 4 before any page is made, and says what to do', async () => {
    const profile = await readFile(new URL('../../../config/profiles/fogra39l.icc', import.meta.url));
    profile[8] = 4;
    const own = await openSmallIssue(jobYaml.replace('cgats-tr006', './own.icc\n  pdf: x-1a'));
    try {
      const { writeFile } = await import('node:fs/promises');
      await writeFile(join(own.folder, 'own.icc'), profile);
      await expect(runIssue(own.job, { runner: pagesHere })).rejects.toMatchObject({
        code: 'profile-version',
      });
      const other = parseJob(jobYaml.replace('cgats-tr006', './own.icc\n  pdf: x-4'), own.folder);
      await expect(runIssue(other, { runner: pagesHere, products: [] })).resolves.toMatchObject({
        title: 'The Quarry Bells',
      });
    } finally {
      await own.remove();
    }
  });

  test('is written of a missing or damaged profile no more than of any', async () => {
    const own = await openSmallIssue(jobYaml.replace('cgats-tr006', './gone.icc'));
    try {
      await expect(runIssue(own.job, { runner: pagesHere })).rejects.toMatchObject({
        code: 'profile-invalid',
      });
    } finally {
      await own.remove();
    }
  });
});
