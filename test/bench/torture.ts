import { spawn } from 'node:child_process';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { parseArgs } from 'node:util';
import sharp from 'sharp';
import { readLedger } from '../../watch/daemon/ledger.js';
import { cliPath, startDaemon } from '../helpers/daemon.js';
import {
  delivered,
  drawVariants,
  dropFinal,
  finalFiles,
  knownOutputs,
  platehand,
  undisturbed,
  variantCount,
} from './campaign-tools.js';
import { versionsCampaign } from './versions-campaign.js';
import { makeWatchedIssue, seededRandom, type WatchedIssue } from './watched-issue.js';
import { tortureWorkers } from './workers-campaign.js';

/**
 * Kills the daemon with SIGKILL at random moments over a running issue, and looks all the while whether a file under a
 * final name is anything but a whole, known result. At the end the issue is finished and delivered, and the bundle is
 * held against that of an issue that nobody disturbed.
 *
 *   npm run torture -- --kills 200 --seed 1 [--json]
 *
 * With --versions pages get good and wrong versions in turn instead (versions-campaign.ts):
 *
 *   npm run torture -- --versions --steps 60 --seed 1 [--json]
 *
 * With --workers pages go through a queue, and workers, daemon and Redis are killed in turn (workers-campaign.ts):
 *
 *   npm run torture -- --workers 3 --kills 100 --seed 1 [--json]
 */
const { values } = parseArgs({
  options: {
    kills: { type: 'string', default: '200' },
    seed: { type: 'string', default: '1' },
    json: { type: 'boolean', default: false },
    versions: { type: 'boolean', default: false },
    steps: { type: 'string', default: '60' },
    workers: { type: 'string' },
  },
});
if (values.versions) {
  await tortureVersions(Number(values.steps), Number(values.seed));
  process.exit();
}
const kills = Number(values.kills);
if (values.workers !== undefined) {
  const isSound = await tortureWorkers(Number(values.workers), kills, Number(values.seed), values.json);
  process.exit(isSound ? 0 : 1);
}
const random = seededRandom(Number(values.seed));

const pageCount = 8;
/** From a daemon that has hardly started to one that is through with what was dropped. */
const [shortestLifeMs, longestLifeMs] = [100, 3500];
const daemonOptions = ['--settle', '0.1', '--grace', '1', '--rescan', '3', '--jobs', '2'];

interface Counts {
  partialOutputs: number;
  filesChecked: number;
  ledgerErrors: number;
  tornLines: number;
}

const base = await mkdtemp(join(tmpdir(), 'torture-'));
const variants = await drawVariants();
const counts: Counts = { partialOutputs: 0, filesChecked: 0, ledgerErrors: 0, tornLines: 0 };
try {
  const known = await knownOutputs(base, variants, pageCount);
  const issue = await makeWatchedIssue(join(base, 'watched'), pageCount);
  for (const [index, page] of issue.pages.entries()) await issue.drop(page, variants[index % variantCount]);
  for (let kill = 1; kill <= kills; kill++) {
    await liveAndDie(issue, known);
    if (!values.json && kill % 20 === 0)
      process.stderr.write(`${kill} kills, ${counts.filesChecked} files looked at\n`);
  }
  const bundleIdentical = (await finish(issue)) === (await undisturbed(base, variants, pageCount));
  await checkOutputs(issue.folder, known);
  const { damage } = await readLedger(issue.folder);
  counts.ledgerErrors += damage.length;
  const { partialOutputs, ledgerErrors } = counts;
  if (values.json)
    process.stdout.write(`${JSON.stringify({ kills, partialOutputs, ledgerErrors, bundleIdentical })}\n`);
  else {
    process.stdout.write(
      `${kills} kills; ${counts.filesChecked} files looked at under their final names, ${partialOutputs} partial or unknown; ` +
        `${counts.tornLines} torn last lines repaired, ${ledgerErrors} other ledger errors; ` +
        `final bundle ${bundleIdentical ? 'identical to' : 'DIFFERENT from'} the undisturbed one\n`,
    );
  }
  process.exitCode = partialOutputs + ledgerErrors === 0 && bundleIdentical ? 0 : 1;
} finally {
  await rm(base, { recursive: true, force: true, maxRetries: 5 });
}

