import type { IssuePage, Job } from '../../config/job.js';
import { lookAtEach } from '../../pipeline/issue/page-run.js';
import { planPage } from '../../pipeline/issue/plan.js';
import type { PageRequest } from '../../pipeline/model/page-request.js';
import { productNames } from '../../pipeline/model/page-result.js';
import type { PageMatch } from '../../pipeline/model/reconciliation.js';
import { pagePixels } from '../../pipeline/runner/page-cost.js';
import type { IssueBoard } from './issue-board.js';
import { plannedFrom } from './look-memory.js';
import type { WatchContext } from './watch-options.js';

/** What was planned for a page, and from what. */
interface Planned {
  readonly page: string;
  readonly job: Job;
  readonly from: string;
  readonly request: PageRequest | undefined;
}

/** After everything that people wait for. */
const lastRank = [2] as const;

/**
 * Works on pages while their files settle: the page process reads and separates a page and keeps its inks, so that proof and press
 * files are soon made once the files are known to be whole. Nothing is kept of it anywhere else, and a file that changes after all
 * costs no more than the work.
 */
export class WorkAhead {
  /** What is in hand or done, by what it works on. */
  private readonly begun = new Map<string, AbortController>();

  /** By page: looks come often while files settle, and each plan reads files for their checksums. */
  private planned: ReadonlyMap<string, Planned> = new Map();

  constructor(private readonly context: Pick<WatchContext, 'scheduler' | 'runner'>) {}

  /**
   * Requests for pages whose files are on their way and have not changed for a while. Nothing is known for sure of them, so whatever is
   * wrong with one is passed over.
   */
  async likelyRequests(board: IssueBoard): Promise<readonly PageRequest[]> {
    const { job, table, arriving, reconciliation } = board;
    const pages = reconciliation?.pages ?? [];
    const likely = pages.flatMap((match, at): [IssuePage, PageMatch][] => {
      const isLikely = match.files.every(({ name }) => table.isLikelyWhole(name));
      return arriving.has(match.page) && isLikely ? [[job.pages[at], match]] : [];
    });
    const planned = await lookAtEach(likely, ([page, match]) => this.plan(board, page, match));
    this.planned = new Map(planned.map((one) => [one.page, one]));
    return planned.flatMap(({ request }) => (request === undefined ? [] : [request]));
  }

  private async plan(board: IssueBoard, page: IssuePage, match: PageMatch): Promise<Planned> {
    const { job, caches } = board;
    const from = plannedFrom(match, board.table, caches.notes.of(page.id));
    const known = this.planned.get(page.id);
    if (known !== undefined && known.job === job && known.from === from) return known;
    const options = { pages: undefined, products: productNames };
    const run = await planPage(job, page, match, caches, options).catch(() => undefined);
    const { request } = run ?? {};
    return { page: page.id, job, from, request: request?.key === undefined ? undefined : request };
  }

  /**
   * Begins what is likely to be asked for, and drops what is not likely any more.
   * @param requests of pages whose files are likely to be whole
   * @param going what pages with whole files are made from just now, in the same words as `subjectOf`
   */
  sync(requests: readonly PageRequest[], going: (subject: string) => boolean): void {
    const likely = new Map(requests.map((request) => [subjectOf(request), request]));
    for (const [subject, controller] of this.begun) {
      if (likely.has(subject) || going(subject)) continue;
      controller.abort();
      this.begun.delete(subject);
    }
    for (const [subject, request] of likely) if (!this.begun.has(subject)) this.begin(subject, request);
  }

  /** Drops everything. */
  close(): void {
    for (const controller of this.begun.values()) controller.abort();
    this.begun.clear();
  }

  private begin(subject: string, request: PageRequest): void {
    const controller = new AbortController();
    this.begun.set(subject, controller);
    const { signal } = controller;
    const { scheduler, runner } = this.context;
    const work = { rank: lastRank, pixels: pagePixels(request), signal };
    // What is wrong with it shows when it is asked for.
    void scheduler
      .add(work, async () => void (await runner.run({ ...request, products: [] }, signal)))
      .catch(() => undefined);
  }
}

/** What a request works on. The same content seen anew is other work, because what is in hand would find its files changed. */
export function subjectOf(request: PageRequest): string {
  return `${request.key} ${JSON.stringify(request.files.map(({ local }) => local.seen))}`;
}
