import { rm } from 'node:fs/promises';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { writeBenchJob, writeBenchPage } from './bench-job.js';
import { runPlatehand } from './contenders.js';
import { type Measured, median } from './measure.js';

/** Pages of a usual issue. */
const pages = 24;
const times = 5;

/** Files younger than two seconds are read again on every run, because a clock's grain could hide a change. */
const grainMs = 2500;

/** Measures what a second run costs: nothing changed, one page changed, only the contact sheet gone. */
export async function measureAgain(folder: string): Promise<void> {
  const job = join(folder, 'again');
  // Half the resolution: what is measured here does not depend on the pages' size.
  await writeBenchJob(job, { pages, inputPpi: 300, colourPpi: 300 });
  await pause(grainMs);
  await runPlatehand(job);
  await runPlatehand(job);
  console.log(`${pages} pages, medians of ${times} runs`);
  say('nothing changed', await several(() => runPlatehand(job)));
  let seed = 1000;
  say(
    'one page changed (at 300 ppi), its contact sheet included',
    await several(async () => {
      await writeBenchPage(job, 7, 300, seed++);
      await pause(grainMs);
      return runPlatehand(job);
    }),
  );
  say(
    'contact sheet drawn again from kept thumbnails',
    await several(async () => {
      await rm(join(job, 'proofs', 'contact-sheet.png'));
      return runPlatehand(job);
    }),
  );
}

async function several(run: () => Promise<Measured>): Promise<Measured[]> {
  const measured: Measured[] = [];
  for (let time = 0; time < times; time++) measured.push(await run());
  return measured;
}

function say(what: string, measured: readonly Measured[]): void {
  const wall = median(measured.map(({ wallS }) => wallS)).toFixed(2);
  const cpu = median(measured.map(({ cpuS }) => cpuS)).toFixed(2);
  console.log(`  ${what}: ${wall} s wall, ${cpu} s CPU`);
}
