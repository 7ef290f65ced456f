import { parseJob } from '../../config/load-job.js';
import type { Raster } from '../../pipeline/model/raster.js';
import { drawPage, type Style } from '../helpers/drawn-pages.js';
import { drawn, plateOfBits } from '../helpers/rasters.js';
import { inksTiffOf, openSmallIssue, type SmallIssue, tiffOf } from '../helpers/small-issue.js';

/** A small issue with a page of each style, in both forms of PDF/X: what `npm run check:press` looks at. */

/** Styles by page number, and a spread. */
const styles: Readonly<Record<string, Style>> = {
  '1': 'brush',
  '2': 'pen',
  '3': 'manga',
  '4': 'tones',
  '5': 'painted-in',
  '6-7': 'cel',
  '8': 'painted',
};

/** Trim plus bleed, 56 x 76 mm at 150 ppi, and the spread's 106 x 76 mm. */
const sizePx = { width: 331, height: 449 };
const spreadPx = { width: 626, height: 449 };
const ppi = 150;

const inkPx = { width: 2 * sizePx.width, height: 2 * sizePx.height };
const disc = (x: number, y: number) => Math.hypot(x - inkPx.width / 2, y - inkPx.height / 2);

/** Extra inks on some pages: a varnish of 1 bit with a metallic of soft tones over it, and an ink that knocks out. */
const extraPlates: Readonly<Record<string, Raster>> = {
  'PRS01_p1_varnish.tif': drawn(inkPx.width, inkPx.height, 'grey', (x, y) => [disc(x, y) < 200 ? 0 : 255]),
  'PRS01_p1_silver.tif': drawn(inkPx.width, inkPx.height, 'grey', (x, y) => [Math.min(255, disc(x, y) / 2)]),
  'PRS01_p2_flare.tif': drawn(inkPx.width, inkPx.height, 'grey', (x, y) => [disc(x, y) < 150 ? 60 : 255]),
};

const printOf = (more: string) => `
issue: PRS01
title: Pressed Ferns
units: mm
print:
  trim: [50, 70]
  bleed: 3
  safe: 5
  colourPpi: 150
  linePpi: 300
  proofPpi: 100
  foldBleed: 2
  fidelity: { stop: 100 }
${more}
extraInks:
  - { id: varnish, name: Gloss Varnish, shownAs: [0, 0, 0, 0], bits: 1 }
  - { id: silver, name: 'Silver 877', shownAs: [0, 0, 0, 0] }
  - { id: flare, shownAs: [0, 0, 0, 0], overprints: false }
scenes:
  - { id: wood, title: The wood }
pages:
  - pages: 1-3
    scene: wood
  - pages: 4-5
  - spread: 6-7
  - page: 8
    needs: [colour]
    accept: { bleed-empty: white paper is meant }
`;

/** A job, and how it is called. */
export interface PressJob {
  readonly name: string;
  readonly yaml: string;
  readonly hasMarks: boolean;
}

/** In both forms, with marks and without, on two papers, the spread in each way. */
export const pressJobs: readonly PressJob[] = [
  { name: 'x-4', yaml: printOf('  press: cgats-tr006\n  spreads: both'), hasMarks: false },
  {
    name: 'x-1a with marks',
    yaml: printOf('  press: fogra39l\n  pdf: x-1a\n  marks: true\n  spreads: split'),
    hasMarks: true,
  },
];

/** The issue in a folder of its own, with its files dropped. */
export async function openPressIssue({ yaml }: PressJob): Promise<SmallIssue> {
  const issue = await openSmallIssue(yaml);
  for (const [page, style] of Object.entries(styles)) {
    const { width, height } = page.includes('-') ? spreadPx : sizePx;
    const { colour, line } = drawPage(style, { width, height, seed: Number.parseInt(page, 10) });
    await issue.drop(`PRS01_p${page}_colour.tif`, await tiffOf(colour, ppi));
    if (page === '8') continue;
    const { data } = plateOfBits(line);
    const inks = drawn(line.width, line.height, 'grey', (x, y) => [data[y * line.width + x] > 0 ? 0 : 255]);
    await issue.drop(`PRS01_p${page}_inks.tif`, await inksTiffOf(inks, 2 * ppi));
  }
  for (const [name, ink] of Object.entries(extraPlates)) await issue.drop(name, await tiffOf(ink, 2 * ppi));
  return { ...issue, job: parseJob(yaml, issue.folder) };
}
