import { createHash } from 'node:crypto';
import { unlink } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import type { IssuePage, Job } from '../../config/job.js';
import { outputBaseName } from '../../config/job-file/naming.js';
import { packageVersion } from '../../config/package-root.js';
import { readRegular } from '../../config/regular-file.js';
import { visible } from '../../config/visible-text.js';
import { makeFolder, writeWhole } from '../files/atomic.js';
import { identityOf, sameIdentity } from '../files/file-identity.js';
import type { FileIdentity } from '../model/page-request.js';
import type { OutputFile } from '../model/page-result.js';
import { pageProducts } from '../outputs/products.js';
import { contentKey, stableJson } from '../page/page-key.js';
import { type IssuePdf, type IssuePdfPage, issuePdf } from '../pdf/issue-file.js';
import { localStore } from '../store/local-store.js';
import { type IssuePdfReport, isDeliverable, type PageReport } from './report.js';

/**
 * The PDF of all pages in reading order, put together from those of the pages. Pages that could not go out are left out. A PDF/X file
 * names one printing condition, so pages for another one, such as a cover on its own paper, make a file of their own.
 */

/** Raised whenever the same pages give other bytes. */
const revision = 1;

/** A PDF of many pages as it is to be. */
export interface IssuePdfPlan extends IssuePdfReport {
  /** Names what it is made from: the same key, the same bytes. */
  readonly key: string;
  readonly content: IssuePdf;
}

/** One page of it, with what it has to share with the others. */
interface PlannedPage extends IssuePdfPage {
  readonly page: IssuePage;
  readonly sha256: string;
  readonly condition: PageReport['condition'];
}

/**
 * What PDFs the issue should have of these pages: none where the job wants none.
 * @param reports of the pages, in reading order; those that cannot go out are passed over
 */
export function issuePdfPlans(job: Job, reports: readonly PageReport[]): IssuePdfPlan[] {
  if (!job.issuePdf) return [];
  const listed = new Map(job.pages.map((page) => [page.id, page]));
  const groups = new Map<string, PlannedPage[]>();
  for (const page of reports.flatMap((report) => pagesOf(job, listed.get(report.page), report))) {
    const name = `${page.condition?.profileSha256} ${page.page.spec.pdf}`;
    const group = groups.get(name) ?? [];
    group.push(page);
    groups.set(name, group);
  }
  const all = [...groups.values()];
  return all.map((pages) => planOf(job, pages, all));
}

/** The PDFs of a page in reading order: of a spread that is delivered both ways its single pages, as a press imposes them. */
function pagesOf(job: Job, page: IssuePage | undefined, report: PageReport): PlannedPage[] {
  if (page === undefined || !isDeliverable(report.state)) return [];
  const store = localStore(job.folder);
  const scene = job.scenes.find(({ id }) => id === page.scene)?.title;
  const pdfs = report.outputs.filter(({ product }) => product === 'pdf');
  const halves = pdfs.filter(({ half }) => half !== undefined);
  const inOrder = (one: OutputFile, other: OutputFile) => (one.half ?? 0) - (other.half ?? 0);
  return (halves.length > 0 ? halves.toSorted(inOrder) : pdfs).map(({ name, half, sha256 }) => ({
    ...{ page, sha256, scene, condition: report.condition },
    path: store.pathOf(outputBaseName(job, page), report.key, name),
    label: half === undefined ? page.id : String(half),
  }));
}

function planOf(
  job: Job,
  pages: readonly PlannedPage[],
  all: readonly (readonly PlannedPage[])[],
): IssuePdfPlan {
  const [{ page }] = pages;
  const form = page.spec.pdf;
  const number = job.number === undefined ? '' : `, number ${job.number}`;
  const title = visible(`${job.title}${number} (${job.issue})`);
  const path = `${pageProducts.pdf.folder}/${nameOf(job, pages, all)}.pdf`;
  const made = pages.map(({ sha256, label, scene }) => ({ sha256, label, scene }));
  const key = contentKey({ engine: packageVersion(), revision, form, title, made });
  const content = { form, title, pages: pages.map(({ path, label, scene }) => ({ path, label, scene })) };
  return { path, key, content, pages: [...new Set(pages.map((one) => one.page.id))] };
}

