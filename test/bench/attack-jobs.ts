import { rm, symlink, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { smallJob } from '../helpers/small-issue.js';
import type { AttackedIssue } from './attack-issue.js';
import { makePipe } from './attack-places.js';
import { mutated } from './fuzz-mutations.js';
import { fuzzTargets } from './fuzz-targets.js';

/** Job files that no editor writes. */

const limitMs = 30_000;
const job = (from: string | RegExp, to: string) => smallJob.replace(from, to);
const aliases = Array.from({ length: 20 }, (_, i) => `a${i + 1}: &a${i + 1} [${`*a${i},`.repeat(10)}]`).join(
  '\n',
);

/** Texts by what is hostile about them. */
export const jobFiles: Readonly<Record<string, () => string | Buffer>> = {
  'aliases of aliases': () => `a0: &a0 x\n${aliases}\n${smallJob}`,
  'merge keys': () => `${smallJob}base: &b\n  <<: *b\n`,
  'nested 20000 deep': () => `${smallJob}deep: ${'['.repeat(20_000)}\n`,
  'nested by indentation': () =>
    smallJob + Array.from({ length: 3000 }, (_, i) => `${' '.repeat(i)}a:`).join('\n'),
  '100 million pages': () => job('pages: 1-3', 'pages: 1-100000000'),
  'pages from the end of numbers': () => job('pages: 1-3', 'pages: 9007199254740990-9007199254740999'),
  '3000 page entries': () => smallJob + '  - page: x\n    kind: cover\n'.repeat(3000),
  'a page of astronomic size': () => job('[50, 70]', '[1e308, 1e308]'),
  'no size at all': () => job('[50, 70]', '[0, -0]'),
  'sizes that are no numbers': () => job('[50, 70]', '[.nan, .inf]'),
  'a billion pixels an inch': () => job('colourPpi: 100', 'colourPpi: 1000000000'),
  'hardly any pixels': () => job('colourPpi: 100', 'colourPpi: 1e-300'),
  'a title that a terminal obeys': () => job('The Quarry Bells', '"\\u001b]0;x\\u0007\\u009b2J\\u202e"'),
  'keys that a terminal obeys': () => `${smallJob}"\\u001b[2Jx\\u0085": 1\n`,
  'raw control characters': () => `${smallJob}\u001b[2J\u0001: \u0007\n`,
  'a code that leads out': () => job('QRY02', '../../outside/X'),
  'a naming that leads out': () => job('  bleed: 3', "  bleed: 3\n  naming: '../../outside/{page}'"),
  'a naming of one name': () => job('  bleed: 3', "  bleed: 3\n  naming: 'page'"),
  'a press that leads out': () => job('cgats-tr006', '../../outside/page.tif'),
  'a press that is a device': () => job('cgats-tr006', '/dev/zero'),
  'a press that is a pipe': () => job('cgats-tr006', 'press.icc'),
  'a press that is a folder': () => job('cgats-tr006', '.'),
  'a prototype': () =>
    `${smallJob}__proto__: { polluted: true }\nconstructor: { prototype: { polluted: true } }\n`,
  'a pattern that goes on for ever': () => `${smallJob}ignoreWords: ['${'a'.repeat(50_000)}!']\n`,
  'not UTF-8': () => Buffer.concat([Buffer.from(smallJob), Buffer.from([0xff, 0xfe, 0xe4])]),
  'UTF-16': () => Buffer.from(`\ufeff${smallJob}`, 'utf16le'),
  NUL: () => Buffer.alloc(10_000),
  'a megabyte of keys': () =>
    Buffer.from(Array.from({ length: 60_000 }, (_, i) => `key${i}: ${i}\n`).join('')),
  'a megabyte of one line': () => `title: "${'x'.repeat(1_000_000)}`,
  'a due day of the year 99999': () => job('2026-12-04T17', '99999-12-04T17'),
  empty: () => '',
};

/** Puts a job file in place and asks for everything that reads it. */
export async function jobFile(issue: AttackedIssue, name: string): Promise<void> {
  if (name.includes('pipe')) makePipe(join(issue.folder, 'press.icc'));
  await askWith(issue, jobFiles[name](), [['check'], ['status', '--json'], ['run', '--jobs', '1']]);
}

/** Job files that are a pipe or a device themselves. */
export const jobPlaces: Readonly<Record<string, (path: string) => Promise<void> | void>> = {
  'a pipe': makePipe,
  'a device': (path) => symlink('/dev/zero', path),
  'a folder above': (path) => symlink('..', path),
};

export async function jobPlace(issue: AttackedIssue, name: string): Promise<void> {
  const other = join(issue.folder, 'other');
  await issue.command(limitMs, ['new', other]);
  await rm(join(other, 'job.yaml'));
  await jobPlaces[name](join(other, 'job.yaml'));
  for (const command of ['check', 'status', 'run', 'deliver', 'watch'])
    await issue.command(limitMs, [command, other]);
}

async function askWith(
  issue: AttackedIssue,
  text: string | Buffer,
  commands: readonly (readonly string[])[],
): Promise<void> {
  await writeFile(join(issue.folder, 'job.yaml'), text);
  await issue.keepingInputs(async () => {
    for (const [command, ...more] of commands) await issue.platehand(limitMs, command, ...more);
  });
  await issue.check(false);
}

/** Changed copies of a sound job file. */
export async function changedJobs(issue: AttackedIssue, count: number, random: () => number): Promise<void> {
  const { words } = fuzzTargets.job;
  const text = Buffer.from(smallJob);
  for (let i = 0; i < count; i++)
    await askWith(issue, mutated(text, random, { words, other: text }), [['check']]);
}
