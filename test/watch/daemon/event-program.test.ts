import { execFile } from 'node:child_process';
import { chmod, mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { EventProgram } from '../../../watch/daemon/event-program.js';
import { eventLine, type WatchEvent } from '../../../watch/daemon/watch-event.js';
import { until } from '../../helpers/daemon.js';

let folder: string;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'event-program-'));
});
afterEach(() => rm(folder, { recursive: true }));

const event = (message: string): WatchEvent => ({
  at: '2026-11-20T12:00:00.000Z',
  kind: 'page-proofed',
  issue: 'QRY02',
  folder: '/jobs/qry02',
  page: '3',
  message,
});

async function program(script: string): Promise<string> {
  const path = join(folder, 'tell it');
  await writeFile(path, `#!/bin/sh\n${script}\n`);
  await chmod(path, 0o755);
  return path;
}

test('runs once for each event, one after the other, and no shell reads the event', async () => {
  const failures: string[] = [];
  const path = await program(`cat >> '${join(folder, 'heard')}'; sleep 0.05`);
  const runner = new EventProgram(path, { onFailure: (message) => failures.push(message) });
  const words = ['one', '$(touch oops); `id` "quoted" \' && rm -r', 'three'];
  for (const word of words) runner.send(event(word));
  const heard = () => readFile(join(folder, 'heard'), 'utf8').catch(() => '');
  await until(async () => (await heard()).split('\n').length === 4, 'three events');
  const lines = (await heard()).trim().split('\n');
  expect(lines.map((line) => JSON.parse(line).message)).toEqual(words);
  expect(failures).toEqual([]);
  await runner.close(1000);
});

test('one that hangs is ended when its time is up, with what it has started', async () => {
  const failures: string[] = [];
  const pipe = join(folder, 'pipe');
  await promisify(execFile)('mkfifo', [pipe]);
  // Whoever still lives has the pipe open.
  const path = await program(`exec 3> '${pipe}'; sleep 600 & echo both >&3; sleep 600`);
  const runner = new EventProgram(path, { timeLimitMs: 300, onFailure: (message) => failures.push(message) });
  runner.send(event('one'));
  expect(await readFile(pipe, 'utf8')).toBe('both\n');
  await until(() => failures.length === 1, 'the report');
  expect(failures[0]).toMatch(/took longer than 0\.3 s and was ended/);
});

test('one that leaves something running behind holds up no later event, and what it left is ended', async () => {
  const failures: string[] = [];
  // A pipe for each event: what is written between two readings of one pipe is lost.
  const pipes = ['1', '2'].map((number) => join(folder, `pipe${number}`));
  await promisify(execFile)('mkfifo', pipes);
  // What is left behind has the pipe open, and standard error as well.
  const path = await program(
    `echo done >> '${folder}/heard'; exec 3> "${folder}/pipe$(grep -c done '${folder}/heard')"; sleep 600 & echo left >&3`,
  );
  const runner = new EventProgram(path, { onFailure: (message) => failures.push(message) });
  runner.send(event('one'));
  runner.send(event('two'));
  // Reading ends only when all that had it open are ended.
  for (const pipe of pipes) expect(await readFile(pipe, 'utf8')).toBe('left\n');
  await runner.close(60_000);
  expect(await readFile(join(folder, 'heard'), 'utf8')).toBe('done\ndone\n');
  expect(failures).toEqual([]);
});

test('one that says why it fails is reported in its words, also where it leaves something behind', async () => {
  const failures: string[] = [];
  const path = await program('sleep 600 & echo "no such channel" >&2; exit 3');
  const runner = new EventProgram(path, { onFailure: (message) => failures.push(message) });
  runner.send(event('one'));
  await until(() => failures.length === 1, 'the report');
  expect(failures[0]).toMatch(/ended with exit code 3: no such channel$/);
});

test('one that is not there is reported, and the next event is tried again', async () => {
  const failures: string[] = [];
  const missing = join(folder, 'missing');
  const runner = new EventProgram(missing, { onFailure: (message) => failures.push(message) });
  runner.send(event('one'));
  runner.send(event('two'));
  await until(() => failures.length === 2, 'two reports');
  expect(failures[0]).toMatch(/could not be started: .*ENOENT/);
});

test('one that does not read its input does no harm', async () => {
  const failures: string[] = [];
  const runner = new EventProgram(await program(`exec 0<&-; touch '${join(folder, 'ran')}'`), {
    onFailure: (message) => failures.push(message),
  });
  runner.send(event('x'.repeat(300_000)));
  await until(async () => (await readdir(folder)).includes('ran'), 'that it ran');
  await runner.close(2000);
  expect(failures).toEqual([]);
});

test('an event is one line for people, in local time with its zone', () => {
  const line = eventLine(event('proofed\nand looked at'));
  expect(line).toMatch(/^2026-11-\d\dT\d\d:\d\d:\d\d[+-]\d\d:\d\d QRY02 page 3: proofed \| and looked at\n$/);
  expect(Date.parse(line.slice(0, 25))).toBe(Date.parse('2026-11-20T12:00:00Z'));
});
