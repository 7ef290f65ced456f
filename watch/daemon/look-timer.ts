/** Events come in bursts; one look serves those that come within this time, in milliseconds. */
export const hintDelayMs = 25;

/**
 * Decides when the next look is due: never two at a time, the soonest wish counts, and a wish that comes during a look
 * leads to another one.
 */
export class LookTimer {
  private timer: NodeJS.Timeout | undefined;
  private atMs = Number.POSITIVE_INFINITY;
  private looking: Promise<void> | undefined;
  private again = false;
  private closed = false;

  /** @param look must not throw */
  constructor(private readonly look: () => Promise<void>) {}

  /** Looks after that time at the latest. */
  soon(delayMs: number): void {
    if (this.closed) return;
    if (this.looking !== undefined && delayMs <= hintDelayMs) this.again = true;
    if (performance.now() + delayMs < this.atMs) this.set(delayMs);
  }

  /** Looks after that time and not before, unless something happens. */
  notBefore(delayMs: number): void {
    if (!this.closed) this.set(delayMs);
  }

  /** Looks no more; ends when the look in hand has ended. */
  async close(): Promise<void> {
    this.closed = true;
    clearTimeout(this.timer);
    await this.looking;
  }

  private set(delayMs: number): void {
    clearTimeout(this.timer);
    this.atMs = performance.now() + delayMs;
    this.timer = setTimeout(() => this.start(), delayMs);
  }

  private start(): void {
    this.atMs = Number.POSITIVE_INFINITY;
    if (this.looking !== undefined) {
      this.again = true;
      return;
    }
    this.looking = this.look().finally(() => {
      this.looking = undefined;
      if (!this.again) return;
      this.again = false;
      this.soon(hintDelayMs);
    });
  }
}