/** Which pages it holds: all of them, or those of one press condition, and of one form of PDF/X where even that is not enough. */
function nameOf(job: Job, pages: readonly PlannedPage[], all: readonly (readonly PlannedPage[])[]): string {
  if (all.length === 1) return `${job.issue}_all-pages`;
  const [{ page, condition }] = pages;
  const sameCondition = all.filter(([one]) => one.condition?.profileSha256 === condition?.profileSha256);
  const form = sameCondition.length > 1 ? `_${page.spec.pdf}` : '';
  return `${job.issue}_all-pages_${condition?.id}${form}`;
}

/**
 * Makes the PDFs of many pages, unless they stand in place already, and takes away those that no longer hold what the pages are.
 * @param reports of all pages
 * @param makes whether to make what is not there; otherwise only what no longer holds goes
 * @returns what stands in place now
 * @throws PlatehandError `write-failed`, `pdf-too-large`, `pdf-unreadable`
 */
export async function updateIssuePdfs(
  job: Job,
  reports: readonly PageReport[],
  makes = true,
): Promise<IssuePdfReport[]> {
  const known = await readKnown(job.folder);
  const plans = issuePdfPlans(job, reports);
  const now: KnownPdf[] = [];
  for (const plan of plans) {
    const stands = await standing(job.folder, plan, known);
    if (stands !== undefined) now.push(stands);
    else if (makes) now.push(await made(job.folder, plan));
  }
  for (const { path } of known) {
    if (!now.some((one) => one.path === path)) await unlink(join(job.folder, path)).catch(() => undefined);
  }
  if (stableJson(now) !== stableJson(known)) await writeKnown(job.folder, now);
  const stand = plans.filter(({ path }) => now.some((one) => one.path === path));
  return stand.map(({ path, pages }) => ({ path, pages }));
}

/** What is remembered of a PDF of many pages. */
interface KnownPdf {
  readonly path: string;
  readonly key: string;
  readonly sha256: string;
  /** As it was when it was written: a large file is not read only to see that nobody has changed it. */
  readonly seen: FileIdentity;
}

/** The PDF that stands in the job folder, if it is the one that is planned and nobody has written to it. */
export async function standingIssuePdf(
  jobFolder: string,
  plan: IssuePdfPlan,
): Promise<{ readonly sha256: string } | undefined> {
  return standing(jobFolder, plan, await readKnown(jobFolder));
}

async function standing(
  jobFolder: string,
  { path, key }: IssuePdfPlan,
  known: readonly KnownPdf[],
): Promise<KnownPdf | undefined> {
  const found = known.find((one) => one.path === path && one.key === key);
  const seen = await identityOf(join(jobFolder, path)).catch(() => undefined);
  return found !== undefined && seen !== undefined && sameIdentity(found.seen, seen) ? found : undefined;
}

async function made(jobFolder: string, plan: IssuePdfPlan): Promise<KnownPdf> {
  const to = join(jobFolder, plan.path);
  await makeFolder(dirname(to));
  const { sha256 } = await writeIssuePdf(plan, to);
  return { path: plan.path, key: plan.key, sha256, seen: await identityOf(to) };
}

/**
 * Writes the PDF, whole or not at all.
 * @param to its path
 * @returns its SHA-256
 * @throws PlatehandError `write-failed`, `pdf-too-large`, `pdf-unreadable`
 */
export async function writeIssuePdf(
  { content }: IssuePdfPlan,
  to: string,
): Promise<{ readonly sha256: string }> {
  const hash = createHash('sha256');
  const pieces = async function* () {
    for await (const piece of issuePdf(content, to)) {
      hash.update(piece);
      yield piece;
    }
  };
  await writeWhole(to, pieces());
  return { sha256: hash.digest('hex') };
}

/** A file in the folder of PDFs. */
const isOurs = new RegExp(`^${pageProducts.pdf.folder}/[^/\\\\]+\\.pdf$`);

const knownPath = (jobFolder: string) => join(jobFolder, '.platehand', 'issue-pdf.json');

async function readKnown(jobFolder: string): Promise<readonly KnownPdf[]> {
  try {
    const known: unknown = JSON.parse((await readRegular(knownPath(jobFolder))).toString('utf8'));
    if (!Array.isArray(known)) return [];
    // Whoever has written into it names no file elsewhere that we then take away.
    return (known as KnownPdf[]).filter(({ path }) => isOurs.test(path));
  } catch {
    // What is not remembered is made anew.
    return [];
  }
}

async function writeKnown(jobFolder: string, known: readonly KnownPdf[]): Promise<void> {
  const path = knownPath(jobFolder);
  await makeFolder(dirname(path));
  await writeWhole(path, Buffer.from(`${JSON.stringify(known)}\n`));
}
