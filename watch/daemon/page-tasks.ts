import { PlatehandError } from '../../config/errors.js';
import { placePage } from '../../pipeline/issue/last-good.js';
import { failureOf, makePage, whileLocked } from '../../pipeline/issue/make-page.js';
import type { PageRun } from '../../pipeline/issue/page-run.js';
import { worstOf } from '../../pipeline/model/findings.js';
import type { PageRequest } from '../../pipeline/model/page-request.js';
import { type PageResult, type ProductName, productNames } from '../../pipeline/model/page-result.js';
import { pageProducts } from '../../pipeline/outputs/products.js';
import { mayPass } from '../../pipeline/queue/job-outcome.js';
import { pagePixels } from '../../pipeline/runner/page-cost.js';
import { type WatchedWork, watchedRank } from '../../pipeline/runner/scheduler.js';
import { localStore } from '../../pipeline/store/local-store.js';
import type { StoredResult } from '../../pipeline/store/result-store.js';
import type { IssueBoard } from './issue-board.js';
import { interruption } from './retry.js';
import type { WatchContext } from './watch-options.js';
import { subjectOf } from './work-ahead.js';

/** What becomes of a page, as its issue is told. */
export interface PageTaskListener {
  /** Whether no more pages are to be begun just now. */
  isPaused(): boolean;
  /** A page got a result that it did not have before. */
  made(run: PageRun, stored: StoredResult): void;
  /** The work itself failed, and would fail again. */
  failed(run: PageRun): void;
  /** A file could not be read to its end; it is tried again. */
  doubted(run: PageRun, file: string, why: string, isYoung: boolean): void;
  /** The disk or the share is in trouble; the page is still to be done. */
  interrupted(thrown: PlatehandError): void;
  /** A file changed meanwhile; somebody should look again. */
  outdated(): void;
}

interface PageTask {
  /** What it works on; another text is other work. */
  readonly subject: string;
  readonly controller: AbortController;
  /** Whether a process is at it. */
  inHand: boolean;
  readonly ended: Promise<void>;
}

/** A page is made in two: people wait for its proof. */
type Phase = WatchedWork['products'];

/** Findings after which a file may just not be whole yet. */
const perhapsNotWhole = new Set(['picture-unreadable', 'archive-unsafe']);

/** The work on the pages of one issue: begun when a page has something to do, dropped when that is outdated. */
export class PageTasks {
  private readonly tasks = new Map<string, PageTask>();
  private closed = false;

  constructor(
    private readonly board: IssueBoard,
    private readonly context: Pick<WatchContext, 'scheduler' | 'runner'>,
    private readonly listener: PageTaskListener,
  ) {}

  /** Begins, leaves or drops work, so that it fits what the page has to do now. */
  sync(run: PageRun): void {
    if (this.closed) return;
    const request = run.failure === undefined ? readRequestOf(run) : undefined;
    const subject = request === undefined ? undefined : subjectOf(request);
    const task = this.tasks.get(run.page.id);
    if (task !== undefined && task.subject === subject) return;
    this.drop(run.page.id);
    if (request !== undefined) this.begin(request);
  }

  /** Whether work on such a subject is in hand or waits. */
  isAt(subject: string): boolean {
    return [...this.tasks.values()].some((task) => task.subject === subject);
  }

  /** Drops work on pages that are not among these. */
  dropOthers(pages: ReadonlySet<string>): void {
    for (const page of this.tasks.keys()) if (!pages.has(page)) this.drop(page);
  }

  /** Whether no page has anything to do. */
  get isIdle(): boolean {
    return this.tasks.size === 0;
  }

  /** Ends when the work in hand has ended; what only waits is dropped. */
  async close(giveUp: AbortSignal): Promise<void> {
    this.closed = true;
    const ends = [...this.tasks.values()].map(({ ended }) => ended);
    const drop = () => {
      for (const { controller } of this.tasks.values()) controller.abort();
    };
    for (const { inHand, controller } of this.tasks.values()) if (!inHand) controller.abort();
    if (giveUp.aborted) drop();
    else giveUp.addEventListener('abort', drop, { once: true });
    await Promise.all(ends);
  }

  private drop(page: string): void {
    this.tasks.get(page)?.controller.abort();
    this.tasks.delete(page);
  }

  private begin(request: PageRequest): void {
    const controller = new AbortController();
    const page = request.page.id;
    const task: PageTask = {
      subject: subjectOf(request),
      controller,
      inHand: false,
      ended: this.workOff(request, controller.signal, (inHand) => {
        task.inHand = inHand;
      })
        // Nothing of a page may end the daemon, not even a fault of its own.
        .catch((thrown: unknown) => this.listener.interrupted(interruption(thrown)))
        .finally(() => {
          if (this.tasks.get(page) === task) this.tasks.delete(page);
        }),
    };
    this.tasks.set(page, task);
  }

