import { rm } from 'node:fs/promises';
import { join } from 'node:path';
import { type BenchIssue, writeBenchJob } from './bench-job.js';
import { cores, runPlatehand } from './contenders.js';

/** How cost grows: with pages, with pixels, with page processes. Pages are written and removed one issue at a time. */
export async function measureGrowth(folder: string): Promise<void> {
  console.log(`${cores} cores; wall and CPU in seconds a page\n`);
  console.log('| pages | input ppi | page processes | wall | CPU | memory MB |');
  console.log('| --- | --- | --- | --- | --- | --- |');
  for (const pages of [1, 24, 96]) await row(folder, { pages, inputPpi: 600, colourPpi: 300 }, cores);
  for (const ppi of [150, 300, 600]) await row(folder, { pages: 8, inputPpi: ppi, colourPpi: ppi }, cores);
  for (const jobs of [1, 2]) await row(folder, { pages: 8, inputPpi: 600, colourPpi: 300 }, jobs);
}

async function row(folder: string, issue: BenchIssue, jobs: number): Promise<void> {
  const job = join(folder, 'growth');
  await writeBenchJob(job, issue);
  const { wallS, cpuS, peakMB } = await runPlatehand(job, '--jobs', String(jobs));
  await rm(job, { recursive: true });
  const { pages, inputPpi } = issue;
  const figures = [wallS / pages, cpuS / pages].map((each) => each.toFixed(2)).join(' | ');
  console.log(`| ${pages} | ${inputPpi} | ${jobs} | ${figures} | ${peakMB.toFixed(0)} |`);
}
