import type { Job } from '../../config/job.js';
import type { PageReport } from '../issue/report.js';
import { isAboutVersions } from '../issue/version-findings.js';
import { bundlePathOf } from '../outputs/products.js';

/** What a delivery holds of a page, as far as it can be told apart from what another one held. */

/** A page as it was delivered. */
export interface DeliveredPage {
  readonly page: string;
  /** The files that it was made from. */
  readonly workingPages: readonly WorkingPage[];
  /** The files of the bundle that are its, with their path below data/ and hex SHA-256. */
  readonly files: readonly SummedFile[];
  /** What was to look at or was accepted, a line of text each: who prints reads it, so it counts as content. */
  readonly remarks: readonly string[];
}

/** A file that a page was made from. */
export interface WorkingPage {
  readonly name: string;
  readonly part: string;
  readonly version?: number | undefined;
  readonly sha256: string;
}

/** A file of a bundle. */
export interface SummedFile {
  readonly path: string;
  readonly sha256: string;
}

/** What of a finding makes a remark. */
interface Remarked {
  readonly code: string;
  readonly severity: string;
  readonly accepted?: string | undefined;
}

/** The page as it would be delivered now. */
export function deliveredPage(
  { page, used, outputs, findings }: PageReport,
  { delivery, pages }: Pick<Job, 'delivery' | 'pages'>,
): DeliveredPage {
  const workingPages = used.map(({ name, part, version, sha256 }) => ({ name, part, version, sha256 }));
  const files = outputs.flatMap((output) => {
    const path = bundlePathOf(output, delivery.files);
    return path === undefined ? [] : [{ path, sha256: output.sha256 }];
  });
  const isConfirmed = pages.find(({ id }) => id === page)?.spec.inkLimitConfirmed === true;
  const told = findings.filter((finding) => !isAboutVersions(finding));
  return { page, workingPages, files, remarks: remarksOf(told, isConfirmed) };
}

/** Notes are for the record and come and go with the program's versions; they are no remarks. That the printer has confirmed an ink limit is one. */
export function remarksOf(findings: readonly Remarked[], isLimitConfirmed: boolean): string[] {
  const counted = findings.filter(({ severity, accepted }) => severity !== 'note' || accepted !== undefined);
  const remarks = counted.map(({ code, accepted }) =>
    accepted === undefined ? code : `${code}: ${accepted}`,
  );
  return [...remarks, ...(isLimitConfirmed ? ['ink limit confirmed'] : [])].sort();
}

/** Whether who has one of them has the other. */
export function isSamePage(one: DeliveredPage, other: DeliveredPage): boolean {
  return hasSameFiles(one.files, other.files) && `${one.remarks}` === `${other.remarks}`;
}

/**
 * The same as far as both have the same files: which kinds of files go out may be another choice meanwhile. Without any file in common
 * the working pages tell.
 */
export function isSameInBoth(one: DeliveredPage, other: DeliveredPage): boolean {
  const common = (page: DeliveredPage, beside: DeliveredPage) => {
    const files = page.files.filter(({ path }) => beside.files.some((file) => file.path === path));
    return { ...page, files };
  };
  const [mine, yours] = [common(one, other), common(other, one)];
  const used = ({ workingPages }: DeliveredPage) => workingPages.map(({ sha256 }) => sha256).sort();
  return isSamePage(mine, yours) && (mine.files.length > 0 || `${used(one)}` === `${used(other)}`);
}

/** Whether two lists name the same files with the same bytes, in whatever order. */
export function hasSameFiles(one: readonly SummedFile[], other: readonly SummedFile[]): boolean {
  const inOrder = (files: readonly SummedFile[]) =>
    files.map(({ path, sha256 }) => `${sha256} ${path}`).sort();
  return inOrder(one).join('\n') === inOrder(other).join('\n');
}

/** What became of a page between two deliveries. */
export interface PageChange {
  readonly page: string;
  /** `new`, `changed`, `gone`; `remarks`: the files are the same, what is said about them is not. */
  readonly change: 'new' | 'changed' | 'gone' | 'remarks';
  /** As it was delivered before, and by which delivery; undefined for a new one. */
  readonly before: (DeliveredPage & { readonly delivery: string }) | undefined;
  /** As it is delivered now; undefined for one that is gone. */
  readonly now: DeliveredPage | undefined;
}

/** @returns what became of it; undefined where nothing did */
export function changeOf(
  before: PageChange['before'],
  now: DeliveredPage | undefined,
): PageChange | undefined {
  const page = now?.page ?? before?.page;
  if (page === undefined) return undefined;
  if (before === undefined) return { page, change: 'new', before, now };
  if (now === undefined) return { page, change: 'gone', before, now };
  if (isSamePage(before, now)) return undefined;
  return { page, change: hasSameFiles(before.files, now.files) ? 'remarks' : 'changed', before, now };
}

/**
 * Page ids as people write them: `page 3`, `pages cover, 1-3, 6-7`. Plain numbers that follow each other become one range;
 * spreads, whose id has a hyphen itself, stay by themselves.
 */
export function pagesWords(ids: readonly string[]): string {
  const runs: string[][] = [];
  for (const id of ids) {
    const last = runs.at(-1)?.at(-1) ?? '';
    const follows = /^\d+$/.test(last) && /^\d+$/.test(id) && Number(id) === Number(last) + 1;
    if (follows) runs.at(-1)?.push(id);
    else runs.push([id]);
  }
  const words = runs.flatMap((run) => (run.length > 2 ? [`${run[0]}-${run.at(-1)}`] : run));
  return `${ids.length === 1 ? 'page' : 'pages'} ${words.join(', ')}`;
}
