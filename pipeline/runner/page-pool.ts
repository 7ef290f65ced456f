import type { ChildProcess } from 'node:child_process';
import { exitCode, PlatehandError } from '../../config/errors.js';
import type { PageFiles, PageRequest, UnhashedRequest } from '../model/page-request.js';
import type { PageResult } from '../model/page-result.js';
import { type DrawSheet, type PageRunner, runnerClosed } from './page-runner.js';
import type { PageReply, PageTask, PageWork } from './start-page-process.js';
import { startPageProcess } from './start-page-process.js';

/** A runner of page processes, which can be started before there is work for them. */
export interface PagePool extends PageRunner {
  readonly drawSheet: DrawSheet;
  /** Starts processes ahead of their first page, up to the size of the pool. */
  warm(processes: number): void;
  /** Process numbers of the running page processes. */
  pids(): number[];
}

/** A page takes seconds; one that takes this long will never come back. */
const pageTimeLimitMs = 15 * 60 * 1000;

/** An answer, or the news that the process ended without one. */
type Reply = PageReply | { readonly outcome: 'died'; readonly how: string };

interface Waiting {
  /** The process that had it first died of it. */
  readonly isSecondTry: boolean;
  readonly task: PageTask;
  readonly settle: (reply: Reply) => void;
}

interface Worker {
  readonly child: ChildProcess;
  current: Waiting | undefined;
  /** Key of the page that it worked on last, which it need not read again. */
  lastKey: string | undefined;
  timer: NodeJS.Timeout | undefined;
}

/**
 * A pool of page processes. They are started when first needed and kept; a page whose process dies is tried once more
 * in a fresh one, so that neither a crashing decoder nor an out-of-memory kill takes another page with it.
 * @param coming files of all the pages that will be asked of it, where that is known
 */
export function openPagePool(size: number, coming: readonly PageFiles[] = []): PagePool {
  return new ProcessPool(size, coming);
}

class ProcessPool implements PagePool {
  readonly takesUnhashed = true;
  private closed = false;
  private readonly workers: Worker[] = [];
  private readonly queue: Waiting[] = [];
  private nextId = 1;

  constructor(
    private readonly size: number,
    private readonly coming: readonly PageFiles[],
  ) {}

  async run(request: PageRequest | UnhashedRequest, signal?: AbortSignal): Promise<PageResult> {
    const result = await this.have({ kind: 'page', request }, request.page.id, signal);
    if (result instanceof Uint8Array) throw new Error('a page came back as a sheet');
    return result;
  }

  readonly drawSheet: DrawSheet = async (sheet) => {
    // All pages are made, and one process draws: what the others keep of their last page is wanted for a large sheet.
    const [, ...others] = this.workers.filter(({ current }) => current === undefined);
    for (const { child } of others) child.kill('SIGKILL');
    const png = await this.have({ kind: 'sheet', sheet }, 'contact sheet', undefined);
    if (!(png instanceof Uint8Array)) throw new Error('a sheet came back as a page');
    return png;
  };

  /** Has a piece of work done, if need be twice. */
  private async have(
    work: PageWork,
    page: string,
    signal: AbortSignal | undefined,
  ): Promise<PageResult | Uint8Array> {
    if (this.closed) throw runnerClosed();
    let reply = await this.ask(work, signal, false);
    if (reply.outcome === 'died' && !this.closed) reply = await this.ask(work, signal, true);
    switch (reply.outcome) {
      case 'done':
        return reply.result;
      case 'refused':
        throw new PlatehandError(reply.code, reply.what, reply.remedy, {
          place: reply.place,
          exitCode: reply.exitCode,
        });
      case 'fault':
        throw new Error(`page ${page}: ${reply.message}\n${reply.trace}`);
      case 'died':
        throw this.closed ? runnerClosed() : processDied(page, reply.how);
    }
  }

  warm(processes: number): void {
    while (!this.closed && this.workers.length < Math.min(processes, this.size)) this.startWorker();
  }

  pids(): number[] {
    return this.workers.flatMap(({ child }) => (child.pid === undefined ? [] : [child.pid]));
  }

