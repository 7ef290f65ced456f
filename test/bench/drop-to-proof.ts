import { mkdir, rename } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import type { WatchEvent } from '../../watch/daemon/watch-event.js';
import { timesOf } from '../../watch/daemon/watch-options.js';
import { startDaemon } from '../helpers/daemon.js';
import { partPaths, writeBenchJob, writeBenchPage } from './bench-job.js';
import { median } from './measure.js';

/** Versions of one page that are dropped one after the other. */
const drops = 8;
const page = 1;
/** Long enough for the contact sheet to be drawn and the daemon to be idle. */
const idleMs = 4000;

/**
 * Measures how long an editor waits: from the moment both parts of a page have been renamed into incoming/ until its
 * proof stands in proofs/, and until its press files do. The daemon is one with its usual times, in a process of its own.
 */
export async function measureDrops(folder: string, colourPpi: number): Promise<void> {
  const job = join(folder, 'watched');
  await writeBenchJob(job, { pages: 1, inputPpi: 600, colourPpi });
  const drawn = join(folder, 'drawn');
  await mkdir(join(drawn, 'incoming'), { recursive: true });
  const daemon = startDaemon(job, []);
  const proofed: number[] = [];
  const finished: number[] = [];
  try {
    await daemon.event(({ kind }) => kind === 'started', 'the start');
    await daemon.event(isProofed, 'the page that was there', 60_000);
    await daemon.event(isDone, 'its press files', 60_000);
    for (let drop = 0; drop < drops; drop++) {
      await writeBenchPage(drawn, page, 600, 100 + drop);
      await pause(idleMs);
      const { line, colour } = partPaths(drawn, page);
      for (const path of [line, colour]) await rename(path, join(job, 'incoming', basename(path)));
      const droppedMs = Date.now();
      const proof = await daemon.event(isProofed, 'the proof', 60_000);
      const done = await daemon.event(isDone, 'the press files', 60_000);
      proofed.push((Date.parse(proof.at) - droppedMs) / 1000);
      finished.push((Date.parse(done.at) - droppedMs) / 1000);
    }
  } finally {
    await daemon.end();
  }
  const settleS = timesOf({}).settleMs / 1000;
  console.log(
    `one page of 4350 x 6300, ${drops} versions dropped; files count as whole after ${settleS} s without a change`,
  );
  say('proof', proofed, settleS);
  say('press files', finished, settleS);
}

const isProofed = ({ kind }: WatchEvent) => kind === 'page-proofed';
const isDone = ({ kind }: WatchEvent) => kind === 'page-done';

function say(what: string, seconds: readonly number[], settleS: number): void {
  const wholeS = seconds.map((each) => each - settleS);
  const spread = `${Math.min(...wholeS).toFixed(2)} to ${Math.max(...wholeS).toFixed(2)}`;
  console.log(
    `  ${what}: ${median(wholeS).toFixed(2)} s after the files are whole (${spread}), ${median(seconds).toFixed(2)} s after the drop`,
  );
}
