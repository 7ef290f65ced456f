import { join } from 'node:path';
import type { Job } from '../../config/job.js';
import type { PressChoice } from '../../config/print-spec.js';
import { worstOf } from '../model/findings.js';
import type { PageMark, RequestedSheetPage, SheetRequest } from '../model/sheet-request.js';
import { stripOf } from '../palette/common-palette.js';
import type { PageRun } from './page-run.js';
import { type PageReport, type PagesReport, summaryOf } from './report.js';
import { scenePalettes } from './story.js';
import { isAboutVersions } from './version-findings.js';

/** What of a page run the sheet is made from. */
export type SheetRun = Pick<PageRun, 'page'> & {
  /** Where its thumbnail is; undefined where it has none. */
  readonly stored: { readonly folder: string } | undefined;
};

/** What the contact sheet is to show. @param runs the pages of the report, in its order */
export function sheetRequest(job: Job, report: PagesReport, runs: readonly SheetRun[]): SheetRequest {
  const { issue, title, number, due, scenes } = job;
  return {
    issue,
    title,
    number,
    condition: conditionsOf(job, report),
    due,
    pages: report.pages.map((page, index) => sheetPage(job, page, runs[index])),
    scenes,
    summary: summaryOf({ counts: countsByMark(report) }),
    palettes: palettesOf(job, report),
  };
}

/** What stands beneath the pages of each scene. */
function palettesOf(job: Job, report: PagesReport): SheetRequest['palettes'] {
  if (job.scenes.length === 0) return {};
  const { scenes } = scenePalettes(job, report);
  return Object.fromEntries(scenes.map(({ scene, palette }) => [scene, stripOf(palette)]));
}

function sheetPage(job: Job, report: PageReport, run: SheetRun): RequestedSheetPage {
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
    state: markOf(report),
    note: markOf(report) === 'done' ? undefined : report.why,
    thumbnail: thumbnailOf(report, run),
  };
}

/** What only tells of a page's last version is no mark: the same pages give the same sheet, whatever was there before. */
function markOf({ state, findings }: PageReport): PageMark {
  if (state !== 'attention') return state;
  return worstOf(findings.filter((one) => !isAboutVersions(one))) === 'warn' ? 'attention' : 'done';
}

/** Pages by what the sheet shows of them: its first line says the same as its marks. */
function countsByMark({ counts, pages }: PagesReport): PagesReport['counts'] {
  const unmarked = pages.filter((page) => page.state === 'attention' && markOf(page) === 'done').length;
  return { ...counts, attention: counts.attention - unmarked, done: counts.done + unmarked };
}

function thumbnailOf({ outputs }: PageReport, { stored }: SheetRun): RequestedSheetPage['thumbnail'] {
  const output = outputs.find(({ product }) => product === 'thumbnail');
  if (output === undefined || stored === undefined) return undefined;
  return { sha256: output.sha256, path: join(stored.folder, output.name) };
}

/**
 * The press conditions of the issue, each once, with its ink limits where pages were separated for it. What the figures are is said of the
 * first: the line has room for three or four.
 */
function conditionsOf(job: Job, report: PagesReport): string {
  const limits = new Map<string, Set<number>>();
  for (const { condition } of report.pages) {
    if (condition === undefined) continue;
    const { id, inkLimitPercent } = condition;
    limits.set(id, (limits.get(id) ?? new Set()).add(inkLimitPercent));
  }
  if (limits.size === 0) return [...new Set(job.pages.map(({ spec }) => pressName(spec.press)))].join('; ');
  const words = [...limits].map(([id, own], at) => {
    return `${id}, ${at === 0 ? 'ink limit ' : ''}${[...own].join(' and ')} %`;
  });
  return words.join('; ');
}

function pressName(press: PressChoice): string {
  return press.kind === 'shipped' ? press.name : (press.path.split(/[\\/]/).at(-1) ?? press.path);
}
