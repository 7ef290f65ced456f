import { messageOf, PlatehandError } from '../../config/errors.js';

/** The longest pause between two tries, in milliseconds. */
const longestPauseMs = 60_000;

/** The pauses between tries at what goes wrong and gets well by itself: a full disk, a share that is gone. They double up to a minute. */
export class Backoff {
  private told: string | undefined;
  private pauseMs = 0;

  /** @param firstPauseMs the first pause, in milliseconds */
  constructor(private readonly firstPauseMs: number) {}

  /** The trouble that was told and is not over. */
  get trouble(): string | undefined {
    return this.told;
  }

  /** @returns whether this is to be told, as it was not told last, and how long to wait before the next try */
  failed(message: string): { readonly isNew: boolean; readonly pauseMs: number } {
    const isNew = this.told !== message;
    this.told = message;
    this.pauseMs = Math.min(longestPauseMs, Math.max(this.firstPauseMs, this.pauseMs * 2));
    return { isNew, pauseMs: this.pauseMs };
  }

  /** @returns what the trouble was, if there was one and it is over now */
  succeeded(): string | undefined {
    const { told } = this;
    this.told = undefined;
    this.pauseMs = 0;
    return told;
  }
}

/** What is tried again by itself: looking at the folder, working on its pages, having its lock. */
export type RetryKind = 'look' | 'work' | 'lock';

/** First pause after trouble; the following ones grow to a minute. */
export const firstPauseMs = 1000;

interface Retry {
  readonly backoff: Backoff;
  /** Until when nothing is tried, on the clock that only goes forward. */
  untilMs: number;
}

/** Where trouble and its end are told. */
export interface TroubleLog {
  tell(kind: 'trouble' | 'trouble-over', facts: { readonly message: string }): void;
}

/** What is tried again in one job folder because the disk did not allow it: told once, waited out, and told when it is over. */
export class Retries {
  private readonly kinds: Readonly<Record<RetryKind, Retry>> = {
    look: { backoff: new Backoff(firstPauseMs), untilMs: 0 },
    work: { backoff: new Backoff(firstPauseMs), untilMs: 0 },
    lock: { backoff: new Backoff(firstPauseMs), untilMs: 0 },
  };

  constructor(private readonly log: TroubleLog) {}

  /** How long nothing is to be tried, in milliseconds; 0 when there is nothing to wait for. */
  get waitMs(): number {
    const untilMs = Math.max(...Object.values(this.kinds).map((retry) => retry.untilMs));
    return Math.max(0, untilMs - performance.now());
  }

  /** Notes trouble, and tells it unless it is known. @returns how long to wait before the next try, in milliseconds */
  failed(kind: RetryKind, thrown: unknown): number {
    const what = whatOf(thrown);
    const isKnown = this.isTold(what);
    const { pauseMs } = this.kinds[kind].backoff.failed(what);
    this.kinds[kind].untilMs = performance.now() + pauseMs;
    if (!isKnown) this.log.tell('trouble', { message: troubleMessage(thrown) });
    return pauseMs;
  }

  /** Notes that something works, and tells it when that ends trouble. @returns whether there was any */
  succeeded(kind: RetryKind): boolean {
    const what = this.kinds[kind].backoff.succeeded();
    if (what === undefined) return false;
    this.kinds[kind].untilMs = 0;
    // The same full disk may hinder looking and working; it is over when both go on.
    if (!this.isTold(what)) this.log.tell('trouble-over', { message: overMessage(what) });
    return true;
  }

  private isTold(what: string): boolean {
    return Object.values(this.kinds).some(({ backoff }) => backoff.trouble === what);
  }
}

/** Trouble in short, without its place: the same full disk is the same trouble, whichever file it hits. */
export function whatOf(thrown: unknown): string {
  return thrown instanceof PlatehandError ? thrown.what : messageOf(thrown);
}

/** Trouble as people are told of it, in full. */
export function troubleMessage(thrown: unknown): string {
  return `${messageOf(thrown)} It is tried again at growing intervals; nothing is lost.`;
}

/** The end of trouble. @param what the trouble, in short */
export function overMessage(what: string): string {
  return `it works again (was: ${what})`;
}

/** Whatever else broke off the work on a page, as trouble that is waited out. */
export function interruption(thrown: unknown): PlatehandError {
  const what = `The work was interrupted: ${messageOf(thrown)}`;
  return new PlatehandError('write-failed', what, 'It is tried again.', { cause: thrown });
}
