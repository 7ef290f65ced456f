import { updateIssuePdfs } from '../../pipeline/issue/issue-pdf.js';
import { updateReport } from '../../pipeline/issue/report-update.js';
import { dropOldSights } from '../../pipeline/issue/seen-as.js';
import { updateContactSheet, updatePalettes } from '../../pipeline/issue/sheet-update.js';
import { updateSwatches } from '../../pipeline/issue/swatch-update.js';
import type { IssuePictureRequest } from '../../pipeline/model/sheet-request.js';
import type { IssueBoard } from './issue-board.js';
import type { WatchContext } from './watch-options.js';

/** While pages keep coming, the sheet is not put off for longer than this, in milliseconds. */
const longestDelayMs = 15_000;

/** What becomes of contact sheet and report, as their issue is told. */
export interface SheetListener {
  /** Both show what the board says. */
  drawn(): void;
  /** One could not be made, or not be written. */
  notDrawn(thrown: unknown): void;
}

/** Draws the contact sheet and writes the report anew as the pages change: a moment after the last change, so that a burst of pages is one drawing. */
export class SheetUpdates {
  private timer: NodeJS.Timeout | undefined;
  private latestMs = 0;
  private drawing = Promise.resolve();
  private readonly dropped = new AbortController();
  private closed = false;
  /** Whether the sheet may not show what the board says. */
  isDue = false;

  constructor(
    private readonly board: IssueBoard,
    private readonly delayMs: number,
    private readonly listener: SheetListener,
    private readonly drawSheet: WatchContext['drawSheet'],
  ) {}

  /** Something has changed that the sheet may show. */
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

  /** Draws no more; lets the drawing in hand end until `giveUp` aborts: the next start finds the sheet outdated and draws it. */
  async close(giveUp: AbortSignal): Promise<void> {
    this.closed = true;
    clearTimeout(this.timer);
    const drop = () => this.dropped.abort();
    if (giveUp.aborted) drop();
    else giveUp.addEventListener('abort', drop, { once: true });
    await this.drawing;
  }

  private async draw(): Promise<void> {
    const { board } = this;
    if (this.closed || board.reconciliation === undefined) return;
    try {
      // Not under the job's lock: pages need not wait for the drawing, and the sheet is replaced as a whole.
      const draw = (sheet: IssuePictureRequest) => this.drawSheet(sheet, this.dropped.signal);
      await updateContactSheet(board.job, board.report(), board.runs, draw);
      await updatePalettes(board.job, board.report(), draw);
      await updateReport(board.job, board.report());
      // A PDF of all pages is made by a run and by a delivery; one that no longer holds what the pages are must not lie about.
      await updateIssuePdfs(board.job, board.report().pages, false);
      await dropOldSights(board.job.folder);
      // A sheet is drawn by a run: the colour engine would stay in this process.
      await updateSwatches(board.job, board.report().pages, false);
      this.isDue = this.timer !== undefined;
      this.listener.drawn();
    } catch (thrown) {
      if (!this.closed) this.listener.notDrawn(thrown);
    }
  }
}
