import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import sharp from 'sharp';
import { type BenchIssue, linePpiOf, pageInches, partPaths, writeBenchJob } from './bench-job.js';
import { type Contender, contenders, cores, type Setup, thumbnailPath } from './contenders.js';
import { measureDrops } from './drop-to-proof.js';
import { compareWork } from './equal-work.js';
import { keepFloorPage } from './floor-page.js';
import { measureGrowth } from './growth.js';
import { measureInspection } from './inspection-cost.js';
import { writeKindJob } from './kinds/kind-job.js';
import { pageKindOf } from './kinds/page-kind.js';
import { type Measured, type Middle, middleOf } from './measure.js';
import { measureAgain } from './run-again.js';

/**
 * Measures platehand beside scripts made from general-purpose tools, on the same seeded pages, and prints what each page
 * took. Runs are interleaved and their medians compared, so that whatever else the machine does meets all alike.
 *
 *   npm run bench                     4 pages, 3 runs of each contender
 *   npm run bench -- --pages 8 --runs 5 --json
 *   npm run bench -- --colour-ppi 600 composite and plates at 600 ppi
 *   npm run bench -- --again          running again, with nothing and with one page changed; the contact sheet of 24
 *   npm run bench -- --watch          from drop to proof in a daemon with its usual times
 *   npm run bench -- --inspection     pages with every check beside pages with none
 *   npm run bench -- --growth         1, 24, 96 pages; 150, 300, 600 ppi; 1 and 2 page processes; takes long
 */
const { values } = parseArgs({
  options: {
    pages: { type: 'string' },
    runs: { type: 'string', default: '3' },
    'colour-ppi': { type: 'string', default: '300' },
    only: { type: 'string' },
    json: { type: 'boolean', default: false },
    again: { type: 'boolean', default: false },
    watch: { type: 'boolean', default: false },
    inspection: { type: 'boolean', default: false },
    growth: { type: 'boolean', default: false },
    kind: { type: 'string', default: 'pairs' },
    keep: { type: 'string' },
  },
});

/** Resolution of the proofs; the job for measuring states the same. */
const proofPpi = 150;

const kind = pageKindOf(values.kind);
const folder = await mkdtemp(join(tmpdir(), 'platehand-bench-'));
try {
  if (values.keep !== undefined) await writeKindJob(values.keep, kind, issueOf());
  else if (values.again) await measureAgain(folder);
  else if (values.watch) await measureDrops(folder, Number(values['colour-ppi']));
  else if (values.inspection) await measureInspection(folder);
  else if (values.growth) await measureGrowth(folder);
  else await race(folder);
} finally {
  await rm(folder, { recursive: true, force: true });
}

/** Pages of layers take a minute to draw: two of them unless more are asked for. */
function issueOf(): BenchIssue {
  const pages = values.pages ?? (kind === 'pairs' ? '4' : '2');
  return { pages: Number(pages), inputPpi: 600, colourPpi: Number(values['colour-ppi']) };
}

async function race(folder: string): Promise<void> {
  const issue = issueOf();
  const setup: Setup = { folder, issue, proofWidth: Math.round(pageInches.width * proofPpi) };
  await writeBenchJob(join(folder, 'job'), issue);
  await keepProfile(setup);
  const all = contenders(setup);
  const wanted = values.only?.split(',');
  const taking = all.filter(({ name }) => name === 'platehand' || (wanted?.includes(name) ?? true));
  // The first run of each warms the disk's cache and is not counted; the floor needs platehand's results.
  const measured = new Map<string, Measured[]>(taking.map(({ name }) => [name, []]));
  for (const contender of taking) {
    if (contender.name === 'floor') await keepPixels(setup, taking[0]);
    await contender.run();
  }
  const compared = await compareWork(taking);
  for (let run = 0; run < Number(values.runs); run++) {
    for (const contender of taking) measured.get(contender.name)?.push(await contender.run());
  }
  const middle: Row[] = [...measured].map(([name, runs]) => ({ name, ...middleOf(runs, issue.pages) }));
  if (values.json) console.log(JSON.stringify(summary(issue, middle)));
  else print(issue, middle, compared);
}

/** The profile that the pages are tagged with, for tools that want it as a file. */
async function keepProfile({ folder }: Setup): Promise<void> {
  const { icc } = await sharp(partPaths(join(folder, 'job'), 1).colour).metadata();
  await writeFile(join(folder, 'srgb.icc'), icc ?? Buffer.alloc(0));
}

async function keepPixels(setup: Setup, platehand: Contender): Promise<void> {
  const made = platehand.outputs?.(1);
  if (made === undefined) return;
  const pixels = join(setup.folder, 'pixels');
  await mkdir(pixels, { recursive: true });
  const { colourPpi: ppi } = setup.issue;
  const thumbnail = await thumbnailPath(setup, 1);
  await keepFloorPage(pixels, { ...made, thumbnail, ppi, linePpi: linePpiOf(setup.issue), proofPpi });
}

type Row = Middle & { readonly name: string };

function summary(issue: BenchIssue, middle: readonly Row[]) {
  const own = middle[0];
  const of = (name: string) => middle.find((each) => each.name === name);
  const ratio = (one: number | undefined, other: number | undefined) =>
    one === undefined || other === undefined ? null : Number((one / other).toFixed(2));
  const slower = (name: string) => ratio(of(name)?.wallS, own.wallS);
  return {
    pages: issue.pages,
    wallRatio: { vips: slower('vips'), imagemagick: slower('imagemagick'), sharp: slower('sharp') },
    cpuOverFloor: ratio(own.cpuS, of('floor')?.cpuS),
    peakMB: Math.round(own.peakMB),
  };
}

function print(
  issue: BenchIssue,
  middle: readonly Row[],
  compared: Awaited<ReturnType<typeof compareWork>>,
): void {
  const own = middle[0];
  console.log(
    `${issue.pages} pages of 4350 x 6300 to ${issue.colourPpi} ppi, ${cores} cores, medians of ${values.runs} runs\n`,
  );
  console.log('| | wall s a page | CPU s a page | memory MB | wall over platehand | CPU over platehand |');
  console.log('| --- | --- | --- | --- | --- | --- |');
  for (const { name, wallS, cpuS, peakMB } of middle) {
    const ratios = [wallS / own.wallS, cpuS / own.cpuS].map((each) => each.toFixed(2)).join(' | ');
    console.log(`| ${name} | ${wallS.toFixed(2)} | ${cpuS.toFixed(2)} | ${peakMB.toFixed(0)} | ${ratios} |`);
  }
  console.log(
    '\nPage 1 beside platehand: mean difference of C, M, Y, K (of 255), line pixels that differ, bytes',
  );
  for (const { name, inkDifference, linePixels, bytes } of compared) {
    const inks = inkDifference.map((each) => each.toFixed(1)).join(', ');
    console.log(`  ${name}: ${inks}; ${linePixels}; ${(bytes / 1e6).toFixed(1)} MB`);
  }
}
