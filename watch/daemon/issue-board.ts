import { createHash } from 'node:crypto';
import { join } from 'node:path';
import { PlatehandError } from '../../config/errors.js';
import type { IssuePage, Job } from '../../config/job.js';
import { allBesideLastGood, besideLastGood } from '../../pipeline/issue/last-good.js';
import { failureOf } from '../../pipeline/issue/make-page.js';
import { matchListing, unsurePages } from '../../pipeline/issue/match-issue.js';
import { lookAtEach, type PageRun, pageRun, withFailure, withStored } from '../../pipeline/issue/page-run.js';
import { isAboutFile, planPage } from '../../pipeline/issue/plan.js';
import { openPlanCaches, type PlanCaches } from '../../pipeline/issue/plan-caches.js';
import { type IssueReport, isDeliverable, type PagesReport, reportOf } from '../../pipeline/issue/report.js';
import { isWrongVersion } from '../../pipeline/issue/version-findings.js';
import type { Finding } from '../../pipeline/model/findings.js';
import { productNames } from '../../pipeline/model/page-result.js';
import type { LeftOutFile, PageMatch, Reconciliation } from '../../pipeline/model/reconciliation.js';
import { type PlacedFiles, readPlaced } from '../../pipeline/store/placed.js';
import type { StoredResult } from '../../pipeline/store/result-store.js';
import { FolderListing, plannedFrom, SettledPlans } from './look-memory.js';
import { type FileStage, SettlingTable, type SettlingTimes } from './settling.js';

/** A failure of a page's work holds for the key it happened with. */
interface KnownFailure {
  readonly key: string;
  readonly finding: Finding;
}

/** How thorough a look is. */
interface Look {
  /** Pages that have nothing to do are looked for in the store too, in case somebody has been at it. */
  readonly isFull: boolean;
  /** Names of the files that may have changed since the last look; undefined where it may be any. */
  readonly touched?: ReadonlySet<string> | undefined;
  /** Whether nobody waits for it any more: then the pages left stay as they are. Default never. */
  readonly isOver?: () => boolean;
}

/** Where an issue stands as the daemon knows it: its files, its pages, and what there is to do. */
export class IssueBoard {
  readonly table: SettlingTable;
  reconciliation: Reconciliation | undefined;
  runs: readonly PageRun[] = [];
  /** Ids of pages of which a file is still on its way, or out of sight: they stay as they are until it is whole. */
  arriving: ReadonlySet<string> = new Set();
  /** Folders and files of incoming/ that cannot be looked at just now, with the reason. */
  hidden: readonly LeftOutFile[] = [];
  /** Ids of pages of which a file cannot be looked at. */
  private outOfSight: ReadonlySet<string> = new Set();
  /** The newest plan of each page, which during a look is ahead of `runs`. */
  private readonly current = new Map<string, PageRun>();
  private readonly failures = new Map<string, KnownFailure>();
  private readonly settled = new SettledPlans();
  private readonly listing = new FolderListing();
  /** Results that came in during a look, which may have planned the page before. */
  private readonly fresh = new Map<string, StoredResult>();

  private constructor(
    public job: Job,
    times: SettlingTimes,
    readonly caches: PlanCaches,
  ) {
    this.table = new SettlingTable(times);
  }

  static async open(job: Job, times: SettlingTimes): Promise<IssueBoard> {
    return new IssueBoard(job, times, await openPlanCaches(job.folder));
  }

  /**
   * Looks at incoming/ and plans every page whose files are whole.
   * @param onPage is told of each page as soon as it is planned, so that its work need not wait for the others
   * @param how thorough the look is; default a full one
   * @throws PlatehandError when incoming/ or a profile cannot be read
   */
  async look(onPage: (run: PageRun) => void, how: Look = { isFull: true }): Promise<void> {
    const { job, table } = this;
    this.fresh.clear();
    this.settled.begin(job, how.isFull);
    const listing = await this.listing.list(join(job.folder, 'incoming'), table.unsettled(), how.touched);
    const hidden = listing.hidden.map(({ name }) => name);
    table.look(listing.files, hidden);
    const files = { ...listing, files: table.files() };
    const reconciliation = await matchListing(job, files, this.caches.looks);
    const moving = this.pagesWith(reconciliation, (stage) => stage !== 'whole' && stage !== 'hidden');
    const outOfSight = hidden.length === 0 ? new Set<string>() : await this.pagesOutOfSight(reconciliation);
    const arriving = new Set([...moving, ...outOfSight]);
    const placed = await readPlaced(job.folder);
    const before = this.pages();
    await this.caches.notes.read(job);
    await lookAtEach([...job.pages.entries()], async ([index, page]) => {
      if (how.isOver?.()) return;
      const match = reconciliation.pages[index];
      const planned = arriving.has(page.id)
        ? this.standing(page, match)
        : await this.plan(page, match, arriving);
      const beside = await besideLastGood(job, this.withFresh(planned), before, placed);
      // A result may have come in meanwhile.
      const run = this.withFresh(beside);
      this.current.set(page.id, run);
      onPage(run);
    });
    this.reconciliation = reconciliation;
    this.hidden = listing.hidden;
    this.outOfSight = outOfSight;
    // Not as they were planned: results may have come in since.
    await this.lookBeside(placed);
    this.runs = this.pages();
    this.arriving = arriving;
    this.caches.hashes.keepOnly(new Set(table.names().map((name) => this.pathOf(name))));
    await this.caches.hashes.save(job.folder);
  }

  /** Every page in reading order, by its newest plan and result. */
  pages(): readonly PageRun[] {
    return this.job.pages.flatMap(({ id }) => this.current.get(id) ?? []);
  }

