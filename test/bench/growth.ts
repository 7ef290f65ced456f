import { rm } from 'node:fs/promises';
import { join } from 'node:path';
import { type BenchIssue, writeBenchJob, writeSmallPages } from './bench-job.js';
import { cores, freshJob, runPlatehand } from './contenders.js';
import { type Measured, middleOf } from './measure.js';

const runs = 3;

/** How cost grows: with pages, with pixels, with page processes. Pages are written and removed one issue at a time. */
export async function measureGrowth(folder: string): Promise<void> {
  console.log(`${cores} cores; wall and CPU in seconds a page, medians of ${runs} runs\n`);
  console.log('| pages | input ppi | page processes | wall | CPU | memory MB |');
  console.log('| --- | --- | --- | --- | --- | --- |');
  for (const pages of [1, 24, 96]) await row(folder, { pages, inputPpi: 600, colourPpi: 300 }, cores);
  for (const ppi of [150, 300, 600]) await row(folder, { pages: 8, inputPpi: ppi, colourPpi: ppi }, cores);
  for (const jobs of [1, 2]) await row(folder, { pages: 8, inputPpi: 600, colourPpi: 300 }, jobs);
  console.log(
    '\nsmall pages: made, then run again with nothing changed; milliseconds a page, one run each\n',
  );
  console.log('| pages | made: wall | CPU | memory MB | unchanged: wall | CPU | memory MB |');
  console.log('| --- | --- | --- | --- | --- | --- | --- |');
  for (const pages of [200, 1000, 2000]) await smallRow(folder, pages);
}

async function smallRow(folder: string, pages: number): Promise<void> {
  const job = join(folder, 'small');
  await writeSmallPages(job, pages);
  const [made, unchanged] = [await runPlatehand(job), await runPlatehand(job)];
  await rm(job, { recursive: true });
  const figures = [made, unchanged].map(({ wallS, cpuS, peakMB }) => {
    const perPage = [wallS, cpuS].map((each) => ((each * 1000) / pages).toFixed(1));
    return [...perPage, peakMB.toFixed(0)].join(' | ');
  });
  console.log(`| ${pages} | ${figures.join(' | ')} |`);
}

async function row(folder: string, issue: BenchIssue, jobs: number): Promise<void> {
  await writeBenchJob(join(folder, 'job'), issue);
  const measured: Measured[] = [];
  for (let run = 0; run < runs; run++) {
    const job = await freshJob(folder, 'growth');
    measured.push(await runPlatehand(job, '--jobs', String(jobs)));
  }
  await rm(join(folder, 'job'), { recursive: true });
  const { pages, inputPpi } = issue;
  const { wallS, cpuS, peakMB } = middleOf(measured, pages);
  const figures = [wallS, cpuS].map((each) => each.toFixed(2)).join(' | ');
  console.log(`| ${pages} | ${inputPpi} | ${jobs} | ${figures} | ${peakMB.toFixed(0)} |`);
}
