import { join } from 'node:path';
import { dayIn, isCalendarDay } from '../../config/calendar-day.js';
import { PlatehandError } from '../../config/errors.js';
import type { Job } from '../../config/job.js';
import type { DeliveryKind } from '../../config/job-file/delivery-naming.js';
import { makeFolder } from '../files/atomic.js';
import { heldUp, mayGoOut } from '../issue/held-up.js';
import { type IssueReport, isDeliverable, type LeftOutPage, type PageReport } from '../issue/report.js';
import { type RunOptions, runIssue } from '../issue/run-issue.js';
import { type PageToLookAt, pagesToLookAt, passedDue } from '../issue/to-look-at.js';
import { withVersionsBefore } from '../issue/version-before.js';
import { sha256Of } from '../reading/hash-file.js';
import { NotesReader } from '../rounds/read-notes.js';
import { withLock } from '../store/lock.js';
import { type BundleReport, type PackBag, readBundle, writeBundle } from './bundle.js';
import { type DeliveredPdf, withDeliveredPdfs } from './delivered-pdfs.js';
import { deliveredReport } from './delivered-report.js';
import { type NamedDelivery, readDeliveryFacts } from './delivery-facts.js';
import { bagInfo, pageFiles, sheetFile, textFiles } from './delivery-files.js';
import {
  type DeliveryShelf,
  deliveryFolder,
  noteDelivered,
  noteNumber,
  type PastDelivery,
  readShelf,
  sourcesOf,
} from './delivery-shelf.js';
import { alreadyDelivered, deliveryFile, planDelivery } from './next-delivery.js';
import { type DeliveredPage, deliveredPage, isSameInBoth, type PageChange } from './page-content.js';
import { receiverFacts } from './receiver-facts.js';
import { receiverSheet } from './receiver-sheet.js';
import { IncompleteIssueError, nothingToSupplement, refuseDiskFailure } from './refusals.js';

/** What a delivery may be told. */
export interface DeliverOptions
  extends Pick<RunOptions, 'jobs' | 'pixelBudget' | 'onEvent' | 'runner' | 'signal'> {
  /** Who packs the bundle; default this process. */
  readonly pack?: PackBag | undefined;
  /** Delivers although pages are missing, contested, stopped or held; the reason goes into the bundle. Default refuse. */
  readonly partial?: { readonly reason: string };
  /**
   * Ids of corrected pages, to be packed as a supplement to what was delivered before; not together with `partial`. Default
   * the whole issue.
   */
  readonly pages?: readonly string[];
  /**
   * Ids of pages that go out in the version before where their newest cannot be printed; default none. Each then asks for a
   * look (`earlier-version`).
   */
  readonly earlier?: readonly string[];
  /** Day of delivery, `YYYY-MM-DD`, 1980 to 2107; default today, in the job's time zone. */
  readonly date?: string;
}

/** What went out, what it replaces, and what did not go out. */
export interface Delivery {
  readonly report: IssueReport;
  /** Whether a new one was made; otherwise the rest tells of the one that holds the same already. */
  readonly isNew: boolean;
  readonly number: number;
  /** Name of the bag, `TDL03-2`. */
  readonly name: string;
  readonly kind: DeliveryKind;
  /** Day of delivery, `YYYY-MM-DD`. */
  readonly date: string;
  readonly bundle: BundleReport;
  /** Path of the bundle in the job folder. */
  readonly path: string;
  /** The newest delivery before; undefined for the first one. */
  readonly since: NamedDelivery | undefined;
  /** What differs from what was delivered before; empty when nothing new was made. */
  readonly changes: readonly PageChange[];
  /** Deliveries of which nothing is to be used any more. */
  readonly replaces: readonly NamedDelivery[];
  /** The deliveries that a supplement goes together with, its base first. */
  readonly builtOn: readonly NamedDelivery[];
  /** Ids of the pages that are in it. */
  readonly pages: readonly string[];
  /** Pages that are not in it, with why. */
  readonly leftOut: readonly LeftOutPage[];
  /** Of a supplement: pages that are not in it although they have changed since they were delivered. */
  readonly alsoChanged: readonly string[];
  /** Pages in it that somebody should look at, with their gravest finding. */
  readonly toLookAt: readonly PageToLookAt[];
  /** The due time as job.yaml states it, where it has passed. */
  readonly passedDue: string | undefined;
}

