import PQueue from 'p-queue';
import { openPress } from '../../config/press.js';
import type { LaidBag } from '../bag/bag-entries.js';
import type { Sum } from '../bag/zip-writer.js';
import type { PageRequest, UnhashedRequest } from '../model/page-request.js';
import type { PageResult, ProductName } from '../model/page-result.js';
import { pageProducts } from '../outputs/products.js';
import type { FileHash } from '../reading/hash-file.js';
import { pagePixels } from '../runner/page-cost.js';
import { type DrawSheet, type PageRunner, runnerClosed } from '../runner/page-runner.js';
import type { SharedStore } from '../store/shared-store.js';
import { storeForgets } from './job-outcome.js';
import { jobIdOf, priorityOf } from './page-job.js';
import { checkedRequest } from './page-request-form.js';
import { mostRounds, PendingPages, type QueuedPage } from './pending-pages.js';
import { packedThroughQueue } from './queue-bundle.js';
import type { QueueLink } from './queue-link.js';
import { ownEngine, type QueueTimes, usualTimes } from './queue-names.js';
import { drawnThroughQueue } from './queue-sheets.js';
import { sentRequest } from './sent-request.js';

/** How a runner through a queue is opened. */
export interface QueueRunnerOptions {
  /** The queue. */
  readonly link: QueueLink;
  /** Where workers find what pages are made from, and leave what they made. */
  readonly store: SharedStore;
  /** By which the queue knows who wants a page; the same after a restart. */
  readonly asker: string;
  /** Version of the engine; default this one's. */
  readonly engine?: string;
  /** How often what is told and asked; default as in `usualTimes`. */
  readonly times?: Partial<QueueTimes>;
}

/** A runner whose pages are worked on by whoever takes them from a queue. */
export interface QueueRunner extends PageRunner {
  readonly drawSheet: DrawSheet;
  /** Packs a bundle of an issue. */
  packBag(issue: string, bag: LaidBag, partPath: string): Promise<Sum>;
  /** Pages that are waited for. */
  readonly waitsFor: number;
  /** From now on pages that are given up stay on the queue: whoever asks next finds them made. */
  leaveWork(): void;
}

/** Pages whose files are put into the store at a time: more would only take turns with disk or network. */
const shippedAtOnce = 4;

/** Opens a runner through a queue. The link and the store stay the caller's. */
export function openQueueRunner(options: QueueRunnerOptions): QueueRunner {
  return new PagesThroughQueue(options);
}

class PagesThroughQueue implements QueueRunner {
  readonly takesUnhashed = false;
  private readonly pending: PendingPages;
  private readonly store: SharedStore;
  private readonly engine: string;
  private readonly shipping = new PQueue({ concurrency: shippedAtOnce });
  private leaves = false;
  private closed = false;

  constructor({ link, store, asker, engine = ownEngine, times }: QueueRunnerOptions) {
    this.store = store;
    this.engine = engine;
    this.pending = new PendingPages(link, engine, asker, { ...usualTimes, ...times });
  }

  get waitsFor(): number {
    return this.pending.size;
  }

  leaveWork(): void {
    this.leaves = true;
  }

  async run(
    request: PageRequest | UnhashedRequest,
    signal?: AbortSignal,
    dueMs = Number.POSITIVE_INFINITY,
  ): Promise<PageResult> {
    if (request.key === undefined) throw new Error('a page without its key cannot be put on a queue');
    if (this.closed) throw runnerClosed();
    signal?.throwIfAborted();
    const products = request.outFolder === undefined ? [] : request.products;
    let isPromised = false;
    for (let round = 1; ; round++) {
      const made = await this.fromStore(request, products, isPromised);
      if (made !== undefined) return made;
      if (round > mostRounds) throw storeForgets('The page was made', this.store.address);
      const page = await this.shipped(request, products, dueMs);
      if (this.closed) throw runnerClosed();
      isPromised = await this.have(page, request.page.id, round, signal);
    }
  }

  readonly drawSheet: DrawSheet = async (sheet, signal) => {
    if (this.closed) throw runnerClosed();
    const { pending, store, engine } = this;
    return drawnThroughQueue({ pending, store, engine }, sheet, signal);
  };

  async packBag(issue: string, bag: LaidBag, partPath: string): Promise<Sum> {
    if (this.closed) throw runnerClosed();
    const { pending, store, engine } = this;
    return packedThroughQueue({ pending, store, engine }, issue, bag, partPath);
  }

  async close(): Promise<void> {
    this.closed = true;
    await this.pending.close();
  }

  /** @returns whether somebody says that the page is made */
  private async have(
    page: QueuedPage,
    pageId: string,
    round: number,
    signal: AbortSignal | undefined,
  ): Promise<boolean> {
    const outcome = await this.pending.have(page, signal, () => this.leaves);
    switch (outcome.kind) {
      case 'closed':
        throw runnerClosed();
      case 'fault':
        throw new Error(`page ${pageId}: ${outcome.message}\n${outcome.trace}`);
      case 'refused':
        // Somebody has cleared the store away: what the page is made from is put there again.
        if (outcome.refusal.code === 'input-missing' && round <= mostRounds) return false;
        throw outcome.refusal;
      default:
        return true;
    }
  }

  /** What the store has of the page already; its files come into the request's folder. */
  private fromStore(
    { baseName, key, outFolder }: PageRequest,
    products: readonly ProductName[],
    isPromised: boolean,
  ): Promise<PageResult | undefined> {
    return this.store.copyTo(baseName, key, products, outFolder, isPromised);
  }

  /** Puts what a page is made from into the store, in the order of the queue. @returns what the queue is to hold of it */
  private async shipped(
    request: PageRequest,
    products: readonly ProductName[],
    dueMs: number,
  ): Promise<QueuedPage> {
    const pixels = pagePixels(request);
    const isForPeople = products.every((product) => pageProducts[product].phase === 'proof');
    const priority = priorityOf({ products: isForPeople ? 'proof' : 'press', dueMs, pixels });
    const press = await this.shipping.add(() => this.putFiles(request), { priority: -priority });
    // What a worker would refuse is refused here, before anybody waits for it.
    const sent = checkedRequest(sentRequest({ ...request, products }, press));
    return { id: jobIdOf(request, products), priority, job: { engine: this.engine, request: sent } };
  }

  /** @returns checksum and size of the page's profile */
  private async putFiles({ page, files }: PageRequest): Promise<FileHash> {
    const choice = page.spec.press;
    const { sha256, profile } = await openPress(choice);
    const press = { sha256, bytes: profile.length };
    if (choice.kind === 'file') await this.store.putInput(choice.path, press);
    for (const { local, sha256, bytes } of files) await this.store.putInput(local.path, { sha256, bytes });
    return press;
  }
}
