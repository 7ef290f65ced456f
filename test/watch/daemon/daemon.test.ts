import { execFile } from 'node:child_process';
import { chmod, readdir, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterEach, describe, expect, test } from 'vitest';
import { readLedger } from '../../../watch/daemon/ledger.js';
import { cliPath, quick, type RunningDaemon, sideBySide, startDaemon } from '../../helpers/daemon.js';
import { dropAll, openSmallIssue, type SmallIssue } from '../../helpers/small-issue.js';

let issue: SmallIssue;
const daemons: RunningDaemon[] = [];
afterEach(async () => {
  for (const daemon of daemons.splice(0)) await daemon.end('SIGKILL');
  await issue.remove();
});

async function start(options: readonly string[] = quick): Promise<RunningDaemon> {
  const daemon = startDaemon(issue.folder, options);
  daemons.push(daemon);
  await daemon.event(({ kind }) => kind === 'started', 'the start');
  return daemon;
}

async function platehand(...words: string[]): Promise<{ code: number; out: string; err: string }> {
  return promisify(execFile)(process.execPath, [cliPath, ...words]).then(
    ({ stdout, stderr }) => ({ code: 0, out: stdout, err: stderr }),
    ({ code, stdout, stderr }) => ({ code, out: stdout, err: stderr }),
  );
}

const isComplete = ({ kind }: { kind: string }) => kind === 'issue-complete';

/** Names that only unfinished work has. */
async function unfinished(): Promise<string[]> {
  const names = await readdir(issue.folder, { recursive: true });
  return names.filter((name) => name.endsWith('.part'));
}

describe('one daemon a folder', () => {
  test('a second one is refused and told who has it; run, deliver and status work beside it', async () => {
    issue = await openSmallIssue();
    const daemon = await start();
    const second = await platehand('watch', issue.folder);
    expect(second.code).toBe(2);
    expect(second.err).toMatch(new RegExp(`in use by platehand watch \\(process ${daemon.child.pid} on `));
    await dropAll(issue);
    const [run, delivered] = await Promise.all([
      platehand('run', issue.folder, '--json'),
      daemon.event(isComplete, 'the whole issue').then(() => platehand('deliver', issue.folder, '--json')),
    ]);
    expect([run.code, delivered.code]).toEqual([0, 0]);
    const status = await platehand('status', issue.folder, '--json');
    expect(JSON.parse(status.out)).toMatchObject({ daemon: { pid: daemon.child.pid }, blocking: [] });
    expect(await daemon.end()).toBe(0);
    const { records, damage } = await readLedger(issue.folder);
    expect(damage).toEqual([]);
    expect(records.map(({ seq }) => seq)).toEqual(records.map((_, index) => index + 1));
    const { sha256 } = JSON.parse(delivered.out).bundle;
    expect(records.find(({ kind }) => kind === 'delivered')).toMatchObject({
      sha256,
      file: 'delivery/QRY02-1.zip',
    });
    expect((await platehand('status', issue.folder)).out).toMatch(/No daemon watches this folder/);
  });
});

describe('the end and the beginning', () => {
  test('asked to end in mid-work it ends within five seconds with exit code 0, and goes on later', async () => {
    issue = await openSmallIssue();
    await dropAll(issue);
    const daemon = await start(sideBySide);
    await daemon.event(({ kind }) => kind === 'page-proofed', 'a first proof');
    const askedMs = performance.now();
    expect(await daemon.end('SIGTERM')).toBe(0);
    expect(performance.now() - askedMs).toBeLessThan(5000);
    expect(await unfinished()).toEqual([]);
    const next = await start();
    await next.event(isComplete, 'the whole issue');
    expect(await next.end('SIGINT')).toBe(0);
    const kinds = (await readLedger(issue.folder)).records.map(({ kind }) => kind);
    expect(kinds.filter((kind) => kind === 'started' || kind === 'stopped')).toEqual([
      'started',
      'stopped',
      'started',
      'stopped',
    ]);
    // What the first one did was not done or told again.
    expect(kinds.filter((kind) => kind === 'arrived')).toHaveLength(6);
    expect(kinds.filter((kind) => kind === 'result')).toHaveLength(8);
  });
});

describe('a program that people wire to it', () => {
  test('gets one JSON event on its standard input; one that fails is told of and harmless', async () => {
    issue = await openSmallIssue();
    const program = join(issue.folder, 'tell');
    const heard = join(issue.folder, 'heard.jsonl');
    await writeFile(
      program,
      `#!/bin/sh\ncat >> '${heard}'\ncase "$(tail -1 '${heard}')" in *complete*) echo no chat >&2; exit 3;; esac\n`,
    );
    await chmod(program, 0o755);
    await dropAll(issue);
    const daemon = await start([...quick, '--on-event', program]);
    await daemon.event(isComplete, 'the whole issue');
    const failed = await daemon.event(({ kind }) => kind === 'trouble', 'that the program failed');
    expect(failed.message).toMatch(/ended with exit code 3: no chat/);
    const events = (await readFile(heard, 'utf8'))
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line));
    expect(events.map(({ kind }) => kind)).toEqual([...Array(4).fill('page-proofed'), 'issue-complete']);
    expect(events[0]).toMatchObject({ issue: 'QRY02', folder: issue.folder, page: expect.any(String) });
    expect(await daemon.end()).toBe(0);
  });
});