/** How long a delivery waits for another one of the same folder: packing a large issue takes a minute or two. */
const lockWaitMs = 300_000;

/**
 * Runs the issue, then packs everything that may be printed into one verified bundle in delivery/, under the next number.
 * When the newest delivery holds the same already, none is made.
 * @throws IncompleteIssueError (exit code 3) while a page of the list is not ready, or not accepted where the job needs that, unless
 *   `partial` gives a reason, and for mistakes in notes files where it needs that;
 *   PlatehandError `wrong-use` for a date that is none, a page of `earlier` without a version before, a supplement without anything to supplement, or a partial
 *   supplement; `write-failed` when a page finds no room on the disk, `bundle-failed` when the bundle could not be written
 *   or does not verify
 */
export async function deliver(job: Job, options: DeliverOptions = {}): Promise<Delivery> {
  checkOptions(options);
  if (options.pages !== undefined && (await readShelf(job)).deliveries.length === 0)
    throw nothingToSupplement();
  // Whatever somebody wrote into press/ by hand must not go out: those files share their bytes with the results.
  let sheet: Uint8Array | undefined;
  const onContactSheet = (png: Uint8Array) => {
    sheet = png;
  };
  const found = await runIssue(job, { ...options, thorough: true, onContactSheet });
  refuseDiskFailure(found);
  const book = await new NotesReader().read(job);
  const report = { ...found, pages: await withVersionsBefore(job, found.pages, options.earlier ?? [], book) };
  const asked = report.pages.filter(({ page }) => options.pages?.includes(page) ?? true);
  const leftOut = heldUp(job, { pages: asked });
  const mistakes = job.delivery.needs === 'accepted' ? book.mistakes : [];
  const blocking = options.partial === undefined ? leftOut : [];
  if (blocking.length + mistakes.length > 0) {
    throw new IncompleteIssueError(report, blocking, options.pages !== undefined, mistakes);
  }
  const hasEarlier = report.pages.some((page, at) => page !== found.pages[at]);
  const kind = options.pages !== undefined ? 'supplement' : leftOut.length > 0 ? 'partial' : 'whole';
  // Both are for people who look at proofs, and of the whole issue.
  const hasReport = kind !== 'supplement' && job.delivery.files.includes('proofs');
  const order: Order = {
    ...{ report, kind, leftOut },
    pages: asked.filter((page) => mayGoOut(job, page)),
    date: options.date ?? dayIn(job.delivery.timeZone, Date.now()),
    reason: kind === 'partial' ? options.partial?.reason : undefined,
    // The sheet shows the newest versions: beside earlier ones it would say something else than the pages.
    sheet: hasReport && !hasEarlier ? sheet : undefined,
    hasReport,
    passedDue: passedDue(job, options.date ?? Date.now()),
    pack: options.pack,
  };
  await makeFolder(join(job.folder, deliveryFolder));
  const lockPath = join(job.folder, '.platehand', 'deliver.lock');
  // A supplement holds the pages that are named, not the issue.
  const inPdf = kind === 'supplement' || !job.delivery.files.includes('pdf') ? [] : order.pages;
  return withLock(lockPath, 'platehand deliver', lockWaitMs, () =>
    withDeliveredPdfs(job, inPdf, (pdfs) => packNext(job, order, pdfs)),
  );
}

function checkOptions({ date, pages, partial }: DeliverOptions): void {
  if (date !== undefined && !isCalendarDay(date)) {
    const remedy = 'Give year, month and day, for example 2026-11-20.';
    throw new PlatehandError('wrong-use', `"${date}" is not a day of the calendar`, remedy);
  }
  if (pages !== undefined && partial !== undefined) {
    const remedy =
      'Leave out one of the two: a supplement holds the pages that are named, and these have to be ready.';
    throw new PlatehandError('wrong-use', 'A supplement (--pages) cannot be partial', remedy);
  }
}