  async close(): Promise<void> {
    this.closed = true;
    for (const { settle } of this.queue.splice(0)) settle({ outcome: 'died', how: 'the work was ended' });
    const ends = this.workers.map(
      ({ child }) =>
        new Promise((resolve) => (child.exitCode === null ? child.once('exit', resolve) : resolve(0))),
    );
    for (const { child } of this.workers) child.kill('SIGKILL');
    await Promise.all(ends);
  }

  private ask(work: PageWork, signal: AbortSignal | undefined, isSecondTry: boolean): Promise<Reply> {
    return new Promise((resolve, reject) => {
      if (signal?.aborted) return reject(signal.reason);
      const give = () => {
        this.giveUp(waiting);
        reject(signal?.reason);
      };
      const settle = (reply: Reply) => {
        signal?.removeEventListener('abort', give);
        resolve(reply);
      };
      const waiting: Waiting = { task: { ...work, id: this.nextId++ }, isSecondTry, settle };
      signal?.addEventListener('abort', give, { once: true });
      this.queue.push(waiting);
      this.dispatch();
    });
  }

  /** Takes a page out of the queue, or ends the process that works on it: there is no other way to stop a decoder. */
  private giveUp(dropped: Waiting): void {
    const index = this.queue.indexOf(dropped);
    if (index >= 0) this.queue.splice(index, 1);
    this.workers.find(({ current }) => current === dropped)?.child.kill('SIGKILL');
  }

  private dispatch(): void {
    while (!this.closed) {
      const at = this.queue.findIndex(({ task }) => !this.isInHand(task));
      if (at < 0) return;
      const { task, isSecondTry } = this.queue[at];
      let worker = this.idleWorker(task);
      if (worker !== undefined && isSecondTry) worker = this.letGo(worker);
      if (worker === undefined) {
        if (this.workers.length >= this.size) return;
        worker = this.startWorker();
      }
      const [waiting] = this.queue.splice(at, 1);
      worker.current = waiting;
      worker.lastKey = keyOf(waiting.task);
      worker.timer = setTimeout(() => worker.child.kill('SIGKILL'), pageTimeLimitMs);
      worker.child.send(waiting.task);
    }
  }

  /** Whether a process is at the same page just now: whoever waits for that one need not have it read again. */
  private isInHand(task: PageTask): boolean {
    const key = keyOf(task);
    return key !== undefined && this.workers.some(({ current, lastKey }) => current && lastKey === key);
  }

  /** The process that worked on the page last, if it is idle, or any other that is. */
  private idleWorker(task: PageTask): Worker | undefined {
    const idle = this.workers.filter(({ current }) => current === undefined);
    const key = keyOf(task);
    return idle.find(({ lastKey }) => key !== undefined && lastKey === key) ?? idle[0];
  }

  /**
   * Ends an idle process, so that a second try gets a new one: what killed the first may have killed this one as well, and its
   * end is just not known yet.
   */
  private letGo(worker: Worker): undefined {
    this.workers.splice(this.workers.indexOf(worker), 1);
    worker.child.kill('SIGKILL');
  }

  private startWorker(): Worker {
    const child = startPageProcess(this.coming);
    const worker: Worker = { child, current: undefined, lastKey: undefined, timer: undefined };
    this.workers.push(worker);
    child.on('message', (reply: PageReply) => this.settle(worker, reply));
    child.on('error', (error) => this.drop(worker, error.message));
    child.on('exit', (code, signal) =>
      this.drop(worker, signal === null ? `exit code ${code}` : `signal ${signal}`),
    );
    return worker;
  }

  private settle(worker: Worker, reply: Reply): void {
    const { current } = worker;
    clearTimeout(worker.timer);
    worker.current = undefined;
    current?.settle(reply);
    this.dispatch();
  }

  private drop(worker: Worker, how: string): void {
    const index = this.workers.indexOf(worker);
    if (index < 0) return;
    this.workers.splice(index, 1);
    this.settle(worker, { outcome: 'died', how });
  }
}

function keyOf(task: PageTask): string | undefined {
  return task.kind === 'page' ? task.request.key : undefined;
}

function processDied(page: string, how: string): PlatehandError {
  return new PlatehandError(
    'page-process',
    `The process that worked on the page ended without an answer, twice (${how})`,
    'Look for a damaged file or too little memory; then run the page again, with --jobs 1 if memory is short.',
    { place: { page }, exitCode: exitCode.attention },
  );
}
