import { createHash } from 'node:crypto';
import { stat } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { isDeepStrictEqual } from 'node:util';
import type { Job } from '../../config/job.js';
import { packageVersion } from '../../config/package-root.js';
import { readRegular } from '../../config/regular-file.js';
import { makeFolder, writeWhole } from '../files/atomic.js';
import { issueProducts } from '../outputs/issue-products.js';
import { comparisonsMark } from '../rounds/comparison-cache.js';
import { roundsMark } from '../rounds/round-record.js';
import { type ReportedIssue, reportData } from './report-data.js';

/** What is made of an issue as a whole where nothing is written. */
export const nothingWritten = { contactSheet: undefined, reportFile: undefined, issuePdfs: [] } as const;

/** What is remembered of the report's files: what they were made from, and how they stood when they were written. */
interface KnownReport {
  readonly key: string;
  /** By path in the job folder. */
  readonly files: Readonly<Record<string, WrittenFile>>;
}

interface WrittenFile {
  readonly bytes: number;
  readonly mtimeMs: number;
}

const { report: page, reportJson: json } = issueProducts;

/**
 * Writes report.html and report.json, unless they say the same already: of unchanged pages nothing is made, and neither file is read.
 * One that somebody has written to is made anew.
 * @returns path of report.html in the job folder
 * @throws PlatehandError `write-failed`
 */
export async function updateReport(job: Job, report: ReportedIssue): Promise<string> {
  const rounds = [await roundsMark(job.folder), await comparisonsMark(job.folder)] as const;
  const key = createHash('sha256').update(inShort(job, report)).update(`${rounds}`).digest('hex');
  const knownPath = join(job.folder, '.platehand', `${page.name}.json`);
  if (await isCurrent(job.folder, knownPath, key)) return page.path;
  const data = reportData(job, report, rounds[0] === '' ? new Map() : await knownChanges(job, report));
  const files: Record<string, WrittenFile> = {};
  for (const { path, make } of [page, json])
    files[path] = await written(join(job.folder, path), await make(data));
  const known: KnownReport = { key, files };
  await makeFolder(dirname(knownPath));
  await writeWhole(knownPath, Buffer.from(`${JSON.stringify(known)}\n`));
  return page.path;
}

/** Only what is known already is told: to measure takes time that a report has not. */
async function knownChanges(job: Job, { pages }: ReportedIssue) {
  const { changesSince } = await import('./changes-since.js');
  return changesSince(job, pages, false);
}

/**
 * All that the report says, in short, so that it is known at little cost that thousands of pages say the same: the key of a result
 * stands for its findings with their places. What other pages and versions add to these has no key, and is told by its words.
 */
function inShort(job: Job, { pages, unknown, contested }: ReportedIssue): string {
  const { issue, title, number, due, units, scenes } = job;
  const listed = job.pages.map(({ id, numbers, spec }) => [id, numbers, spec.trim, spec.bleedMm]);
  const reported = pages.map(
    ({ page: id, kind, scene, key, state, why, missing, files, outputs, findings, notes, acceptance }) => {
      const found = findings.map(({ code, severity, message, remedy, accepted }) => {
        return [code, severity, message, remedy, accepted];
      });
      return [
        id,
        kind,
        scene,
        key,
        state,
        why,
        missing,
        files.map(({ name }) => name),
        outputs.length,
        found,
        notes,
        acceptance,
      ];
    },
  );
  const made = [packageVersion(), page.revision, json.revision];
  return JSON.stringify([
    made,
    issue,
    title,
    number,
    due,
    units,
    scenes,
    listed,
    unknown,
    contested,
    reported,
  ]);
}

async function written(path: string, bytes: Uint8Array): Promise<WrittenFile> {
  await makeFolder(dirname(path));
  await writeWhole(path, bytes);
  return facts(path);
}

async function facts(path: string): Promise<WrittenFile> {
  const { size, mtimeMs } = await stat(path);
  return { bytes: size, mtimeMs };
}

async function isCurrent(jobFolder: string, knownPath: string, key: string): Promise<boolean> {
  try {
    const known = JSON.parse((await readRegular(knownPath)).toString('utf8')) as KnownReport;
    if (known.key !== key) return false;
    for (const { path } of [page, json]) {
      if (!isDeepStrictEqual(known.files[path], await facts(join(jobFolder, path)))) return false;
    }
    return true;
  } catch {
    return false;
  }
}
