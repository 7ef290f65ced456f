import { setMaxListeners } from 'node:events';
import PQueue, { type Queue, type QueueAddOptions } from 'p-queue';
import { defaultJobs, defaultPixelBudget, PixelBudget } from './page-cost.js';

export interface SchedulerOptions {
  /** Pages worked on at the same time, 1 or more; default defaultJobs(). */
  readonly jobs?: number | undefined;
  /** Pixels in hand at most, over all pages; default defaultPixelBudget(). */
  readonly pixelBudget?: number | undefined;
}

/** One piece of page work that waits for its turn. */
export interface ScheduledWork {
  /**
   * Says what goes first: compared number by number, the smaller before the larger. Work of the same rank, such as an empty
   * one, goes as it came.
   */
  readonly rank: readonly number[];
  /** What it takes of the pixel budget; what is larger than all of it is worked on alone. */
  readonly pixels: number;
  /** Work of a paused issue stays where it is, and others pass it; by default nothing is paused. */
  readonly isPaused?: () => boolean;
  /** Takes waiting work out of the queue. What has begun has to look at it itself: its slot is not free before it has ended. */
  readonly signal?: AbortSignal | undefined;
}

/** What makes the rank of a page under watch. */
export interface WatchedWork {
  readonly products: 'proof' | 'press';
  /** When its issue is due, in milliseconds since 1970; infinity without a due time. */
  readonly dueMs: number;
  readonly pixels: number;
}

/** Proofs before press files, whatever they belong to, because people wait for proofs; then due soonest; then smallest. */
export function watchedRank({ products, dueMs, pixels }: WatchedWork): readonly number[] {
  return [products === 'proof' ? 0 : 1, dueMs, pixels];
}

/**
 * Starts page work, for a run and for the daemon alike, in the order of its ranks, at most so many pages at a time and never
 * more pixels than the budget holds. The first in the queue is never overtaken for being large: otherwise small pages could
 * keep it waiting for ever.
 */
export class Scheduler {
  private readonly queue: PQueue<WorkQueue, WorkOptions>;
  private readonly budget: PixelBudget;

  constructor(options: SchedulerOptions = {}) {
    const budget = new PixelBudget(options.pixelBudget ?? defaultPixelBudget());
    // The library makes its queue itself and brings nothing along.
    const queueClass = class extends WorkQueue {
      constructor() {
        super(budget);
      }
    };
    this.budget = budget;
    this.queue = new PQueue({ concurrency: options.jobs ?? defaultJobs(), queueClass });
    // The library starts one for one that ended; a large page that ended may leave room for several.
    this.queue.on('next', () => this.refresh());
  }

  /**
   * Runs `run` when its turn has come. Resolves when it has ended; when its signal aborts before its turn, at once, and it
   * never runs.
   * @throws what `run` throws
   */
  async add(work: ScheduledWork, run: () => Promise<void>): Promise<void> {
    const { signal } = work;
    if (signal?.aborted) return;
    // One signal may end all pages of an issue: that many listeners are no leak.
    if (signal !== undefined) setMaxListeners(0, signal);
    // The library frees the slot of work whose signal aborts, also when it goes on: once begun, it hears of none.
    const waiting = new AbortController();
    const drop = () => waiting.abort();
    signal?.addEventListener('abort', drop, { once: true });
    const start = async () => {
      signal?.removeEventListener('abort', drop);
      // Where one signal ends several, this one may get its turn before it is dropped itself.
      if (!signal?.aborted) await this.budget.during(work.pixels, run);
    };
    try {
      await this.queue.add(start, { work, signal: waiting.signal });
    } catch (thrown) {
      if (!waiting.signal.aborted) throw thrown;
    }
  }

  /** Looks again at what may start: an issue has been paused or resumed. */
  refresh(): void {
    if (this.queue.isPaused) return;
    this.queue.pause();
    this.queue.start();
  }

  /** Starts nothing more. */
  pause(): void {
    this.queue.pause();
  }
}

/** What the library hands to the queue with each piece of work. */
interface WorkOptions extends QueueAddOptions {
  readonly work?: ScheduledWork;
}

type Start = () => Promise<unknown>;

interface WaitingWork {
  readonly id: string | undefined;
  readonly work: ScheduledWork;
  readonly start: Start;
}

/** The queue in which work waits, in the form that p-queue asks for. */
class WorkQueue implements Queue<Start, WorkOptions> {
  private waiting: WaitingWork[] = [];

  constructor(private readonly budget: PixelBudget) {}

  /** How many wait; 0 also when none of them may start now, because the library then asks for nothing. */
  get size(): number {
    return this.next() === undefined ? 0 : this.waiting.length;
  }

  enqueue(start: Start, { id, work }: Partial<WorkOptions> = {}): void {
    if (work === undefined) throw new Error('work without its rank and pixels');
    this.waiting.push({ id, work, start });
  }

  dequeue(): Start | undefined {
    const next = this.next();
    this.waiting = this.waiting.filter((one) => one !== next);
    return next?.start;
  }

  remove(id: string): void {
    this.waiting = this.waiting.filter((one) => one.id !== id);
  }

  /** Only asked for counting; all work has the library's own priority alike. */
  filter(): Start[] {
    return this.waiting.map(({ start }) => start);
  }

  /** The order comes from the work itself. */
  setPriority(): void {
    throw new Error('the rank of work that waits does not change');
  }

  private next(): WaitingWork | undefined {
    let first: WaitingWork | undefined;
    for (const one of this.waiting) {
      if (one.work.isPaused?.()) continue;
      if (first === undefined || compareRanks(one.work.rank, first.work.rank) < 0) first = one;
    }
    return first !== undefined && this.budget.hasRoomFor(first.work.pixels) ? first : undefined;
  }
}

/** Negative when `a` goes first. Subtracting would not do: infinity less infinity is no number. */
function compareRanks(a: readonly number[], b: readonly number[]): number {
  for (const [index, value] of a.entries()) {
    if (value < b[index]) return -1;
    if (value > b[index]) return 1;
  }
  return 0;
}
