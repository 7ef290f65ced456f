import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import { beforeAll, describe, expect, test } from 'vitest';
import type { PageReport } from '../../../pipeline/issue/report.js';
import { runIssue } from '../../../pipeline/issue/run-issue.js';
import type { Plate, Raster } from '../../../pipeline/model/raster.js';
import { inkedPage, shareNear } from '../../helpers/inked-pages.js';
import { pagesHere } from '../../helpers/pages-here.js';
import { openSmallIssue } from '../../helpers/small-issue.js';

/** Whole pages, ink and colour in one picture, through the default settings: what prints is what was painted. */

/** Trim plus bleed is 1.5 x 1.5 in: 450 px of colour, and twice as many of line. */
const sidePx = 450;
const jobYaml = `
issue: FLT01
title: Flat
number: 1
units: in
print:
  trim: [1.25, 1.25]
  bleed: 0.125
  safe: 0.1
  press: cgats-tr006
pages:
  - pages: 1-12
`;

const black = [0, 0, 0] as const;
const raised = [35, 31, 32] as const;
const warm = [39, 36, 30] as const;
const drawings = [
  ['brush', 'bright', raised],
  ['pen', 'gradient', black],
  ['hatching', 'bright', black],
  ['spotted blacks', 'painted', warm],
  ['screened tone', 'bright', raised],
  ['hatching', 'dark neutral', raised],
] as const;
const files = ['png', 'jpg'] as const;
const cases = drawings.flatMap(([style, ground, ink], i) =>
  files.map((file, k) => ({ style, ground, ink, file, number: 2 * i + k + 1 })),
);

interface Printed {
  readonly report: PageReport;
  readonly line: Plate;
  readonly inks: Plate;
}

const printed = new Map<number, Printed>();

beforeAll(async () => {
  const issue = await openSmallIssue(jobYaml);
  try {
    const inks = new Map<number, Plate>();
    for (const [i, [style, ground, ink]] of drawings.entries()) {
      const made = inkedPage(style, ground, ink, sidePx);
      for (const [k, file] of files.entries()) {
        await issue.drop(`p${2 * i + k + 1}.${file}`, await saved(made.page, file));
        inks.set(2 * i + k + 1, made.inks);
      }
    }
    const { pages } = await runIssue(issue.job, { runner: pagesHere });
    for (const [at, report] of pages.entries()) {
      const plate = report.outputs.find(({ role }) => role === 'line');
      const bytes =
        plate === undefined ? undefined : await readFile(join(issue.folder, plate.product, plate.name));
      printed.set(at + 1, { report, line: await inkOf(bytes), inks: inks.get(at + 1) as Plate });
    }
  } finally {
    await issue.remove();
  }
}, 120_000);

function saved({ data, width, height }: Raster, file: (typeof files)[number]): Promise<Buffer> {
  const picture = sharp(data, { raw: { width, height, channels: 3 } }).withMetadata({ density: 300 });
  // As most programs save it: colour at half the resolution.
  return file === 'png' ? picture.png().toBuffer() : picture.jpeg({ quality: 90 }).toBuffer();
}

/** A line plate at the size of the colour: ink where at least half of a pixel is. */
async function inkOf(bytes: Buffer | undefined): Promise<Plate> {
  const size = { width: sidePx, height: sidePx };
  if (bytes === undefined) return { ...size, data: new Uint8Array(sidePx * sidePx) };
  const paper = await sharp(bytes).toColourspace('b-w').raw().toBuffer();
  const data = Uint8Array.from({ length: sidePx * sidePx }, (_, i) => {
    const at = 4 * sidePx * Math.floor(i / sidePx) + 2 * (i % sidePx);
    const four = [at, at + 1, at + 2 * sidePx, at + 2 * sidePx + 1];
    return Math.round(four.reduce((sum, one) => sum + 255 - paper[one], 0) / four.length);
  });
  return { ...size, data };
}

/** What `print-differs` lets pass: 99.9 % within 3 dE00, and so many millimetres of edges that nobody painted. */
const limits = { de: 3, edgesMm: 2 } as const;

describe.each(cases)('$style over colour: $ground, black $ink, as $file', ({ number }) => {
  const page = () => printed.get(number) as Printed;

  test('prints as it was painted beside its line, and has no edges that nobody painted', () => {
    const { fidelity } = page().report.measures ?? {};
    expect(fidelity?.rest.p999De).toBeLessThanOrEqual(limits.de);
    expect(fidelity?.edges.lengthMm).toBeLessThanOrEqual(limits.edgesMm);
  });

  test('has its inks on the line plate, within a pixel', () => {
    const { line, inks } = page();
    expect(shareNear(line, inks)).toBeGreaterThanOrEqual(0.99);
    expect(shareNear(inks, line)).toBeGreaterThanOrEqual(0.99);
  });
});
