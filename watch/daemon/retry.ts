import { messageOf, PlatehandError } from '../../config/errors.js';
import { Patience } from './backoff.js';
import type { IssueJournal } from './issue-journal.js';

/** What is tried again by itself: looking at the folder, working on its pages, holding its lock. */
export type TroubleKind = 'look' | 'work' | 'lock';

/** First pause after trouble; the following ones grow to a minute. */
export const firstPauseMs = 1000;

interface Trouble {
  readonly patience: Patience;
  /** Until when nothing is tried, on the clock that only goes forward. */
  untilMs: number;
}

/** What goes wrong in one job folder for reasons of the disk: told once, waited out, and told when it is over. */
export class Troubles {
  private readonly kinds: Readonly<Record<TroubleKind, Trouble>> = {
    look: { patience: new Patience(firstPauseMs), untilMs: 0 },
    work: { patience: new Patience(firstPauseMs), untilMs: 0 },
    lock: { patience: new Patience(firstPauseMs), untilMs: 0 },
  };

  constructor(private readonly journal: IssueJournal) {}

  /** How long nothing is to be tried, in milliseconds; 0 when there is nothing to wait for. */
  get waitMs(): number {
    const untilMs = Math.max(...Object.values(this.kinds).map((trouble) => trouble.untilMs));
    return Math.max(0, untilMs - performance.now());
  }

  /** Notes trouble, and tells it unless it is known. @returns how long to wait before the next try, in milliseconds */
  suffer(kind: TroubleKind, thrown: unknown): number {
    const what = whatOf(thrown);
    const isKnown = this.isTold(what);
    const { pauseMs } = this.kinds[kind].patience.failed(what);
    this.kinds[kind].untilMs = performance.now() + pauseMs;
    if (!isKnown) this.journal.tell('trouble', { message: troubleMessage(thrown) });
    return pauseMs;
  }

  /** Notes that something works, and tells it when that ends trouble. @returns whether there was any */
  overcome(kind: TroubleKind): boolean {
    const what = this.kinds[kind].patience.succeeded();
    if (what === undefined) return false;
    this.kinds[kind].untilMs = 0;
    // The same full disk may hinder looking and working; it is over when both go on.
    if (!this.isTold(what)) this.journal.tell('trouble-over', { message: overMessage(what) });
    return true;
  }

  private isTold(what: string): boolean {
    return Object.values(this.kinds).some(({ patience }) => patience.trouble === what);
  }
}

/** Trouble in short, without its place: the same full disk is the same trouble, whichever file it hits. */
export function whatOf(thrown: unknown): string {
  return thrown instanceof PlatehandError ? thrown.what : messageOf(thrown);
}

export function troubleMessage(thrown: unknown): string {
  return `${messageOf(thrown)} It is tried again at growing intervals; nothing is lost.`;
}

export function overMessage(what: string): string {
  return `it works again (was: ${what})`;
}

/** Whatever else broke off the work on a page, as trouble that is waited out. */
export function interruption(thrown: unknown): PlatehandError {
  const what = `The work was interrupted: ${messageOf(thrown)}`;
  return new PlatehandError('write-failed', what, 'It is tried again.', { cause: thrown });
}
