import { whileLocked } from '../../pipeline/issue/make-page.js';
import { placeStanding } from '../../pipeline/issue/place-standing.js';
import { type PlacedFiles, readPlaced } from '../../pipeline/store/placed.js';
import { ArrivalNotes } from './arrival-notes.js';
import { FolderHints } from './folder-hints.js';
import { FolderLock } from './folder-lock.js';
import { IssueBoard } from './issue-board.js';
import { IssueJournal } from './issue-journal.js';
import { recall } from './issue-memory.js';
import { JobFile } from './job-file.js';
import { removeLeftovers } from './leftovers.js';
import { hintDelayMs, LookTimer } from './look-timer.js';
import { PageNews } from './page-events.js';
import { PageTasks, type Workshop } from './page-tasks.js';
import { isPausedByHand } from './pause-file.js';
import { overMessage, type TroubleKind, Troubles } from './retry.js';
import { SheetKeeper } from './sheet-keeper.js';
import type { WatchEvent } from './watch-event.js';
import type { WatchTimes } from './watch-times.js';

/** How often the small things are checked: the pause, the lock, the folder itself. */
const tickMs = 1000;

/** One job folder under watch: its files, its pages, its contact sheet. */
export class IssueWatch {
  private readonly tasks: PageTasks;
  private readonly sheet: SheetKeeper;
  private readonly troubles: Troubles;
  private readonly hints: FolderHints;
  private readonly ticker: NodeJS.Timeout;
  private readonly timer = new LookTimer(() => this.look());
  private ticking: Promise<void> | undefined;
  private fullLookAtMs = 0;
  private pausedByHand = false;
  private closed = false;
  /** What stood in place after the last look, in short. */
  private standing = '';

  private constructor(
    readonly folder: string,
    private readonly board: IssueBoard,
    private readonly jobFile: JobFile,
    private readonly journal: IssueJournal,
    private readonly news: PageNews,
    private readonly notes: ArrivalNotes,
    private readonly workshop: Workshop,
    private readonly times: WatchTimes,
    private readonly lock: FolderLock,
  ) {
    this.troubles = new Troubles(journal);
    this.tasks = new PageTasks(board, workshop, {
      isPaused: () => this.isPaused(),
      made: (run, stored) => {
        this.news.made(run, stored);
        this.overcome('work');
        this.sheet.soon();
      },
      failed: (run) => {
        this.news.failed(run);
        this.sheet.soon();
      },
      doubted: (run, file, why, isYoung) => {
        if (isYoung) this.news.notWholeYet(run, file, why, times.graceMs);
        this.timer.soon(0);
      },
      trouble: (thrown) => this.suffer('work', thrown),
      outdated: () => this.timer.soon(hintDelayMs),
    });
    this.sheet = new SheetKeeper(board, times.sheetDelayMs, {
      drawn: () => {
        this.rest();
        this.news.completeness(board);
      },
      trouble: (thrown) => {
        this.standing = ''; // The next look draws it again.
        this.suffer('work', thrown);
      },
    });
    const onFailure = (message: string) =>
      this.journal.tell('trouble', {
        message: `no events from the system, looking at intervals: ${message}`,
      });
    this.hints = new FolderHints(folder, () => this.timer.soon(hintDelayMs), onFailure);
    this.ticker = setInterval(() => this.tick(), tickMs);
  }

  /**
   * Takes a folder under watch.
   * @param waitedFor trouble that had kept it from being watched and is over now
   * @throws PlatehandError `lock-held` when another daemon has it; what loadJob throws for a job.yaml that cannot be
   *   followed
   */
  static async open(
    folder: string,
    times: WatchTimes,
    workshop: Workshop,
    onEvent: (event: WatchEvent) => void,
    waitedFor?: string,
  ): Promise<IssueWatch> {
    const jobFile = await JobFile.open(folder, Math.min(times.settleMs, 500));
    const lock = await FolderLock.take(folder);
    try {
      const board = await IssueBoard.open(jobFile.job, times);
      const memory = await recall(folder);
      const journal = new IssueJournal(folder, () => board.job.issue, onEvent);
      const news = new PageNews(journal, memory);
      const notes = new ArrivalNotes(board, journal, memory);
      await removeLeftovers(folder);
      if (waitedFor !== undefined) journal.tell('trouble-over', { message: overMessage(waitedFor) });
      journal.tell('started', { message: `watching ${folder}` });
      for (const { line, what } of memory.damage) {
        journal.tell('ledger-damaged', {
          message: `line ${line} of the ledger: ${what}; it is left as it is`,
        });
      }
      const watch = new IssueWatch(folder, board, jobFile, journal, news, notes, workshop, times, lock);
      watch.tick();
      watch.timer.soon(0);
      return watch;
    } catch (thrown) {
      await lock.release();
      throw thrown;
    }
  }

