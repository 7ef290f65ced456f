import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import sharp from 'sharp';
import { type BenchIssue, linePpiOf, pageInches, partPaths } from './bench-job.js';
import { type Contender, contenders, type Setup, thumbnailPath } from './contenders.js';
import { measureDrops } from './drop-to-proof.js';
import { compareWork } from './equal-work.js';
import { keepFloorPage } from './floor-page.js';
import { measureGrowth } from './growth.js';
import { measureInspection } from './inspection-cost.js';
import { kindContenders } from './kinds/kind-contenders.js';
import { writeKindJob } from './kinds/kind-job.js';
import { pageKindOf } from './kinds/page-kind.js';
import { type Measured, middleOf } from './measure.js';
import { measureQueue } from './queue-scale.js';
import { printRace, type Row, summaryOf } from './race-report.js';
import { measureAgain } from './run-again.js';

/**
 * Measures platehand beside scripts made from general-purpose tools, on the same seeded pages, and prints what each page
 * took. Runs are interleaved and their medians compared, so that whatever else the machine does meets all alike.
 *
 *   npm run bench                     4 pages, 3 runs of each contender
 *   npm run bench -- --pages 8 --runs 5 --json
 *   npm run bench -- --colour-ppi 600 composite and plates at 600 ppi
 *   npm run bench -- --kind layers6   pages of layers; also layers12, sparse6, groups6, flat, lettering; 2 pages
 *   npm run bench -- --kind flat --keep FOLDER    writes the job folder of such pages, and stops
 *   npm run bench -- --again          running again, with nothing and with one page changed; the contact sheet of 24
 *   npm run bench -- --watch          from drop to proof in a daemon with its usual times
 *   npm run bench -- --inspection     pages with every check beside pages with none
 *   npm run bench -- --queue          16 and 64 workers that sleep on one queue, and 100 issues put on it at once
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
    queue: { type: 'boolean', default: false },
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
  else if (values.queue) await measureQueue(folder);
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
  const setup: Setup = { folder, issue, kind, proofWidth: Math.round(pageInches.width * proofPpi) };
  await writeKindJob(join(folder, 'job'), kind, issue);
  if (kind === 'pairs') await keepProfile(setup);
  const all = kind === 'pairs' ? contenders(setup) : kindContenders(setup);
  const wanted = values.only?.split(',');
  const taking = all.filter(({ name }) => name === 'platehand' || (wanted?.includes(name) ?? true));
  // The first run of each warms the disk's cache and is not counted; the floor needs platehand's results.
  const measured = new Map<string, Measured[]>(taking.map(({ name }) => [name, []]));
  for (const contender of taking) {
    if (contender.name === 'floor') await keepPixels(setup, taking[0]);
    await contender.run();
  }
  const compared = await compareWork(taking, kind);
  for (let run = 0; run < Number(values.runs); run++) {
    for (const contender of taking) measured.get(contender.name)?.push(await contender.run());
  }
  const middle: Row[] = [...measured].map(([name, runs]) => ({ name, ...middleOf(runs, issue.pages) }));
  const ended = { issue, kind, runs: Number(values.runs), middle, compared };
  if (values.json) console.log(JSON.stringify(summaryOf(ended)));
  else printRace(ended);
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