  /** The proof first, the rest when no other page waits for its proof. */
  private async workOff(
    request: PageRequest,
    signal: AbortSignal,
    note: (inHand: boolean) => void,
  ): Promise<void> {
    const hasProof = request.products.some((product) => pageProducts[product].phase === 'proof');
    const isEarly = request.awaits !== undefined;
    const phases: Phase[] = isEarly ? ['proof'] : hasProof ? ['proof', 'press'] : ['press'];
    const pixels = pagePixels(request);
    const isPaused = () => this.listener.isPaused();
    // Begin after the caller has noted the task.
    await Promise.resolve();
    for (const phase of phases) {
      const rank = watchedRank({ products: phase, dueMs: dueOf(this.board.job.due), pixels });
      let goesOn = false;
      await this.context.scheduler.add({ rank, pixels, isPaused, signal }, async () => {
        note(true);
        goesOn = await this.tryPhase(request, phase, signal);
        note(false);
      });
      if (!goesOn || signal.aborted || this.closed) return;
    }
  }

  /** @returns whether the page's next phase may follow */
  private async tryPhase(request: PageRequest, phase: Phase, signal: AbortSignal): Promise<boolean> {
    try {
      return await this.work(request, phase, signal);
    } catch (thrown) {
      if (!signal.aborted) this.sortOut(request, thrown);
      return false;
    }
  }

  private async work(request: PageRequest, phase: Phase, signal: AbortSignal): Promise<boolean> {
    const { job } = this.board;
    const wanted = request.products.filter((product) => pageProducts[product].phase === phase);
    // A run beside the daemon may have made it meanwhile.
    const found = await localStore(job.folder).find(request.baseName, request.key);
    if (found !== undefined && wanted.every((product) => found.asked.includes(product))) {
      await whileLocked(job.folder, () => placePage(job, request.page, found, this.board.pages()));
      this.record(request, found);
      return true;
    }
    const { result, stored } = await makePage(job, { ...request, products: wanted }, this.context.runner, {
      signal,
      storesAs: (made) => this.productsOf(made, wanted),
      runs: () => this.board.pages(),
      dueMs: dueOf(job.due),
    });
    if (signal.aborted) return false;
    if (stored === undefined) {
      this.doubt(request, result);
      return false;
    }
    this.record(request, stored);
    return true;
  }

  /** A stopped page has no press files, so there is nothing more to make of it. */
  private productsOf(result: PageResult, wanted: readonly ProductName[]): readonly ProductName[] | undefined {
    const file = unreadFile(result)?.file;
    if (file !== undefined && this.board.table.mayGetBetter(file)) return undefined;
    const isStopped = worstOf(result.findings) === 'stop' && result.awaits === undefined;
    return isStopped ? productNames : wanted;
  }

  private record(request: PageRequest, stored: StoredResult): void {
    const run = this.board.recordResult(request.page.id, stored);
    if (run !== undefined) this.listener.made(run, stored);
  }

  private doubt(request: PageRequest, result: PageResult): void {
    const finding = unreadFile(result);
    const run = this.board.runOf(request.page.id);
    if (finding?.file === undefined || run === undefined) {
      this.listener.outdated();
      return;
    }
    const isYoung = !this.board.table.isOld(finding.file);
    if (this.board.table.doubt(finding.file))
      this.listener.doubted(run, finding.file, finding.message, isYoung);
    else this.listener.outdated();
  }

  private sortOut(request: PageRequest, thrown: unknown): void {
    const code = thrown instanceof PlatehandError ? thrown.code : undefined;
    if (code === 'picture-changed') this.listener.outdated();
    else if (mayPass(thrown) || code === 'input-missing') {
      this.listener.interrupted(thrown instanceof PlatehandError ? thrown : interruption(thrown));
    } else this.fail(request, thrown);
  }

  /** The same work would fail again: it is remembered on the page until the page changes. */
  private fail(request: PageRequest, thrown: unknown): void {
    const finding = failureOf(request.page.id, thrown);
    const run = this.board.recordFailure(request.page.id, request.key, finding);
    if (run !== undefined) this.listener.failed(run);
  }
}

/** The daemon reads files when they arrive, so that it can tell what arrived, and plans pages with their keys. */
function readRequestOf({ request }: PageRun): PageRequest | undefined {
  if (request !== undefined && request.key === undefined) throw new Error('a page was planned unhashed');
  return request;
}

function unreadFile(result: PageResult) {
  return result.findings.find(({ code, severity }) => severity === 'stop' && perhapsNotWhole.has(code));
}

function dueOf(due: string | undefined): number {
  return due === undefined ? Number.POSITIVE_INFINITY : Date.parse(due);
}
