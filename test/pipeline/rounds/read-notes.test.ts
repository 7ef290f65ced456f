import { execFileSync } from 'node:child_process';
import { mkdir, mkdtemp, rm, symlink, utimes, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { parseJob } from '../../../config/load-job.js';
import { NotesReader } from '../../../pipeline/rounds/read-notes.js';
import { smallHead } from '../../helpers/small-issue.js';

let folder: string;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'notes-'));
  await mkdir(join(folder, 'rounds', '1'), { recursive: true });
  const record = {
    format: 'platehand round 1',
    issue: 'QRY02',
    round: 1,
    frozenAt: '2026-11-28T22:00:00Z',
    pages: [],
  };
  await writeFile(join(folder, 'rounds', '1', 'round.json'), JSON.stringify(record));
});
afterEach(() => rm(folder, { recursive: true, force: true }));

const job = () => parseJob(`${smallHead}pages:\n  - pages: 1-2\n`, folder);
const put = (name: string | Buffer, content: string | Buffer) =>
  writeFile(Buffer.concat([Buffer.from(`${folder}/rounds/1/`), Buffer.from(name)]), content);

async function readAll() {
  const { pages, mistakes } = await new NotesReader().read(job());
  const notes = [...pages.values()].flatMap((page) => page.notes.map(({ name, text }) => `${name} ${text}`));
  return { notes, mistakes: mistakes.map(({ file, message }) => `${file}: ${message}`) };
}

test('files of several editors are read, in the letters of whatever program wrote them', async () => {
  const rows = 'page,note\r\n1,Größe\r\n';
  await put('notes.csv', `\uFEFF${rows}`);
  await put('notes-mara.csv', Buffer.from(`\uFEFF${rows}`, 'utf16le'));
  await put('notes-jörg.yaml', 'notes:\n  - page: 1\n    note: Größe\n');
  await put('notes (1).csv', Buffer.from(rows, 'latin1'));
  expect(await readAll()).toEqual({
    notes: ['r1-1 Größe', 'r1-1-1 Größe', 'r1-1-jörg Größe', 'r1-1-mara Größe'],
    mistakes: [
      'rounds/1/notes (1).csv: the file is not UTF-8; its letters were taken as those of Windows in western Europe',
    ],
  });
});

test('what is no notes file is told and waited for by nobody, and the others count', async () => {
  await put('notes-sound.csv', 'page,note\n2,fine\n');
  await put('notes-large.csv', 'x'.repeat(8 * 2 ** 20 + 1));
  await put('notes-nul.csv', 'page,note\n1,\0\n');
  await put('notes.xlsx', 'PK');
  await put(Buffer.from('notes-\xe4.csv', 'latin1'), 'page,note\n1,a\n');
  await symlink('notes-sound.csv', join(folder, 'rounds', '1', 'notes-link.csv'));
  execFileSync('mkfifo', [join(folder, 'rounds', '1', 'notes-pipe.csv')]);
  const { notes, mistakes } = await readAll();
  expect(notes).toEqual(['r1-2-sound fine']);
  expect(mistakes.sort()).toEqual([
    'rounds/1/notes-\\xe4.csv: the name of this file is not UTF-8',
    'rounds/1/notes-large.csv: the file has 8388609 bytes, more than the 8 MB that are read of notes',
    'rounds/1/notes-link.csv: this is a symbolic link, which is never followed',
    'rounds/1/notes-nul.csv: the file holds NUL characters, so it is no plain text',
    'rounds/1/notes-pipe.csv: this is not a file',
    'rounds/1/notes.xlsx: this form is not read',
  ]);
});

test('a damaged record of a round is told, and keeps nobody from working', async () => {
  await writeFile(join(folder, 'rounds', '1', 'round.json'), '{');
  const { notes, mistakes } = await readAll();
  expect(notes).toEqual([]);
  expect(mistakes[0]).toMatch(/^rounds\/1\/round\.json: /);
});

test('a reader that is asked again sees a file that was edited, and keeps what was not', async () => {
  const path = join(folder, 'rounds', '1', 'notes.csv');
  const reader = new NotesReader();
  const { pages: none } = await reader.read(job());
  expect(none.size).toBe(0);
  const sameJob = job();
  await put('notes.csv', 'page,note\n1,one\n');
  await reader.read(sameJob);
  expect(reader.of('1')?.notes.map(({ text }) => text)).toEqual(['one']);
  await put('notes.csv', 'page,note\n1,two\n');
  await utimes(path, new Date(0), new Date(0));
  await reader.read(sameJob);
  expect(reader.of('1')?.notes.map(({ text }) => text)).toEqual(['two']);
});
