/** The longest pause between two tries, in milliseconds. */
const longestPauseMs = 60_000;

/**
 * Waits out trouble that goes away by itself: a full disk, a share that is gone. Each kind of trouble is told once, and
 * the pauses between tries grow from the first one up to a minute.
 */
export class Patience {
  private told: string | undefined;
  private pauseMs = 0;

  constructor(private readonly firstPauseMs: number) {}

  /** What was told and is not over. */
  get trouble(): string | undefined {
    return this.told;
  }

  /** @returns whether this has to be told, and how long to wait before the next try */
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
