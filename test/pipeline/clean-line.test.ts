import { join } from 'node:path';
import sharp from 'sharp';
import { afterEach, describe, expect, test } from 'vitest';
import { fileKinds } from '../../config/job.js';
import { runIssue } from '../../pipeline/issue/run-issue.js';
import { bundlePathOf } from '../../pipeline/outputs/products.js';
import { pagesHere } from '../helpers/pages-here.js';
import { drawn } from '../helpers/rasters.js';
import { inksTiffOf, openSmallIssue, type SmallIssue, smallHead, tiffOf } from '../helpers/small-issue.js';

/** A pixel at 200 ppi is 0.127 mm: a speck, where a full stop of two pixels is none. */
const { width, height } = { width: 440, height: 598 };
const specks = [
  [60, 80],
  [200, 90],
  [330, 500],
  [90, 420],
];

/** A ring, strokes with dots at their ends, a full stop, and dust. */
function inks() {
  return drawn(width, height, 'grey', (x, y) => {
    const isRing = Math.abs(Math.hypot(x - 220, y - 300) - 60) < 3;
    const isStroke = x >= 100 && x < 180 && x % 8 < 2 && y >= 180 && y < 240;
    const isEnd = x >= 100 && x < 180 && x % 8 === 0 && y === 242;
    const isStop = x >= 300 && x < 302 && y >= 200 && y < 202;
    const isSpeck = specks.some(([u, v]) => u === x && v === y);
    return [isRing || isStroke || isEnd || isStop || isSpeck ? 0 : 255];
  });
}

/** Text with a dot of a pixel far from its letters, as no type has it, on transparent ground. */
async function lettering(): Promise<Buffer> {
  const data = new Uint8Array(width * height * 4);
  const dot = (x: number, y: number) => data.set([0, 0, 0, 255], (y * width + x) * 4);
  for (let y = 340; y < 350; y++) for (let x = 60; x < 120; x += 6) dot(x, y);
  dot(150, 345);
  const raw = { width, height, channels: 4 as const };
  return sharp(data, { raw })
    .withIccProfile('srgb')
    .tiff({ compression: 'lzw', xres: 200 / 25.4, yres: 200 / 25.4 })
    .toBuffer();
}

let issue: SmallIssue | undefined;

afterEach(async () => {
  await issue?.remove();
  issue = undefined;
});

async function run(entry: string, files: Readonly<Record<string, Uint8Array>>) {
  issue = await openSmallIssue(`${smallHead}pages:\n  - { page: 1, ${entry} }\n`);
  for (const [name, bytes] of Object.entries(files)) await issue.drop(name, bytes);
  const { pages } = await runIssue(issue.job, { products: ['press', 'proof'], runner: pagesHere });
  const [page] = pages;
  const file = page.outputs.find(({ role }) => role === 'line');
  const picture = sharp(join(issue.folder, 'press', file?.name ?? ''));
  const line = await picture.toColourspace('b-w').raw().toBuffer();
  return { page, isInk: (x: number, y: number) => line[y * width + x] < 128 };
}

describe('clean: specks', () => {
  test('removes dust from the line and nothing else, says how much and where, and shows it', async () => {
    const files = { 'p1 inks.tif': await inksTiffOf(inks()) };
    const { page, isInk } = await run('needs: [line], clean: specks', files);
    const original = inks().data;
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        const isSpeck = specks.some(([u, v]) => u === x && v === y);
        if (isInk(x, y) !== (original[y * width + x] === 0 && !isSpeck)) throw new Error(`pixel ${x} / ${y}`);
      }
    }
    const [told] = page.findings.filter(({ code }) => code === 'line-cleaned');
    expect(told).toMatchObject({ severity: 'note', measured: '4 specks', places: { inAll: 4 } });
    expect(page.findings.map(({ code }) => code)).not.toContain('line-specks');
    const shown = page.outputs.filter(({ role }) => role === 'cleaned');
    expect(shown).toMatchObject([{ product: 'proof', name: expect.stringMatching(/_cleaned\.png$/) }]);
    expect(bundlePathOf(shown[0], fileKinds)).toBeUndefined();
    // Before and after of a place: ink in the left picture only.
    const proof = sharp(join(issue?.folder ?? '', 'proofs', shown[0].name)).greyscale();
    const darkest = async (left: number) => {
      const part = proof.clone().extract({ left: left + 140, top: 58 + 140, width: 20, height: 20 });
      return Math.min(...(await part.raw().toBuffer()));
    };
    expect(await darkest(24)).toBeLessThan(60);
    expect(await darkest(48 + 300)).toBe(255);
  });

  test('is off by default: the line prints as it came', async () => {
    const { page, isInk } = await run('needs: [line]', { 'p1 inks.tif': await inksTiffOf(inks()) });
    expect(specks.every(([x, y]) => isInk(x, y))).toBe(true);
    expect(page.findings.map(({ code }) => code)).not.toContain('line-cleaned');
    expect(page.outputs.map(({ role }) => role)).not.toContain('cleaned');
  });

  test('never touches lettering, not even a dot that stands alone in it', async () => {
    const white = drawn(width, height, 'rgb', (x, y) => [250, 240 - (y % 3), 200 + (x % 5)]);
    const { page, isInk } = await run('clean: specks', {
      'p1 colour.tif': await tiffOf(white),
      'p1 inks.tif': await inksTiffOf(inks()),
      'p1 lettering.tif': await lettering(),
    });
    expect(isInk(150, 345)).toBe(true);
    expect(isInk(60, 345)).toBe(true);
    expect(specks.some(([x, y]) => isInk(x, y))).toBe(false);
    expect(page.findings.find(({ code }) => code === 'line-cleaned')?.measured).toBe('4 specks');
  });
});