  /** Each page with what stands in place of it, where the others show that its new version is wrong. */
  private async lookBeside(placed: PlacedFiles): Promise<void> {
    const before = this.pages();
    const beside = await allBesideLastGood(this.job, before, placed);
    for (const [at, run] of beside.entries()) {
      // A result may have come in meanwhile.
      if (this.runOf(run.page.id) === before[at]) this.current.set(run.page.id, run);
    }
  }

  runOf(page: string): PageRun | undefined {
    return this.current.get(page);
  }

  pathOf(name: string): string {
    return join(this.job.folder, 'incoming', name);
  }

  /** @throws Error before the first look */
  report(): PagesReport {
    if (this.reconciliation === undefined) throw new Error('nobody has looked at the issue yet');
    return reportOf(this.job, this.reconciliation, this.runs, []);
  }

  /** Puts a result on its page. @returns the page, unless it has other work to do by now */
  recordResult(page: string, stored: StoredResult): PageRun | undefined {
    this.fresh.set(page, stored);
    const run = this.runOf(page);
    if (run === undefined) return undefined;
    const now = run.request?.key === stored.result.key ? this.replace(run, withStored(run, stored)) : run;
    return now.stored?.result.key === stored.result.key ? now : undefined;
  }

  /**
   * Puts a failure of the work on its page, and remembers it, so that the same is not tried for ever.
   * @param key of the work that failed
   * @returns the page, unless the page list does not have it
   */
  recordFailure(page: string, key: string, finding: Finding): PageRun | undefined {
    this.failures.set(page, { key, finding });
    const run = this.runOf(page);
    return run && this.replace(run, withFailure(run, finding));
  }

  /** During a look, `runs` still holds the pages of the look before; one that was planned anew since is not among them. */
  private replace(run: PageRun, now: PageRun): PageRun {
    this.current.set(run.page.id, now);
    this.runs = this.runs.map((one) => (one === run ? now : one));
    return now;
  }

  private withFresh(run: PageRun): PageRun {
    const fresh = this.fresh.get(run.page.id);
    return fresh !== undefined && run.request?.key === fresh.result.key ? withStored(run, fresh) : run;
  }

  /** What stands or falls with each page, by its id, as a text to compare. */
  inShort(): ReadonlyMap<string, string> {
    return new Map(
      this.runs.map((run) => {
        const { page, match, stored, notes } = run;
        const wrong = isWrongVersion(run, this.runs) ? ' wrong' : '';
        const made = `${match.state} ${stored?.result.key} ${stored?.asked}${wrong}`;
        return [page.id, `${made} ${JSON.stringify(notes)}`];
      }),
    );
  }

  /** Whether a file is still on its way, so that nobody can say yet what becomes of its page. */
  get isChanging(): boolean {
    return [...this.arriving].some((page) => !this.outOfSight.has(page));
  }

  /** Checksum over all results when every page may be delivered; undefined while one may not. */
  completeKey(pages: IssueReport['pages']): string | undefined {
    if (pages.some(({ state }) => !isDeliverable(state))) return undefined;
    return createHash('sha256')
      .update(pages.map(({ key }) => key).join(' '))
      .digest('hex');
  }

  /** Pages of which a file is at such a stage, also one of several that claim the same part. */
  private pagesWith(
    { pages, contested }: Reconciliation,
    isSuch: (stage: FileStage | undefined) => boolean,
  ): Set<string> {
    const has = (name: string) => isSuch(this.table.stageOf(name));
    const found = new Set<string>();
    for (const { page, files } of pages) if (files.some(({ name }) => has(name))) found.add(page);
    for (const { page, names } of contested) if (names.some(has)) found.add(page);
    return found;
  }

  /** Also pages that were perhaps made from files which this daemon never saw, because their folder was closed before. */
  private async pagesOutOfSight(reconciliation: Reconciliation): Promise<Set<string>> {
    const isBeyond = (name: string) => this.table.isBeyondKnowing(name);
    const unsure = await unsurePages(this.job, reconciliation.pages, isBeyond);
    return new Set([...this.pagesWith(reconciliation, (stage) => stage === 'hidden'), ...unsure.keys()]);
  }

  /** The page as it was before, with nothing to do. */
  private standing(page: IssuePage, match: PageMatch): PageRun {
    const before = this.runOf(page.id);
    return {
      ...pageRun(page, before?.match ?? match, this.caches.notes.of(page.id)),
      stored: before?.stored,
      lastGood: before?.lastGood,
      failure: before?.failure,
    };
  }

  private async plan(page: IssuePage, match: PageMatch, arriving: Set<string>): Promise<PageRun> {
    const from = plannedFrom(match, this.table, this.caches.notes.of(page.id));
    const before = this.runOf(page.id);
    return this.settled.stands(before, from)
      ? before
      : this.settled.noted(await this.planAnew(page, match, arriving), from);
  }

  private async planAnew(page: IssuePage, match: PageMatch, arriving: Set<string>): Promise<PageRun> {
    try {
      const run = await planPage(this.job, page, match, this.caches, {
        pages: undefined,
        products: productNames,
      });
      const failure = this.failures.get(page.id);
      if (failure !== undefined && failure.key === run.request?.key) return withFailure(run, failure.finding);
      this.failures.delete(page.id);
      return run;
    } catch (thrown) {
      if (thrown instanceof PlatehandError && !isAboutFile(thrown)) throw thrown;
      arriving.add(page.id);
      const run = this.standing(page, match);
      // A file that has just gone shows at the next look; one that may not be read is for people to settle.
      return isGone(thrown) ? run : withFailure(run, failureOf(page.id, thrown));
    }
  }
}

function isGone(thrown: unknown): boolean {
  const cause = thrown instanceof PlatehandError ? thrown.cause : thrown;
  return cause instanceof Error && 'code' in cause && cause.code === 'ENOENT';
}