  /** Stops looking, lets the work in hand end until `giveUp` aborts, writes down what there is, and frees the folder. */
  async close(giveUp: AbortSignal): Promise<void> {
    this.closed = true;
    clearInterval(this.ticker);
    await this.ticking;
    await this.hints.close();
    await this.tasks.close(giveUp);
    await this.timer.close();
    await this.sheet.close();
    this.journal.tell('stopped', { message: 'no longer watching' });
    await this.journal.close();
    await this.lock.release();
  }

  private isPaused(): boolean {
    return this.closed || this.pausedByHand || this.troubles.waitMs > 0;
  }

  /** Checks the small things, one check at a time: on a slow share one may take longer than the next is away. */
  private tick(): void {
    if (this.closed) return;
    this.ticking ??= this.check().finally(() => {
      this.ticking = undefined;
    });
  }

  private async check(): Promise<void> {
    const paused = await isPausedByHand(this.folder);
    if (this.closed) return;
    if (paused !== this.pausedByHand) {
      this.pausedByHand = paused;
      if (paused)
        this.journal.tell('paused', { message: 'paused: pages in hand are finished, no others begun' });
      else this.journal.tell('resumed', { message: 'goes on' });
      this.workshop.scheduler.refresh();
    }
    if (this.times.pollMs === undefined) await this.hints.refresh().catch(() => undefined);
    if (await this.jobFile.hasChanged()) this.timer.soon(0);
    // Without its job.yaml this is no job folder any more: a share that is gone leaves an empty one.
    if (this.closed || !(await this.jobFile.isThere())) return;
    await this.lock.keep().then(
      () => this.overcome('lock'),
      (thrown: unknown) => this.suffer('lock', thrown),
    );
  }

  private async look(): Promise<void> {
    const full = performance.now() >= this.fullLookAtMs;
    // A pause may just be over.
    this.workshop.scheduler.refresh();
    try {
      await this.takeJobEdit();
      const before = await readPlaced(this.folder);
      await this.board.look((run) => {
        if (!this.closed) this.tasks.sync(run);
      });
      if (this.closed) return;
      this.tasks.keepOnly(new Set(this.board.job.pages.map(({ id }) => id)));
      await this.notes.write();
      this.news.looked(this.board);
      await this.putInPlace(full, before);
      if (full) this.fullLookAtMs = performance.now() + this.times.rescanMs;
      this.overcome('look');
      if (!this.sheet.isDue) this.rest();
      this.planNextLook();
    } catch (thrown) {
      this.suffer('look', thrown);
    }
  }

  private planNextLook(): void {
    const soonMs = Math.min(
      this.board.table.nextLookMs() ?? Number.POSITIVE_INFINITY,
      this.jobFile.nextLookMs() ?? Number.POSITIVE_INFINITY,
      this.times.pollMs ?? Number.POSITIVE_INFINITY,
      // What was paused for trouble begins again with a look.
      this.troubles.waitMs || Number.POSITIVE_INFINITY,
    );
    this.timer.soon(Math.min(soonMs + 1, this.times.rescanMs));
  }

  private async takeJobEdit(): Promise<void> {
    const edit = await this.jobFile.look();
    if (edit.kind === 'changed') {
      this.board.job = edit.job;
      this.standing = '';
      this.journal.tell('job-changed', { message: 'job.yaml has changed; what it changes is made anew' });
    } else if (edit.kind === 'broken') {
      this.journal.tell('job-broken', {
        message: `job.yaml cannot be followed, the last good one still holds: ${edit.message}`,
      });
    }
  }

  /** Brings press/, plates/ and proofs/ in line with the pages, when something about them has changed. */
  private async putInPlace(full: boolean, before: PlacedFiles): Promise<void> {
    const { runs, arriving, job } = this.board;
    const standing = this.board.inShort();
    if (!full && standing === this.standing) return;
    await whileLocked(this.folder, () => placeStanding(job, runs, before, arriving));
    this.standing = standing;
    this.sheet.soon();
  }

  /** Waits before anything is tried again. */
  private suffer(kind: TroubleKind, thrown: unknown): void {
    if (!this.closed) this.timer.notBefore(this.troubles.suffer(kind, thrown) + 1);
  }

  /** Nothing left to do ends trouble with the work, unless it only waits to be tried again. */
  private rest(): void {
    if (this.tasks.isIdle && this.troubles.waitMs === 0) this.overcome('work');
  }

  private overcome(kind: TroubleKind): void {
    if (!this.troubles.overcome(kind)) return;
    this.workshop.scheduler.refresh();
    if (kind === 'look') this.hints.renew();
    // A look that waited for the lock need not wait any longer.
    if (kind === 'lock') this.timer.soon(0);
  }
}
