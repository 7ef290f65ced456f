import { execFile } from 'node:child_process';
import { mkdtemp, readdir, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { parseArgs, promisify } from 'node:util';
import { readLedger } from '../../watch/daemon/ledger.js';
import { startDaemon } from '../helpers/daemon.js';
import { colourVariant, makeWatchedIssue, seededRandom } from './watched-issue.js';

/**
 * A day of a daemon in small: thousands of versions of small pages are dropped, one batch after the other, while memory
 * and open files of the daemon and its page processes are measured. Flat means that the last quarter of the run takes
 * no more than the second one, give or take a tenth. Linux only, since the figures come from /proc.
 *
 *   npm run soak -- --pages 3000 [--json]
 */
const { values } = parseArgs({
  options: { pages: { type: 'string', default: '3000' }, json: { type: 'boolean', default: false } },
});
const total = Number(values.pages);
const random = seededRandom(1);
const pageCount = 60;
const batch = 20;
/** Different pictures; which page has which changes all the time. */
const variantCount = 40;

interface Sample {
  readonly done: number;
  readonly daemonMb: number;
  readonly pagesMb: number;
  readonly daemonFiles: number;
  readonly pagesFiles: number;
}

const base = await mkdtemp(join(tmpdir(), 'soak-'));
const startMs = performance.now();
try {
  const issue = await makeWatchedIssue(join(base, 'watched'), pageCount);
  const variants = await Promise.all(
    Array.from({ length: variantCount }, (_, index) => colourVariant(index)),
  );
  const daemon = startDaemon(issue.folder, [
    '--settle',
    '0.1',
    '--grace',
    '2',
    '--rescan',
    '5',
    '--jobs',
    '2',
  ]);
  await daemon.event(({ kind }) => kind === 'started', 'the start');
  const pid = daemon.child.pid ?? 0;
  const samples: Sample[] = [];
  const showing = new Map<string, number>();
  let dropped = 0;
  while (dropped < total) {
    const chosen = new Set<string>();
    while (chosen.size < Math.min(batch, total - dropped)) {
      chosen.add(issue.pages[Math.floor(random() * pageCount)]);
    }
    for (const page of chosen) {
      // Going round, so that a page comes back to a variant only when its result is no longer kept.
      const variant = ((showing.get(page) ?? Number(page)) + 1) % variantCount;
      showing.set(page, variant);
      await issue.drop(page, variants[variant]);
    }
    dropped += chosen.size;
    while (made(daemon.events) < dropped) await pause(50);
    samples.push({ done: dropped, ...(await measure(pid)) });
    if (!values.json && samples.length % 10 === 0) process.stderr.write(`${rowOf(samples.at(-1))}\n`);
  }
  const code = await daemon.end('SIGTERM');
  const { damage, records } = await readLedger(issue.folder);
  const stopped = daemon.events.filter(({ kind }) => kind === 'page-stopped').length;
  const parts = (await readdir(issue.folder, { recursive: true })).filter((name) =>
    name.endsWith('.part'),
  ).length;
  report(samples, { code, stopped, parts, ledgerLines: records.length, ledgerErrors: damage.length });
} finally {
  await rm(base, { recursive: true, force: true, maxRetries: 5 });
}

function made(events: readonly { kind: string }[]): number {
  return events.filter(({ kind }) => kind === 'page-done').length;
}

async function measure(pid: number): Promise<Omit<Sample, 'done'>> {
  const listed = await promisify(execFile)('pgrep', ['-P', String(pid)]).catch(() => ({ stdout: '' }));
  const children = listed.stdout
    .split('\n')
    .filter((line) => line !== '')
    .map(Number);
  const own = await figuresOf(pid);
  const theirs = await Promise.all(children.map(figuresOf));
  const sum = (pick: (one: { mb: number; files: number }) => number) =>
    theirs.reduce((all, one) => all + pick(one), 0);
  return {
    daemonMb: own.mb,
    daemonFiles: own.files,
    pagesMb: sum(({ mb }) => mb),
    pagesFiles: sum(({ files }) => files),
  };
}

/** Resident memory in MB (VmRSS of /proc/<pid>/status, in kB) and open files. */
async function figuresOf(pid: number): Promise<{ mb: number; files: number }> {
  const status = await readFile(`/proc/${pid}/status`, 'utf8').catch(() => '');
  const kb = Number(/VmRSS:\s+(\d+)/.exec(status)?.[1] ?? 0);
  const files = await readdir(`/proc/${pid}/fd`).catch(() => []);
  return { mb: Math.round(kb / 1024), files: files.length };
}

function rowOf(sample: Sample | undefined): string {
  if (sample === undefined) return '';
  const { done, daemonMb, pagesMb, daemonFiles, pagesFiles } = sample;
  return `${done} pages: daemon ${daemonMb} MB, ${daemonFiles} files; page processes ${pagesMb} MB, ${pagesFiles} files`;
}

function median(numbers: readonly number[]): number {
  return [...numbers].sort((a, b) => a - b)[Math.floor(numbers.length / 2)] ?? 0;
}

function report(samples: readonly Sample[], end: Record<string, unknown>): void {
  const quarter = (index: number) =>
    samples.slice(Math.floor((samples.length * index) / 4), Math.floor((samples.length * (index + 1)) / 4));
  const middle = (part: readonly Sample[]): Sample => ({
    done: part.at(-1)?.done ?? 0,
    daemonMb: median(part.map(({ daemonMb }) => daemonMb)),
    pagesMb: median(part.map(({ pagesMb }) => pagesMb)),
    daemonFiles: median(part.map(({ daemonFiles }) => daemonFiles)),
    pagesFiles: median(part.map(({ pagesFiles }) => pagesFiles)),
  });
  const quarters = [0, 1, 2, 3].map((index) => middle(quarter(index)));
  const [, second, , last] = quarters;
  const isFlat = (pick: (one: Sample) => number) => pick(last) <= pick(second) * 1.1 + 1;
  const flat =
    isFlat(({ daemonMb }) => daemonMb) &&
    isFlat(({ pagesMb }) => pagesMb) &&
    isFlat(({ daemonFiles }) => daemonFiles) &&
    isFlat(({ pagesFiles }) => pagesFiles);
  const seconds = Math.round((performance.now() - startMs) / 1000);
  if (values.json)
    process.stdout.write(`${JSON.stringify({ pages: total, seconds, quarters, flat, ...end })}\n`);
  else {
    for (const one of quarters) process.stdout.write(`up to ${rowOf(one)} (medians)\n`);
    process.stdout.write(
      `${total} page versions in ${seconds} s, ${flat ? 'flat' : 'NOT FLAT'}; ${JSON.stringify(end)}\n`,
    );
  }
  process.exitCode = flat && end.code === 0 && end.ledgerErrors === 0 && end.parts === 0 ? 0 : 1;
}
