import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { Job } from '../../config/job.js';
import { packageVersion } from '../../config/package-root.js';
import type { PressChoice } from '../../config/print-spec.js';
import { makeFolder, writeWhole } from '../files/atomic.js';
import { worstOf } from '../model/findings.js';
import type { PageMark, RequestedSheetPage, SheetRequest } from '../model/sheet-request.js';
import { stableJson } from '../page/page-key.js';
import type { DrawSheet } from '../runner/page-runner.js';
import type { PageRun } from './page-run.js';
import { type IssueReport, type PageReport, summaryOf } from './report.js';

/** Where the contact sheet stands in the job folder. */
const contactSheetPath = 'proofs/contact-sheet.png';

/** Raised whenever the sheet is drawn differently from the same pages. */
const sheetRevision = 1;

type Report = Omit<IssueReport, 'contactSheet'>;

/** Loaded only when there is something to draw: the image library takes longer to start than an unchanged issue. */
const drawHere: DrawSheet = async (sheet) => {
  const { sheetPicture } = await import('../outputs/sheet-picture.js');
  return sheetPicture(sheet);
};

/** The contact sheet as it was when it agreed with the report: a daemon may draw another at any time. */
export interface DrawnSheet {
  /** In the job folder. */
  readonly path: string;
  readonly png: Uint8Array;
}

/**
 * Draws the contact sheet from the pages' thumbnails, unless it shows the same already.
 * @param draw who draws it; default this process
 * @throws PlatehandError `write-failed`
 */
export async function updateContactSheet(
  job: Job,
  report: Report,
  runs: readonly PageRun[],
  draw: DrawSheet = drawHere,
): Promise<DrawnSheet> {
  const key = sheetKey(job, report);
  const current = await currentSheet(job.folder, key);
  if (current !== undefined) return { path: contactSheetPath, png: current };
  const png = await draw(sheetRequest(job, report, runs));
  await makeFolder(join(job.folder, 'proofs'));
  await writeWhole(join(job.folder, contactSheetPath), png);
  await rememberSheet(job.folder, { key, sha256: sha256Of(png) });
  return { path: contactSheetPath, png };
}

/** What the contact sheet is to show. @param runs the pages of the report, in its order */
export function sheetRequest(job: Job, report: Report, runs: readonly PageRun[]): SheetRequest {
  const { issue, title, number, due, scenes } = job;
  return {
    issue,
    title,
    number,
    condition: conditionsOf(job, report),
    due,
    pages: report.pages.map((page, index) => sheetPage(job, page, runs[index])),
    scenes,
    summary: summaryOf(report),
  };
}

function sheetPage(job: Job, report: PageReport, run: PageRun): RequestedSheetPage {
  const { id, scene, kind, numbers, spec } = run.page;
  return {
    id,
    label: id,
    scene,
    sceneTitle: job.scenes.find((one) => one.id === scene)?.title,
    kind,
    numbers,
    isSpread: numbers.length > 1,
    aspect: spec.trim.widthMm / spec.trim.heightMm,
    state: report.state === 'waiting' ? waitingMark(report, run) : report.state,
    note: report.state === 'done' ? undefined : report.why,
    thumbnailPath: thumbnailOf(report, run),
  };
}

/** A page that waits is blank, unless it has been proofed: then it is shown as its findings say. */
function waitingMark({ findings }: PageReport, { stored }: PageRun): PageMark {
  if (stored === undefined) return 'missing';
  return worstOf(findings) === 'warn' ? 'attention' : 'done';
}

function thumbnailOf({ outputs }: PageReport, { stored }: PageRun): string | undefined {
  const output = outputs.find(({ role }) => role === 'thumbnail');
  return output === undefined || stored === undefined ? undefined : join(stored.folder, output.name);
}

/** The press conditions of the issue, each with its ink limit where a page was separated for it. */
function conditionsOf(job: Job, report: Report): string {
  const made = report.pages.flatMap(({ condition }) => (condition === undefined ? [] : [condition]));
  const words = made.map(({ id, inkLimitPercent }) => `${id}, ink limit ${inkLimitPercent} %`);
  if (words.length === 0) words.push(...job.pages.map(({ spec }) => pressName(spec.press)));
  return [...new Set(words)].join('; ');
}

function pressName(press: PressChoice): string {
  return press.kind === 'shipped' ? press.name : (press.path.split(/[\\/]/).at(-1) ?? press.path);
}

/** Everything that the sheet shows, as one checksum. */
function sheetKey(job: Job, report: Report): string {
  const pages = report.pages.map(({ page, state, why, outputs }) => {
    const thumbnail = outputs.find(({ role }) => role === 'thumbnail');
    return { page, state, why, thumbnail: thumbnail?.sha256 };
  });
  const { issue, title, number, due, scenes, pages: list } = job;
  const shown = {
    engine: packageVersion(),
    revision: sheetRevision,
    issue,
    title,
    number,
    due,
    scenes,
    list,
    pages,
  };
  return createHash('sha256').update(stableJson(shown)).digest('hex');
}

interface KnownSheet {
  readonly key: string;
  readonly sha256: string;
}

const knownSheetPath = (jobFolder: string) => join(jobFolder, '.platehand', 'contact-sheet.json');

/** The sheet that stands in its place, if it shows what the key says and nobody has changed it. */
async function currentSheet(jobFolder: string, key: string): Promise<Uint8Array | undefined> {
  try {
    const known = JSON.parse(await readFile(knownSheetPath(jobFolder), 'utf8')) as KnownSheet;
    if (known.key !== key) return undefined;
    const png = await readFile(join(jobFolder, contactSheetPath));
    return known.sha256 === sha256Of(png) ? png : undefined;
  } catch {
    return undefined;
  }
}

function sha256Of(bytes: Uint8Array): string {
  return createHash('sha256').update(bytes).digest('hex');
}

async function rememberSheet(jobFolder: string, known: KnownSheet): Promise<void> {
  await makeFolder(join(jobFolder, '.platehand'));
  await writeWhole(knownSheetPath(jobFolder), Buffer.from(`${JSON.stringify(known)}\n`));
}
