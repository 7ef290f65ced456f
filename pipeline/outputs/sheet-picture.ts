import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import type { Job } from '../../config/job.js';
import { drawContactSheet } from '../contact-sheet.js';
import { type IssueReport, type PageReport, type PageRun, summaryOf } from '../issue/report.js';
import type { PageArena } from '../kernels/page-arena.js';
import { worstOf } from '../model/findings.js';
import type { Raster } from '../model/raster.js';
import type { SheetPage } from '../sheets/sheet.js';
import { encodePicture } from '../write.js';

/** Pixels per inch stated in the contact sheet: its pages are about 20 mm wide on paper. Our own choice. */
const sheetPpi = 200;

type Report = Omit<IssueReport, 'contactSheet'>;

/** The contact sheet as a PNG, drawn from the pages' thumbnails; nothing of it stays in the arena. */
export async function sheetPicture(
  job: Job,
  report: Report,
  runs: readonly PageRun[],
  arena: PageArena,
): Promise<Buffer> {
  const pages = report.pages.map((page, index) => sheetPage(job, page, runs[index]));
  const shown = {
    issue: job.issue,
    title: job.title,
    number: job.number,
    condition: conditionsOf(job, report),
    due: job.due,
    pages: await Promise.all(pages),
    scenes: job.scenes,
    summary: summaryOf(report),
  };
  const sheet = await drawContactSheet(shown, {}, arena);
  return encodePicture(sheet, { ppi: sheetPpi, format: 'png' });
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