/** What is to be packed, once the pages are made. */
interface Order {
  readonly report: IssueReport;
  readonly kind: DeliveryKind;
  readonly date: string;
  /** The pages that go out. */
  readonly pages: readonly PageReport[];
  readonly leftOut: readonly LeftOutPage[];
  readonly reason: string | undefined;
  readonly sheet: Uint8Array | undefined;
  /** Whether the report goes with it. */
  readonly hasReport: boolean;
  readonly passedDue: string | undefined;
  readonly pack: PackBag | undefined;
}

/** Call it under the lock of deliveries: nobody else gives out a number meanwhile. */
async function packNext(job: Job, order: Order, pdfs: readonly DeliveredPdf[]): Promise<Delivery> {
  const shelf = await readShelf(job);
  const { kind, date, pages, report } = order;
  const sheet = sheetFile(order.sheet);
  const reportFiles = order.hasReport ? await deliveredReport(job, report) : [];
  const sheets = sheet.map(({ path, source }) => ({ path, sha256: sha256Of(source.bytes) }));
  const summed = [...reportFiles, ...pdfs].map(({ path, sha256 }) => ({ path, sha256 }));
  const others = [...sheets, ...summed];
  const wish = { kind, date, pages: pages.map((page) => deliveredPage(page, job)), others };
  const told = {
    ...{ report, leftOut: order.leftOut, toLookAt: pagesToLookAt({ pages }), passedDue: order.passedDue },
    pages: pages.map(({ page }) => page),
    alsoChanged: kind === 'supplement' ? changedSince(job, shelf, report, wish.pages) : [],
  };
  const same = await wholeOnDisk(job, alreadyDelivered(shelf, wish));
  if (same !== undefined) return { ...told, ...same };
  const plan = planDelivery(job, shelf, wish);
  const news = { ...told, reason: order.reason };
  const facts = receiverFacts(job, plan, news, pages);
  const path = deliveryFile(plan);
  const content = {
    name: plan.name,
    day: date,
    files: [
      ...[...pageFiles(job, pages), ...textFiles(job, plan, news, pages, facts)],
      ...[...sheet, ...reportFiles, ...pdfs],
    ],
    sheet: (manifestSha256: string) => receiverSheet(facts, manifestSha256),
    info: bagInfo(job, plan, order.reason),
  };
  const bundle = await writeBundle(join(job.folder, path), content, {
    pack: order.pack,
    beforeNaming: () => noteNumber(job.folder, shelf, plan.number),
  });
  const made = await readDeliveryFacts(join(job.folder, path));
  if (made !== undefined) await noteDelivered(job.folder, shelf, made);
  const { number, name, since, changes, replaces, builtOn } = plan;
  return {
    ...told,
    ...{ isNew: true, number, name, kind, date, bundle, path },
    ...{ since, changes, replaces, builtOn },
  };
}

/** The delivery as one that need not be made again; undefined where its file is gone or no longer whole. */
async function wholeOnDisk(job: Job, same: PastDelivery | undefined) {
  if (same?.file === undefined || same.number === null) return undefined;
  const bundle = await readBundle(join(job.folder, same.file));
  if (!bundle.verified.ok) return undefined;
  const { number, name, kind, date, replaces, builtOn, file } = same;
  const about = { number, name, kind, date: date ?? '', replaces, builtOn, path: file };
  return { ...about, isNew: false, bundle, since: undefined, changes: [] };
}

/** Pages that have changed since they were delivered, and are not among those that go out. */
function changedSince(
  job: Job,
  shelf: DeliveryShelf,
  report: IssueReport,
  sent: readonly DeliveredPage[],
): string[] {
  const sources = sourcesOf(shelf.deliveries);
  const others = report.pages.filter(({ page }) => !sent.some((one) => one.page === page));
  const isChanged = (page: PageReport) => {
    // Nobody asked for it, so a newer version of it was not worked on.
    if (!isDeliverable(page.state)) return page.state === 'ready';
    const before = sources.get(page.page);
    return before === undefined || !isSameInBoth(before.page, deliveredPage(page, job));
  };
  return others.filter(isChanged).map(({ page }) => page);
}
