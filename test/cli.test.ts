import { exec, execFile, spawnSync } from 'node:child_process';
import { mkdir, mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { buildProgram } from '../cli.js';
import { packageVersion, programPath } from '../config/package-root.js';
import { ownerTag } from '../pipeline/files/owner.js';
import type { Actions } from '../watch/commands/actions.js';
import { dropAll, openSmallIssue, type SmallIssue } from './helpers/small-issue.js';

/** Records what arrives instead of doing it. */
async function arrives(...words: string[]): Promise<unknown[]> {
  const calls: unknown[] = [];
  const note =
    (name: string) =>
    async (...values: unknown[]) => {
      calls.push(name, ...values);
    };
  const names = [
    'create',
    'check',
    'run',
    'proof',
    'round',
    'compare',
    'deliver',
    'verify',
    'status',
    'watch',
    'pause',
    'resume',
    'work',
    'workers',
  ];
  const recorder = Object.fromEntries(names.map((name) => [name, note(name)])) as unknown as Actions;
  await buildProgram(recorder).parseAsync(['node', 'platehand', ...words]);
  return calls;
}

describe('every option arrives', () => {
  test.each([
    ['new x', ['create', 'x', {}]],
    [
      'new x --issue AB1 --title T --pages 22 --json',
      ['create', 'x', { issue: 'AB1', title: 'T', pages: 22, json: true }],
    ],
    ['check', ['check', '.', {}]],
    [
      'check x --pages 3-5 --jobs 2 --report r.json --json',
      ['check', 'x', { pages: '3-5', jobs: 2, report: 'r.json', json: true }],
    ],
    [
      'run x --pages cover --only press --jobs 1 --json',
      ['run', 'x', { pages: 'cover', only: 'press', jobs: 1, json: true }],
    ],
    ['proof x --pages 1 --jobs 3 --json', ['proof', 'x', { pages: '1', jobs: 3, json: true }]],
    ['proof x --clean', ['proof', 'x', { clean: true }]],
    ['proof x --seen-as grey,tritanopia', ['proof', 'x', { seenAs: 'grey,tritanopia' }]],
    [
      'deliver x --partial --reason late --jobs 2 --json',
      ['deliver', 'x', { partial: true, reason: 'late', jobs: 2, json: true }],
    ],
    ['deliver x --pages 3,9 --date 2026-11-20', ['deliver', 'x', { pages: '3,9', date: '2026-11-20' }]],
    ['round x --jobs 2 --json', ['round', 'x', { jobs: 2, json: true }]],
    ['compare x --round 1 --pages 3,9', ['compare', 'x', { round: 1, pages: '3,9' }]],
    ['compare x --delivery 2 --jobs 1 --json', ['compare', 'x', { delivery: 2, jobs: 1, json: true }]],
    ['verify x.zip --json', ['verify', 'x.zip', { json: true }]],
    ['verify --against x.zip y.zip', ['verify', undefined, { against: ['x.zip', 'y.zip'] }]],
    ['status x --json', ['status', 'x', { json: true }]],
    ['watch x y', ['watch', ['x', 'y'], {}]],
    [
      'watch x --settle 0.5 --grace 10 --rescan 30 --poll 5 --jobs 2 --on-event ./tell --log-json',
      [
        'watch',
        ['x'],
        { settle: 0.5, grace: 10, rescan: 30, poll: 5, jobs: 2, onEvent: './tell', logJson: true },
      ],
    ],
    [
      'watch x --queue redis://h --store /s --cache /c',
      ['watch', ['x'], { queue: 'redis://h', store: '/s', cache: '/c' }],
    ],
    [
      'work --queue redis://h --store s3://b/p --cache /c --cache-size 5 --jobs 2 --claim 10 --log-json',
      [
        'work',
        {
          queue: 'redis://h',
          store: 's3://b/p',
          cache: '/c',
          cacheSize: 5,
          jobs: 2,
          claim: 10,
          logJson: true,
        },
      ],
    ],
    [
      'workers --queue redis://h --metrics 9464 --json',
      ['workers', { queue: 'redis://h', metrics: '9464', json: true }],
    ],
    ['pause --queue redis://h', ['pause', '.', { queue: 'redis://h' }]],
    ['resume --queue redis://h --json', ['resume', '.', { queue: 'redis://h', json: true }]],
    ['pause x --json', ['pause', 'x', { json: true }]],
    ['resume', ['resume', '.', {}]],
  ])('%s', async (words, expected) => {
    const calls = await arrives(...words.split(' '));
    expect(calls.slice(0, 3)).toEqual(expected);
  });

  test('every command has a help text with an example', () => {
    for (const command of buildProgram().commands) {
      let help = '';
      command.configureOutput({
        writeOut: (text) => {
          help += text;
        },
      });
      command.outputHelp();
      expect(help, command.name()).toMatch(/Example:\n {2}\$ platehand /);
      expect(command.description()).not.toBe('');
    }
  });
});

interface Ended {
  readonly code: number;
  readonly out: string;
  readonly err: string;
}

const cli = programPath('platehand');

/** Runs the compiled command line as people do. */
async function platehand(...words: string[]): Promise<Ended> {
  try {
    const { stdout, stderr } = await promisify(execFile)(process.execPath, [cli, ...words], {
      maxBuffer: 1e8,
    });
    return { code: 0, out: stdout, err: stderr };
  } catch (thrown) {
    const { code, stdout, stderr } = thrown as { code: number; stdout: string; stderr: string };
    return { code, out: stdout, err: stderr };
  }
}

describe('the command line', () => {
  let issue: SmallIssue;
  beforeAll(async () => {
    issue = await openSmallIssue();
    await dropAll(issue);
  });
  afterAll(() => issue.remove());

  test('says its version and, asked wrongly, exits with 2', async () => {
    expect((await platehand('--version')).out.trim()).toBe(packageVersion());
    expect((await platehand('weave')).code).toBe(2);
    expect((await platehand('run', issue.folder, '--only', 'gold')).code).toBe(2);
    expect((await platehand('run', issue.folder, '--jobs', '0')).err).toMatch(/whole number/);
    expect((await platehand('run', issue.folder, '--pages', '99')).err).toMatch(/no page of this issue/);
  });

  test('answers wrong use with one JSON object too, where JSON was asked for', async () => {
    for (const words of [
      ['run', '--bogus'],
      ['weave'],
      ['run', '--jobs', 'x'],
      ['new'],
      ['verify', 'no.zip'],
      ['verify'],
      ['deliver', issue.folder, '--date', '2026-02-30'],
    ]) {
      const { code, out } = await platehand(...words, '--json');
      expect(code, words.join(' ')).toBe(2);
      const { command, exitCode, error } = JSON.parse(out);
      expect([command, exitCode], words.join(' ')).toEqual([words[0], 2]);
      expect(error.what, words.join(' ')).not.toMatch(/ENOENT|^error/);
      expect(error.remedy, words.join(' ')).not.toBe('');
    }
  });

  test('says before any work that a report would have no place to go', async () => {
    const { code, out, err } = await platehand(
      'check',
      issue.folder,
      '--report',
      join(issue.folder, 'no', 'r.json'),
    );
    expect(code).toBe(2);
    expect(out).toBe('');
    expect(err).toMatch(/r\.json: The file could not be written/);
    expect(err).not.toMatch(/page 1/);
  });

  test('ends quietly when the reader of its output leaves early', async () => {
    const piped = `"${process.execPath}" "${cli}" check "${issue.folder}" --json | (exec <&-)`;
    const { stderr } = await promisify(exec)(piped);
    expect(stderr).not.toMatch(/EPIPE|at /);
  });

  test('refuses a folder without job.yaml and says how to make one', async () => {
    const folder = await mkdtemp(join(tmpdir(), 'no-job-'));
    try {
      const { code, err } = await platehand('run', folder);
      expect(code).toBe(2);
      expect(err).toMatch(/platehand new/);
    } finally {
      await rm(folder, { recursive: true });
    }
  });

  test('reports every mistake of a job.yaml at once, with lines', async () => {
    const folder = await mkdtemp(join(tmpdir(), 'bad-job-'));
    try {
      await writeFile(
        join(folder, 'job.yaml'),
        'issue: X1\ntitle: T\nunits: feet\nprint:\n  trim: [6]\npages: []\nsize: 3\n',
      );
      const { code, err } = await platehand('check', folder);
      expect(code).toBe(2);
      expect(err).toMatch(/job\.yaml:3:/);
      expect(err).toMatch(/job\.yaml:7:/);
      const json = JSON.parse((await platehand('check', folder, '--json')).out);
      expect(json).toMatchObject({ command: 'check', exitCode: 2, error: { code: 'job-invalid' } });
      expect(json.error.problems.length).toBeGreaterThanOrEqual(3);
    } finally {
      await rm(folder, { recursive: true });
    }
  });

  test('checks, runs in page processes, delivers and verifies', async () => {
    const report = join(issue.folder, 'report.json');
    const before = await platehand('status', issue.folder);
    expect(before.out).toMatch(/Delivery is blocked by pages cover, 1-3\./);
    const checked = await platehand('check', issue.folder, '--report', report);
    expect(checked.code).toBe(0);
    expect(JSON.parse(await readFile(report, 'utf8')).pages).toHaveLength(4);
    const run = await platehand('run', issue.folder, '--json');
    expect(JSON.parse(run.out)).toMatchObject({
      command: 'run',
      exitCode: 0,
      workedOn: ['cover', '1', '2', '3'],
    });
    expect(run.err).toMatch(/\[4\/4\] page/);
    const delivered = await platehand('deliver', issue.folder);
    expect(delivered.out).toMatch(/Delivered: delivery.QRY02-1\.zip/);
    expect(delivered.err).toMatch(/Nothing has changed/);
    const verified = await platehand('verify', join(issue.folder, 'delivery', 'QRY02-1.zip'), '--json');
    expect(JSON.parse(verified.out)).toMatchObject({ command: 'verify', ok: true });
    const status = await platehand('status', issue.folder);
    expect(status.out).toMatch(/Nothing blocks the delivery/);
  });

  test('clears away what an interrupted run left unfinished', async () => {
    const gone = spawnSync(process.execPath, ['-e', '']).pid;
    const page = join(issue.folder, '.platehand', 'results', 'QRY02_1');
    const machine = ownerTag.split('-')[0];
    const left = join(page, `.${'0'.repeat(64)}.${machine}-${gone}.1.part`);
    await mkdir(left, { recursive: true });
    await platehand('run', issue.folder);
    expect((await readdir(page)).filter((name) => name.endsWith('.part'))).toEqual([]);
  });

  test('says plainly that it cannot write into the job folder', async () => {
    const other = await openSmallIssue();
    try {
      await dropAll(other);
      // A file in the place of the folder stands for every disk that refuses, also where the superuser tests.
      await writeFile(join(other.folder, '.platehand'), '');
      for (const command of ['run', 'deliver']) {
        const { code, err } = await platehand(command, other.folder);
        expect([command, code]).toEqual([command, 2]);
        expect(err).toMatch(/\.platehand: The file could not be written: something else has that name\./);
        expect(err).not.toMatch(/unexpectedly|at async/);
      }
    } finally {
      await other.remove();
    }
  });

  test('refuses an incomplete issue with exit code 3, also as JSON', async () => {
    const other = await openSmallIssue();
    try {
      const { code, err } = await platehand('deliver', other.folder);
      expect(code).toBe(3);
      expect(err).toMatch(/page cover is missing/);
      const json = JSON.parse((await platehand('deliver', other.folder, '--json')).out);
      expect(json).toMatchObject({ exitCode: 3, error: { code: 'issue-incomplete' } });
      expect(json.error.blocking).toHaveLength(4);
      expect((await platehand('deliver', other.folder, '--partial')).code).toBe(2);
    } finally {
      await other.remove();
    }
  });
});
