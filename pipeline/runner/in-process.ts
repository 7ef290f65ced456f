import { PageArena } from '../kernels/page-arena.js';
import type { PageRequest, UnhashedRequest } from '../model/page-request.js';
import type { PageResult } from '../model/page-result.js';
import { preparePage } from '../page/page.js';
import { type PageRunner, runnerClosed } from './page-runner.js';

/**
 * Runs pages in this process, one after the other: for programs that bring processes of their own, and for tests. A page in hand
 * is worked to its end, also when it is dropped or the runner is closed; nobody waits for it then.
 */
export function inProcessRunner(): PageRunner {
  return new InProcessRunner();
}

class InProcessRunner implements PageRunner {
  readonly takesUnhashed = true;
  private readonly arena = new PageArena();
  private readonly closing = new AbortController();
  private last: Promise<unknown> = Promise.resolve();

  run(request: PageRequest | UnhashedRequest, signal?: AbortSignal): Promise<PageResult> {
    const given = signal === undefined ? [] : [signal];
    const ends = AbortSignal.any([this.closing.signal, ...given]);
    const page = this.last.then(() => {
      ends.throwIfAborted();
      this.arena.reset();
      return preparePage(request, this.arena);
    });
    this.last = page.catch(() => undefined);
    return untilAborted(page, ends);
  }

  async close(): Promise<void> {
    this.closing.abort(runnerClosed());
  }
}

/** The outcome of some work, or the reason of a signal if that comes first. */
function untilAborted<T>(work: Promise<T>, signal: AbortSignal): Promise<T> {
  return new Promise((resolve, reject) => {
    const drop = () => reject(signal.reason);
    if (signal.aborted) drop();
    signal.addEventListener('abort', drop, { once: true });
    work.then(resolve, reject).finally(() => signal.removeEventListener('abort', drop));
  });
}
