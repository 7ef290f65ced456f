import { PixelBudget } from '../../pipeline/runner/page-cost.js';

interface Waiting {
  readonly pixels: number;
  begin(): void;
}

/**
 * Whose turn it is among pages that a worker has taken: as many at a time as its pixel budget holds, in the order in which they came. A large
 * one is never overtaken by small ones, which could keep it waiting for ever.
 */
export class Turns {
  private waiting: readonly Waiting[] = [];
  private readonly budget: PixelBudget;

  /** @param most pixels in hand at most; a page of more has its turn alone */
  constructor(most: number) {
    this.budget = new PixelBudget(most);
  }

  /** Pixels in hand. */
  get pixels(): number {
    return this.budget.inHand;
  }

  /** Whether somebody waits for room: then no more is to be taken. */
  get isFull(): boolean {
    return this.waiting.length > 0;
  }

  /**
   * Runs `work` when its turn has come.
   * @param signal gives the turn up while it waits
   * @throws what `work` throws; the signal's reason
   */
  async during<T>(pixels: number, signal: AbortSignal, work: () => Promise<T>): Promise<T> {
    await this.turn(pixels, signal);
    try {
      return await work();
    } finally {
      this.budget.give(pixels);
      this.next();
    }
  }

  private turn(pixels: number, signal: AbortSignal): Promise<void> {
    return new Promise((resolve, reject) => {
      if (signal.aborted) return reject(signal.reason);
      const giveUp = () => {
        this.waiting = this.waiting.filter((one) => one !== own);
        reject(signal.reason);
        this.next();
      };
      const own: Waiting = {
        pixels,
        begin: () => {
          signal.removeEventListener('abort', giveUp);
          resolve();
        },
      };
      signal.addEventListener('abort', giveUp, { once: true });
      this.waiting = [...this.waiting, own];
      this.next();
    });
  }

  /** Lets begin what has room now; counted at once, so that no two begin in the same room. */
  private next(): void {
    for (const one of this.waiting) {
      if (!this.budget.hasRoomFor(one.pixels)) return;
      this.waiting = this.waiting.filter((other) => other !== one);
      this.budget.take(one.pixels);
      one.begin();
    }
  }
}
