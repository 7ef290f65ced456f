import { fork } from 'node:child_process';
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { fuzzTargets } from './fuzz-targets.js';
import { type FuzzNews, type FuzzTask, serve } from './fuzz-worker.js';

/**
 * Coverage-guided fuzzing of the doors through which bytes of strangers come in: pictures, stack.xml, archives, job.yaml. Only a
 * PlatehandError may come out, within ten seconds and 1.5 GB.
 *
 *   npm run fuzz -- --minutes 10 --seed 1 [--only tiff,job] [--keep] [--json]
 *
 * --keep adds the smallest inputs that reach new code to test/bench/fuzz-corpus.txt, which the tests run through.
 */
const longestMs = 10_000;
/** A busy machine takes its time to start a process. */
const startMs = 60_000;
const mostMB = 1500;
const corpusPath = 'test/bench/fuzz-corpus.txt';
/** The corpus stays small: so many inputs of each door, of so many bytes. */
const [mostKept, mostKeptBytes] = [24, 600];

interface Outcome extends FuzzNews {
  /** How the process ended where it did not end by itself. */
  readonly broken?: string;
}

/** Fuzzes one door in a process of its own, so that whatever it does can be told. */
async function fuzz(task: FuzzTask): Promise<Outcome> {
  const child = fork(fileURLToPath(import.meta.url), ['--worker'], {
    stdio: ['ignore', 'ignore', 'inherit', 'ipc'],
  });
  let last: FuzzNews = { executions: 0, pieces: 0, peakMB: 0, faults: [] };
  let [progressMs, broken] = [performance.now() + startMs, undefined as string | undefined];
  child.on('message', (news: FuzzNews) => {
    if (news.executions > last.executions) progressMs = performance.now();
    last = news;
  });
  const watch = setInterval(() => {
    if (performance.now() - progressMs > longestMs) broken = `no answer in ${longestMs / 1000} s`;
    if (last.peakMB > mostMB) broken = `${last.peakMB} MB`;
    if (broken !== undefined) child.kill('SIGKILL');
  }, 200);
  child.send(task);
  const [code, signal] = await new Promise<[number | null, string | null]>((resolve) =>
    child.once('exit', (...end) => resolve(end)),
  );
  clearInterval(watch);
  if (broken === undefined && (code !== 0 || last.corpus === undefined))
    broken = `ended with ${signal ?? code}`;
  return broken === undefined ? last : { ...last, broken };
}

function readCorpus(): Map<string, string[]> {
  const lines = existsSync(corpusPath) ? readFileSync(corpusPath, 'utf8').split('\n') : [];
  const corpus = new Map(Object.keys(fuzzTargets).map((name) => [name, [] as string[]]));
  for (const line of lines) {
    const [name, input] = line.split(' ');
    if (input !== undefined) corpus.get(name)?.push(input);
  }
  return corpus;
}

function keep(corpus: ReadonlyMap<string, readonly string[]>): void {
  const isSmall = (input: string) => Buffer.from(input, 'base64').length <= mostKeptBytes;
  const lines = [...corpus].flatMap(([name, inputs]) =>
    inputs
      .filter(isSmall)
      .slice(0, mostKept)
      .map((input) => `${name} ${input}\n`),
  );
  writeFileSync(corpusPath, lines.join(''));
}

async function main(): Promise<void> {
  const { values } = parseArgs({
    options: {
      minutes: { type: 'string', default: '1' },
      seed: { type: 'string', default: '1' },
      only: { type: 'string', default: Object.keys(fuzzTargets).join() },
      keep: { type: 'boolean', default: false },
      json: { type: 'boolean', default: false },
    },
  });
  const names = values.only.split(',');
  const corpus = readCorpus();
  const sum = { executions: 0, crashes: 0, peakMB: 0 };
  for (const target of names) {
    const folder = await mkdtemp(join(tmpdir(), 'fuzz-'));
    const seconds = (Number(values.minutes) * 60) / names.length;
    const known = corpus.get(target) ?? [];
    const done = await fuzz({ target, seed: Number(values.seed), seconds, folder, corpus: known });
    const faults = done.faults.map(({ input, what }) => `${what}\n  input: ${input}`);
    if (done.broken !== undefined) {
      const current = await readFile(join(folder, 'current'), 'base64').catch(() => '');
      faults.push(`${done.broken}\n  input: ${current}`);
    }
    await rm(folder, { recursive: true, force: true });
    sum.executions += done.executions;
    sum.crashes += faults.length;
    sum.peakMB = Math.max(sum.peakMB, done.peakMB);
    corpus.set(target, [...(done.corpus ?? known)]);
    process.stderr.write(
      `${target}: ${done.executions} inputs, ${done.pieces} pieces of code, ${done.peakMB} MB\n`,
    );
    for (const fault of faults) process.stderr.write(`${target}: ${fault}\n`);
  }
  if (values.keep) keep(corpus);
  process.stdout.write(
    values.json
      ? `${JSON.stringify(sum)}\n`
      : `${sum.executions} inputs, ${sum.crashes} crashes, at most ${sum.peakMB} MB\n`,
  );
  process.exitCode = sum.crashes === 0 ? 0 : 1;
}

if (process.argv.includes('--worker')) serve();
else await main();
