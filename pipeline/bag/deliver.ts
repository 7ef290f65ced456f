import { join } from 'node:path';
import { exitCode, PlatehandError } from '../../config/errors.js';
import type { Job } from '../../config/job.js';
import { outputBaseName } from '../../config/job-file/naming.js';
import { makeFolder } from '../files/atomic.js';
import { type IssueReport, isDeliverable, type LeftOutPage, notDeliverable } from '../issue/report.js';
import { type RunOptions, runIssue } from '../issue/run-issue.js';
import { issueProducts } from '../outputs/issue-products.js';
import { bundlePathOf } from '../outputs/products.js';
import { localStore } from '../store/local-store.js';
import { type BundleFile, type BundleReport, writeBundle } from './bundle.js';
import { deliveryRecord, receiverNote } from './delivery-record.js';

/** What a delivery may be told. */
export interface DeliverOptions extends Pick<RunOptions, 'jobs' | 'onEvent' | 'runner' | 'signal'> {
  /** Delivers although pages are missing, contested, stopped or held; the reason goes into the bundle. */
  readonly partial?: { readonly reason: string };
}

/** What went out, and what did not. */
export interface Delivery {
  readonly report: IssueReport;
  readonly bundle: BundleReport;
  /** Path of the bundle in the job folder. */
  readonly path: string;
  /** Pages that are not in it, with why. */
  readonly leftOut: readonly LeftOutPage[];
}

/** The delivery was refused because the issue is not complete; carries what is open. */
export class IncompleteIssueError extends PlatehandError {
  readonly blocking: readonly LeftOutPage[];
  readonly report: IssueReport;

  constructor(report: IssueReport, blocking: readonly LeftOutPage[]) {
    const list = [
      ...blocking.map(({ page, state, why }) => `  page ${page} is ${state}: ${why}`),
      ...unusedLines(report),
    ].join('\n');
    const pages = blocking.length === 1 ? '1 page is' : `${blocking.length} pages are`;
    super(
      'issue-incomplete',
      `The issue is not complete, ${pages} not ready:\n${list}\nNothing was delivered`,
      'Settle these pages, or deliver without them: platehand deliver --partial --reason "why".',
      { exitCode: exitCode.incomplete },
    );
    this.blocking = blocking;
    this.report = report;
  }
}

/** Files that lie in incoming/ and belong to no page as they are: one of them may be what is missing. */
function unusedLines({ unknown, passedOver }: IssueReport): string[] {
  const told = [...unknown, ...passedOver].filter(({ remedy }) => remedy !== '');
  return told.map(({ name, rule }) => `  ${JSON.stringify(name)} is not used: ${rule}`);
}

/**
 * Runs the issue, then packs everything that may be printed into one verified bundle in delivery/.
 * @throws IncompleteIssueError (exit code 3) while a page of the list is not ready, unless `partial` gives a reason;
 *   PlatehandError `write-failed` when a page finds no room on the disk, `bundle-failed` when the bundle could not be written
 *   or does not verify
 */
export async function deliver(job: Job, options: DeliverOptions = {}): Promise<Delivery> {
  // Whatever somebody wrote into press/ by hand must not go out: those files share their bytes with the results.
  let sheet: Uint8Array | undefined;
  const onContactSheet = (png: Uint8Array) => {
    sheet = png;
  };
  const report = await runIssue(job, { ...options, thorough: true, onContactSheet });
  const leftOut = notDeliverable(report);
  refuseDiskFailure(report);
  if (leftOut.length > 0 && options.partial === undefined) throw new IncompleteIssueError(report, leftOut);
  const name = options.partial === undefined || leftOut.length === 0 ? job.issue : `${job.issue}-partial`;
  const path = join('delivery', `${name}.zip`);
  const reason = leftOut.length === 0 ? undefined : options.partial?.reason;
  await makeFolder(join(job.folder, 'delivery'));
  const bundle = await writeBundle(join(job.folder, path), {
    name,
    files: [...bundleFiles(job, report, leftOut, reason), ...sheetFile(sheet)],
    info: bagInfo(job, reason),
  });
  return { report, bundle, path, leftOut };
}

function bundleFiles(
  job: Job,
  report: IssueReport,
  leftOut: readonly LeftOutPage[],
  reason: string | undefined,
): BundleFile[] {
  const store = localStore(job.folder);
  const files: BundleFile[] = [];
  for (const [index, page] of report.pages.entries()) {
    if (!isDeliverable(page.state)) continue;
    if (!page.outputs.some(({ role }) => role === 'composite')) throw nothingToPrint(page.page);
    const baseName = outputBaseName(job, job.pages[index]);
    for (const output of page.outputs) {
      const path = bundlePathOf(output);
      if (path === undefined) continue;
      const file = store.pathOf(baseName, page.key, output.name);
      files.push({ path, source: { file }, sha256: output.sha256 });
    }
  }
  const record = deliveryRecord(job, report, leftOut, reason);
  files.push({
    path: 'delivery.json',
    source: { bytes: Buffer.from(`${JSON.stringify(record, null, 2)}\n`) },
  });
  files.push({ path: 'READ-ME.txt', source: { bytes: Buffer.from(receiverNote(job, leftOut, reason)) } });
  return files;
}

/** A disk that is full says nothing about the pages: to deliver without them would be no way out. */
function refuseDiskFailure({ pages }: IssueReport): void {
  const failed = pages.flatMap(({ findings }) => findings).find(({ code }) => code === 'write-failed');
  if (failed === undefined) return;
  const { message, remedy, page } = failed;
  throw new PlatehandError('write-failed', message, remedy, { place: page === undefined ? {} : { page } });
}

/** The contact sheet as it was when the pages were looked at: what a daemon draws meanwhile shows other pages. */
function sheetFile(png: Uint8Array | undefined): BundleFile[] {
  const path = issueProducts.contactSheet.bundlePath;
  return png === undefined || path === undefined ? [] : [{ path, source: { bytes: png } }];
}

/** A page that counts as ready always has its press file; if ever it has not, a bundle must not hide that. */
function nothingToPrint(page: string): PlatehandError {
  return new PlatehandError(
    'bundle-failed',
    'The page has no press file although it counts as ready, so nothing was delivered',
    'Remove the folder .platehand and run the pages again; if that does not help, report this as a fault.',
    { place: { page } },
  );
}

function bagInfo(job: Job, reason: string | undefined): [string, string][] {
  const info: [string, string][] = [
    ['External-Identifier', job.issue],
    ['External-Description', job.number === undefined ? job.title : `${job.title}, number ${job.number}`],
  ];
  if (reason !== undefined) info.push(['Internal-Sender-Description', `Partial delivery: ${reason}`]);
  return info;
}
