import { createHash } from 'node:crypto';
import { mkdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import type { Job } from '../../config/job.js';
import { packageVersion } from '../../config/package-root.js';
import { drawContactSheet } from '../contact-sheet.js';
import { writeWhole } from '../files/atomic.js';
import { worstOf } from '../findings.js';
import type { Raster } from '../raster.js';
import { hashFile } from '../reading/hash-file.js';
import { type IssueReport, type PageReport, type PageRun, summaryOf } from '../report/issue-report.js';
import type { SheetPage } from '../sheets/sheet.js';
import { encodePicture } from '../write.js';
import { stableJson } from './page-key.js';

/** Where the contact sheet stands in the job folder. */
export const contactSheetPath = 'proofs/contact-sheet.png';

/** Pixels per inch stated in the contact sheet: its pages are about 20 mm wide on paper. Our own choice. */
const sheetPpi = 200;

/** Raised whenever the sheet is drawn differently from the same pages. */
const sheetRevision = 1;

type Report = Omit<IssueReport, 'contactSheet'>;

/**
 * Draws the contact sheet from the pages' thumbnails, unless it shows the same already.
 * @returns its path in the job folder
 * @throws PlatehandError `write-failed`
 */
export async function updateContactSheet(
  job: Job,
  report: Report,
  runs: readonly PageRun[],
): Promise<string> {
  const key = sheetKey(job, report);
  if (await isCurrent(job.folder, key)) return contactSheetPath;
  const pages: SheetPage[] = [];
  for (const [index, page] of report.pages.entries()) pages.push(await sheetPage(job, page, runs[index]));
  const sheet = await drawContactSheet({
    issue: job.issue,
    title: job.title,
    number: job.number,
    condition: conditionsOf(job, report),
    due: job.due,
    pages,
    scenes: job.scenes,
    summary: summaryOf(report),
  });
  const png = await encodePicture(sheet, { ppi: sheetPpi, format: 'png' });
  await mkdir(join(job.folder, 'proofs'), { recursive: true });
  await writeWhole(join(job.folder, contactSheetPath), png);
  await rememberSheet(job.folder, key);
  return contactSheetPath;
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

async function isCurrent(jobFolder: string, key: string): Promise<boolean> {
  try {
    const known = JSON.parse(await readFile(knownSheetPath(jobFolder), 'utf8')) as KnownSheet;
    return known.key === key && known.sha256 === (await hashFile(join(jobFolder, contactSheetPath))).sha256;
  } catch {
    return false;
  }
}

async function rememberSheet(jobFolder: string, key: string): Promise<void> {
  const { sha256 } = await hashFile(join(jobFolder, contactSheetPath));
  const known: KnownSheet = { key, sha256 };
  await mkdir(join(jobFolder, '.platehand'), { recursive: true });
  await writeWhole(knownSheetPath(jobFolder), Buffer.from(`${JSON.stringify(known)}\n`));
}

async function sheetPage(job: Job, report: PageReport, run: PageRun): Promise<SheetPage> {
  const { page } = run;
  const { trim } = page.spec;
  return {
    id: page.id,
    label: page.id,
    scene: page.scene,
    sceneTitle: job.scenes.find(({ id }) => id === page.scene)?.title,
    kind: page.kind,
    numbers: page.numbers,
    isSpread: page.numbers.length > 1,
    aspect: trim.widthMm / trim.heightMm,
    thumbnail: await thumbnailFor(report, run),
    state: report.state === 'waiting' ? waitingMark(report, run) : report.state,
    note: report.state === 'done' ? undefined : report.why,
  };
}

/** A page that waits is blank, unless it has been proofed: then it is shown as its findings say. */
function waitingMark({ findings }: PageReport, { stored }: PageRun): SheetPage['state'] {
  if (stored === undefined) return 'missing';
  return worstOf(findings) === 'warn' ? 'attention' : 'done';
}

async function thumbnailFor(report: PageReport, run: PageRun): Promise<Raster | undefined> {
  const output = report.outputs.find(({ role }) => role === 'thumbnail');
  if (output === undefined || run.stored === undefined) return undefined;
  // Read as bytes: the image library remembers files by path, and a result may have been made anew.
  const png = await readFile(join(run.stored.folder, output.name));
  const { data, info } = await sharp(png).removeAlpha().raw().toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, model: 'rgb', alpha: false, data: new Uint8Array(data) };
}

/** The press conditions of the issue, each with its ink limit where a page was separated for it. */
function conditionsOf(job: Job, report: Report): string {
  const made = report.pages.flatMap(({ condition }) => (condition === undefined ? [] : [condition]));
  const words = made.map(({ id, inkLimitPercent }) => `${id}, ink limit ${inkLimitPercent} %`);
  if (words.length === 0) words.push(...job.pages.map(({ spec }) => pressName(spec.press)));
  return [...new Set(words)].join('; ');
}

function pressName(press: Job['pages'][number]['spec']['press']): string {
  return press.kind === 'shipped' ? press.name : (press.path.split(/[\\/]/).at(-1) ?? press.path);
}
