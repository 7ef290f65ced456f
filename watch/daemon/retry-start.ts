import { setTimeout as pause } from 'node:timers/promises';
import { PlatehandError } from '../../config/errors.js';
import { isDiskTrouble } from '../../pipeline/files/disk-trouble.js';
import { Backoff, firstPauseMs, troubleMessage, whatOf } from './retry.js';

/** A folder under watch, or one that is going to be. */
export interface Watched {
  close(giveUp: AbortSignal): Promise<void>;
}

/**
 * Takes a folder under watch, now or as soon as its disk allows it: a disk that is read-only, full or not reachable yet
 * is told once and waited out. Other folders need not wait for it.
 * @param begin takes the folder; `waitedFor` says what the trouble was, once it is over
 * @param tell is given each trouble once
 * @param pauseMs the pause before the second try, in milliseconds; the following ones grow to a minute; default a second
 * @throws what `begin` throws, unless it goes away by itself
 */
export async function startWithRetry(
  begin: (waitedFor?: string) => Promise<Watched>,
  tell: (message: string) => void,
  pauseMs = firstPauseMs,
): Promise<Watched> {
  try {
    return await begin();
  } catch (thrown) {
    if (!goesAwayByItself(thrown)) throw thrown;
    return new WaitingStart(begin, tell, new Backoff(pauseMs), thrown);
  }
}

/** Whether a refusal is about the disk. One about the job itself is wrong use, and stays one however long one waits. */
function goesAwayByItself(thrown: unknown): boolean {
  if (!(thrown instanceof PlatehandError)) return isDiskTrouble(thrown);
  return thrown.code === 'write-failed' || (thrown.code === 'job-unreadable' && isDiskTrouble(thrown.cause));
}

class WaitingStart implements Watched {
  private readonly ended = new AbortController();
  private readonly starting: Promise<Watched | undefined>;

  constructor(
    private readonly begin: (waitedFor?: string) => Promise<Watched>,
    private readonly tell: (message: string) => void,
    private readonly backoff: Backoff,
    first: unknown,
  ) {
    this.starting = this.tryAgain(first);
  }

  async close(giveUp: AbortSignal): Promise<void> {
    this.ended.abort();
    const watched = await this.starting;
    await watched?.close(giveUp);
  }

  /** From here on everything is waited out, also a job.yaml that somebody breaks meanwhile: other folders go on. */
  private async tryAgain(first: unknown): Promise<Watched | undefined> {
    const { signal } = this.ended;
    for (let trouble = first; ; ) {
      const { isNew, pauseMs } = this.backoff.failed(whatOf(trouble));
      if (isNew) this.tell(troubleMessage(trouble));
      await pause(pauseMs, undefined, { signal }).catch(() => undefined);
      if (signal.aborted) return undefined;
      try {
        return await this.begin(whatOf(trouble));
      } catch (thrown) {
        trouble = thrown;
      }
    }
  }
}
