import PQueue from 'p-queue';
import { PixelBudget } from './page-cost.js';

/** One piece of page work that waits for its turn. */
export interface QueuedWork {
  /** Unlike any other that waits. */
  readonly id: string;
  /** Proofs go before press files, whatever they belong to: people wait for proofs. */
  readonly phase: 'proof' | 'press';
  /** When its issue is due, in milliseconds since 1970; without a due time last. */
  readonly dueMs: number;
  /** What it takes of the pixel budget. */
  readonly pixels: number;
  /** Work of a paused issue stays where it is. */
  readonly isPaused: () => boolean;
}

/** What p-queue keeps of each piece of work; only `work` is ours. */
interface QueueOptions {
  readonly id?: string;
  readonly priority?: number;
  readonly work?: QueuedWork;
}

type Start = () => Promise<unknown>;

/** Sorts before when negative: proofs first, then due soonest, then smallest, then as they came. */
export function compareWork(a: QueuedWork, b: QueuedWork): number {
  if (a.phase !== b.phase) return a.phase === 'proof' ? -1 : 1;
  return Math.min(a.dueMs, 8.64e15) - Math.min(b.dueMs, 8.64e15) || a.pixels - b.pixels;
}

/**
 * Hands out page work in the order of compareWork, to at most `jobs` at a time and never more pixels than the budget
 * holds. The first in line is never overtaken for being large: otherwise small pages could keep it waiting for ever.
 */
export class WorkQueue {
  private readonly queue: PQueue<WaitingLine, QueueOptions>;
  private readonly budget: PixelBudget;
  private readonly line: WaitingLine;

  constructor(jobs: number, pixelBudget: number) {
    const budget = new PixelBudget(pixelBudget);
    const line = new WaitingLine(budget);
    this.budget = budget;
    this.line = line;
    // The library makes its queue itself and brings nothing along.
    const queueClass = class {
      constructor() {
        // biome-ignore lint/correctness/noConstructorReturn: the one line that this queue has
        return line;
      }
    } as unknown as new () => WaitingLine;
    this.queue = new PQueue({ concurrency: jobs, queueClass });
  }

  /**
   * Runs `run` when its turn has come. Resolves when it has ended; when the signal aborts before its turn, at once, and
   * it never runs. What has begun has to look at the signal itself: its place is not free before it has ended.
   */
  async add(work: QueuedWork, signal: AbortSignal, run: () => Promise<void>): Promise<void> {
    if (signal.aborted) return;
    await new Promise<void>((resolve, reject) => {
      const drop = () => {
        this.line.remove(work.id);
        resolve();
      };
      signal.addEventListener('abort', drop, { once: true });
      const task = () => {
        signal.removeEventListener('abort', drop);
        return this.budget.during(work.pixels, run);
      };
      const added = this.queue.add(task, { id: work.id, work });
      // The library begins one for one that ended; a large page that ended may leave room for several.
      void added.then(
        () => this.refresh(),
        () => this.refresh(),
      );
      added.then(() => resolve(), reject);
    });
  }

  /** Looks again at what may start: an issue has been paused or resumed. */
  refresh(): void {
    this.queue.concurrency = this.queue.concurrency;
  }

  /** Starts nothing more. */
  pause(): void {
    this.queue.pause();
  }
}

interface Place {
  readonly start: Start;
  readonly options: QueueOptions;
}

/** The line in which work waits, in the form that p-queue asks for. */
class WaitingLine {
  private places: Place[] = [];

  constructor(private readonly budget: PixelBudget) {}

  /** How many may start now: p-queue asks for nothing when it is 0. */
  get size(): number {
    return this.next() === undefined ? 0 : this.places.length;
  }

  enqueue(start: Start, options: QueueOptions = {}): void {
    this.places.push({ start, options });
  }

  dequeue(): Start | undefined {
    const next = this.next();
    if (next === undefined) return undefined;
    this.places = this.places.filter((place) => place !== next);
    return next.start;
  }

  remove(id: string): void {
    this.places = this.places.filter(({ options }) => options.id !== id);
  }

  filter(options: QueueOptions): Start[] {
    return this.places
      .filter((place) => place.options.priority === options.priority)
      .map(({ start }) => start);
  }

  setPriority(): void {
    // The order comes from the work itself.
  }

  private next(): Place | undefined {
    let first: Place | undefined;
    for (const place of this.places) {
      const { work } = place.options;
      if (work === undefined || work.isPaused()) continue;
      if (first?.options.work === undefined || compareWork(work, first.options.work) < 0) first = place;
    }
    return first?.options.work !== undefined && this.budget.hasRoomFor(first.options.work.pixels)
      ? first
      : undefined;
  }
}