/** The campaign of versions, and what it comes to. */
async function tortureVersions(steps: number, seed: number): Promise<void> {
  const say = (text: string) => void (values.json || process.stderr.write(text));
  const { wrong, ...done } = await versionsCampaign(steps, seed, say);
  const { good, kills, deliveries, refused, filesChecked, faults } = done;
  if (values.json) process.stdout.write(`${JSON.stringify({ ...done, wrong })}\n`);
  else {
    const broken = Object.entries(wrong).map(([what, count]) => `${count} ${what}`);
    process.stdout.write(
      `${steps} steps; ${good} good versions, wrong ones: ${broken.join(', ')}; ${kills} kills; ` +
        `${deliveries} deliveries made, ${refused} refused; ${filesChecked} press files and plates looked at; ` +
        `${faults.length} things that should never be\n`,
    );
  }
  process.exitCode = faults.length === 0 ? 0 : 1;
}

async function liveAndDie(issue: WatchedIssue, known: ReadonlySet<string>): Promise<void> {
  const child = spawn(process.execPath, [cliPath, 'watch', issue.folder, ...daemonOptions], {
    stdio: 'ignore',
  });
  const dead = new Promise((resolve) => child.once('exit', resolve));
  const endMs = performance.now() + shortestLifeMs + random() * (longestLifeMs - shortestLifeMs);
  const drops = 1 + Math.floor(random() * 3);
  for (let i = 0; i < drops; i++) {
    const page = issue.pages[Math.floor(random() * pageCount)];
    await issue.drop(page, variants[Math.floor(random() * variantCount)]);
    await pause(random() * 60);
  }
  while (performance.now() < endMs) {
    await checkOutputs(issue.folder, known);
    await pause(Math.min(100, Math.max(0, endMs - performance.now())));
  }
  child.kill('SIGKILL');
  await dead;
  await checkOutputs(issue.folder, known);
  await checkLedger(issue.folder);
}

/** A last line may be torn until the next start repairs it; nothing else may be wrong. */
async function checkLedger(folder: string): Promise<void> {
  const { records, damage } = await readLedger(folder);
  const lines = records.length + damage.filter(({ what }) => what.includes('checksum')).length;
  for (const { line } of damage) {
    if (line === lines) counts.tornLines++;
    else counts.ledgerErrors++;
  }
}

async function checkOutputs(folder: string, known: ReadonlySet<string>): Promise<void> {
  for (const { path, sha256 } of await finalFiles(folder)) {
    counts.filesChecked++;
    if (known.has(`${path} ${sha256}`)) continue;
    counts.partialOutputs++;
    process.stderr.write(`not a known result: ${path}\n`);
  }
  // The sheet shows any mixture of states; it has to be a whole picture.
  const sheet = await readFile(join(folder, 'proofs', 'contact-sheet.png')).catch(() => undefined);
  if (sheet === undefined) return;
  counts.filesChecked++;
  const whole = await sharp(sheet, { failOn: 'warning' })
    .raw()
    .toBuffer()
    .catch(() => undefined);
  if (whole === undefined) counts.partialOutputs++;
}

/** Drops the final pages, lets a daemon finish them in peace, and delivers. @returns SHA-256 of the bundle */
async function finish(issue: WatchedIssue): Promise<string> {
  await dropFinal(issue, variants);
  const daemon = startDaemon(issue.folder, daemonOptions);
  const isDone = async () =>
    (await platehand('status', issue.folder)).includes('Nothing blocks the delivery');
  await daemon.event(({ kind }) => kind === 'started', 'the last start');
  for (let tries = 0; tries < 120 && !(await isDone()); tries++) await pause(500);
  await daemon.end('SIGTERM');
  return delivered(issue.folder);
}
