import { updateContactSheet } from '../../pipeline/issue/sheet-update.js';
import type { IssueBoard } from './issue-board.js';
import { drawSheetApart } from './sheet-drawing.js';

/** While pages keep coming, the sheet is not put off for longer than this, in milliseconds. */
const longestDelayMs = 15_000;

export interface SheetListener {
  /** The sheet shows what the board says. */
  drawn(): void;
  trouble(thrown: unknown): void;
}

/** Keeps the contact sheet current: draws it a moment after the last change, so that a burst of pages is one drawing. */
export class SheetKeeper {
  private timer: NodeJS.Timeout | undefined;
  private latestMs = 0;
  private drawing = Promise.resolve();
  private closed = false;
  /** Whether the sheet may not show what the board says. */
  isDue = false;

  constructor(
    private readonly board: IssueBoard,
    private readonly delayMs: number,
    private readonly listener: SheetListener,
  ) {}

  soon(): void {
    if (this.closed) return;
    const now = performance.now();
    if (this.timer === undefined) this.latestMs = now + longestDelayMs;
    this.isDue = true;
    clearTimeout(this.timer);
    this.timer = setTimeout(
      () => {
        this.timer = undefined;
        this.drawing = this.drawing.then(() => this.draw());
      },
      Math.max(0, Math.min(this.delayMs, this.latestMs - now)),
    );
  }

  async close(): Promise<void> {
    this.closed = true;
    clearTimeout(this.timer);
    await this.drawing;
  }

  private async draw(): Promise<void> {
    const { board } = this;
    if (this.closed || board.reconciliation === undefined) return;
    try {
      // Not under the job's lock: pages need not wait for the drawing, and the sheet is replaced as a whole.
      await updateContactSheet(board.job, board.report(), board.runs, drawSheetApart);
      this.isDue = this.timer !== undefined;
      this.listener.drawn();
    } catch (thrown) {
      if (!this.closed) this.listener.trouble(thrown);
    }
  }
}
