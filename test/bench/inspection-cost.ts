import { readFile, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { limitRows } from '../../config/check-limits/index.js';
import { writeBenchJob } from './bench-job.js';
import { runPlatehand } from './contenders.js';
import { type Measured, median } from './measure.js';

/** What inspection costs: the same pages with every check and with none, by turns. */

/** Pages of a job, and how often each job runs. */
const pages = 3;
const times = 5;

/** Measures pages with all checks beside pages with none, and says what share of a page the inspection is. */
export async function measureInspection(folder: string): Promise<void> {
  const checked = join(folder, 'checked');
  const plain = join(folder, 'plain');
  for (const job of [checked, plain]) await writeBenchJob(job, { pages, inputPpi: 600, colourPpi: 300 });
  await leaveOutChecks(plain);
  const measured = { checked: [] as Measured[], plain: [] as Measured[] };
  for (let time = 0; time <= times; time++) {
    const [without, withAll] = [await anew(plain), await anew(checked)];
    // The first run of each warms the disk's cache.
    if (time === 0) continue;
    measured.plain.push(without);
    measured.checked.push(withAll);
  }
  const cpuOf = (runs: readonly Measured[]) => median(runs.map(({ cpuS }) => cpuS)) / pages;
  const [without, withAll] = [cpuOf(measured.plain), cpuOf(measured.checked)];
  const share = ((withAll - without) / withAll) * 100;
  console.log(`${pages} pages, medians of ${times} runs of each by turns, seconds of processor time a page`);
  console.log(`  without checks ${without.toFixed(2)}, with all ${withAll.toFixed(2)}`);
  console.log(`  inspection: ${share.toFixed(0)} % of a page`);
}

async function leaveOutChecks(job: string): Promise<void> {
  const path = join(job, 'job.yaml');
  await writeFile(path, withoutChecks(await readFile(path, 'utf8')));
}

/** The text of a job.yaml for measuring with every check left out. */
export function withoutChecks(text: string): string {
  const limits = limitRows.map(([name]) => `${name}: 0`).join(', ');
  return text.replace(/^( {2})press:/m, `  checks: { ${limits} }\n$1press:`);
}

async function anew(job: string): Promise<Measured> {
  await rm(join(job, '.platehand'), { recursive: true, force: true });
  return runPlatehand(job);
}
