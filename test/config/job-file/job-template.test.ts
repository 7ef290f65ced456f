import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { createJobFolder, jobFolders } from '../../../config/job-file/job-folder.js';
import { jobTemplate } from '../../../config/job-file/job-template.js';
import { loadJob, parseJob } from '../../../config/load-job.js';

/** Takes the # away from settings; explanations, which have one space after it, stay. */
function switchedOn(text: string, isWanted: (line: string) => boolean = () => true): string {
  return text
    .split('\n')
    .map((line) => (/^ *#(?! \S)/.test(line) && isWanted(line) ? line.replace('#', '') : line))
    .join('\n');
}

describe('the job.yaml of a new job', () => {
  it('loads without problems', () => {
    const job = parseJob(jobTemplate(), '/jobs/new');
    expect(job.pages.map((page) => page.id).slice(0, 3)).toEqual(['cover', '1', '2']);
    expect(job.pages).toHaveLength(23);
  });

  it.each([1, 2, 23, 102, 1000])(
    'loads for an issue of %i pages, also with every setting switched on',
    (pages) => {
      const plain = parseJob(jobTemplate({ pages }), '/jobs/new');
      expect(plain.pages.filter((page) => page.kind === 'interior')).toHaveLength(pages);
      const full = parseJob(switchedOn(jobTemplate({ pages })), '/jobs/new');
      expect(full).toMatchObject({
        number: 1,
        scenes: [{ id: 'harbour' }, { id: 'memory', setOff: true }],
        due: '2026-12-04T17:00:00+01:00',
      });
      expect(full.pages.filter((page) => page.kind === 'cover')).toHaveLength(4);
      expect(full).toMatchObject({
        codes: ['QLM03'],
        letters: { c: 'colour', k: 'line' },
        ignoreWords: ['moreau'],
      });
      expect(full.assignments.size).toBe(3);
      expect(full.pages.filter((page) => page.heldReason !== undefined)).toHaveLength(1);
    },
  );

  it('states the defaults that hold: switching its print settings on changes nothing but what the press condition suggests', () => {
    const text = jobTemplate();
    const end = text.split('\n').findIndex((line) => line.startsWith('#kinds'));
    const printText = text.split('\n').slice(0, end).join('\n');
    const rest = text.split('\n').slice(end).join('\n');
    const on = `${switchedOn(printText, (line) => line.startsWith('  #') && !/inkLimit|plateShiftMm/.test(line))}\n${rest}`;
    expect(on).toMatch(/^ {2}colourPpi: 300/m);
    expect(on).toMatch(/^ {2}support:/m);
    // That untagged colour is stated is the one thing that switching its default on says anew.
    const plain = parseJob(text, '/jobs/new').pages;
    const stated = plain.map((page) => ({ ...page, spec: { ...page.spec, untaggedStated: true } }));
    expect(parseJob(on, '/jobs/new').pages).toEqual(stated);
    expect(parseJob(on, '/jobs/new').naming).toBe(parseJob(text, '/jobs/new').naming);
    const { support } = parseJob(text, '/jobs/new').pages[0].spec;
    expect(text).toContain(`default ${support.chokeMm} mm`);
    expect(text).toContain(`${support.minWidthMm} mm) get none`);
  });

  it('carries issue and title whatever they contain', () => {
    const job = parseJob(jobTemplate({ issue: '007', title: 'Bells: "a # tale" & more' }), '/jobs/new');
    expect(job).toMatchObject({ issue: '007', title: 'Bells: "a # tale" & more' });
  });
});

describe('a new job folder', () => {
  let folder = '';
  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'job-template-'));
  });
  afterAll(async () => {
    await rm(folder, { recursive: true, force: true });
  });

  it('holds job.yaml and the folders, and can be loaded', async () => {
    const job = join(folder, 'deep', 'TDL03');
    expect(await createJobFolder(job, { issue: 'TDL03', title: 'Bells', pages: 8 })).toBe(
      join(job, 'job.yaml'),
    );
    expect((await readdir(job)).toSorted()).toEqual([...jobFolders, 'job.yaml'].toSorted());
    expect((await loadJob(job)).issue).toBe('TDL03');
  });

  it('never overwrites a job.yaml', async () => {
    const job = await mkdtemp(join(folder, 'old-'));
    await writeFile(join(job, 'job.yaml'), 'mine');
    await expect(createJobFolder(job)).rejects.toMatchObject({ code: 'folder-not-empty' });
    expect(await readFile(join(job, 'job.yaml'), 'utf8')).toBe('mine');
    expect(await readdir(job)).toEqual(['job.yaml']);
  });

  it('leaves other files alone', async () => {
    const job = await mkdtemp(join(folder, 'used-'));
    await writeFile(join(job, 'script.txt'), 'mine');
    await createJobFolder(job);
    expect(await readFile(join(job, 'script.txt'), 'utf8')).toBe('mine');
  });

  it.each([[{ issue: 'a b' }], [{ title: '' }], [{ pages: 0 }], [{ pages: 1.5 }], [{ pages: 5000 }]])(
    'is not made from %j',
    async (asked) => {
      await expect(createJobFolder(join(folder, 'bad'), asked)).rejects.toMatchObject({ code: 'wrong-use' });
      expect(await readdir(folder)).not.toContain('bad');
    },
  );

  it('cannot be made where a file stands', async () => {
    const path = join(folder, 'file');
    await writeFile(path, '');
    await expect(createJobFolder(path)).rejects.toMatchObject({ code: 'write-failed' });
  });
});
