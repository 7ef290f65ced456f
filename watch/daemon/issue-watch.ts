import { whileLocked } from '../../pipeline/issue/make-page.js';
import type { PageRun } from '../../pipeline/issue/page-run.js';
import { placeStanding } from '../../pipeline/issue/place-standing.js';
import { type PlacedFiles, readPlaced } from '../../pipeline/store/placed.js';
import type { StoredResult } from '../../pipeline/store/result-store.js';
import { ArrivalNotes } from './arrival-notes.js';
import { FolderCheck, type FolderListener } from './folder-check.js';
import { keepJob } from './last-job.js';
import { hintDelayMs, LookTimer } from './look-timer.js';
import type { OpenedFolder } from './opened-folder.js';
import { PageEvents } from './page-events.js';
import { type PageTaskListener, PageTasks } from './page-tasks.js';
import { Retries, type RetryKind } from './retry.js';
import type { Watched } from './retry-start.js';
import { type SheetListener, SheetUpdates } from './sheet-updates.js';
import type { WatchContext } from './watch-options.js';
import { WorkAhead } from './work-ahead.js';

/**
 * One job folder under watch: looks at it when there is reason to, and hears from its parts what becomes of its pages, its
 * contact sheet and the folder itself.
 */
export class IssueWatch implements Watched, PageTaskListener, SheetListener, FolderListener {
  private readonly tasks: PageTasks;
  private readonly ahead: WorkAhead;
  private readonly sheet: SheetUpdates;
  private readonly check: FolderCheck;
  private readonly events: PageEvents;
  private readonly notes: ArrivalNotes;
  private readonly retries: Retries;
  private readonly timer = new LookTimer(() => this.look());
  private fullLookAtMs = 0;
  private closed = false;
  /** Files that events told of since the last look; undefined where anything may have changed. */
  private touched: Set<string> | undefined;
  private hasEvents: boolean;
  /** What stood in place after the last look, in short, by page. */
  private standing: ReadonlyMap<string, string> = new Map();

  constructor(
    private readonly opened: OpenedFolder,
    private readonly context: WatchContext,
  ) {
    const { board, journal, memory } = opened;
    this.events = new PageEvents(journal, memory);
    this.notes = new ArrivalNotes(board, journal, memory);
    this.retries = new Retries(journal);
    this.hasEvents = context.times.pollMs === undefined;
    this.tasks = new PageTasks(board, context, this);
    this.ahead = new WorkAhead(context);
    this.sheet = new SheetUpdates(board, context.times.sheetDelayMs, this, context.drawSheet);
    this.check = new FolderCheck(opened, context.times.pollMs === undefined, this);
    this.check.start();
    this.timer.soon(0);
  }

  /** Stops looking, lets the work in hand end until `giveUp` aborts, writes down what there is, and frees the folder. */
  async close(giveUp: AbortSignal): Promise<void> {
    this.closed = true;
    await this.check.close();
    this.ahead.close();
    await this.tasks.close(giveUp);
    await this.timer.close();
    await this.sheet.close(giveUp);
    const { journal, lock } = this.opened;
    journal.tell('stopped', { message: 'no longer watching' });
    await journal.close();
    await lock.release();
  }

  // What the tasks say of pages.

  isPaused(): boolean {
    return this.closed || this.check.isPaused || this.retries.waitMs > 0;
  }

  made(run: PageRun, stored: StoredResult): void {
    this.events.made(run, stored, this.opened.board.runs);
    this.succeeded('work');
    this.sheet.soon();
  }

  failed(run: PageRun): void {
    this.events.failed(run);
    this.sheet.soon();
  }

  doubted(run: PageRun, file: string, why: string, isYoung: boolean): void {
    if (isYoung) this.events.notWholeYet(run, file, why, this.context.times.graceMs);
    this.timer.soon(0);
  }

  interrupted(thrown: unknown): void {
    this.retryAfter('work', thrown);
  }

  outdated(): void {
    this.timer.soon(hintDelayMs);
  }

  // What the contact sheet says.

  drawn(): void {
    this.rest();
    const { board } = this.opened;
    if (this.tasks.isIdle && !board.isChanging) this.events.completeness(board);
  }

  notDrawn(thrown: unknown): void {
    // The next look draws it again.
    this.standing = new Map();
    this.retryAfter('work', thrown);
  }

  // What the folder's check says.

  hinted(name: string | undefined): void {
    if (name === undefined) this.touched = undefined;
    else this.touched?.add(name);
    this.timer.soon(hintDelayMs);
  }

  noEvents(why: string): void {
    this.hasEvents = false;
    const message = `no events from the system, looking at intervals: ${why}`;
    this.opened.journal.tell('trouble', { message });
  }

  pauseChanged(isPaused: boolean): void {
    const { journal } = this.opened;
    if (isPaused) journal.tell('paused', { message: 'paused: pages in hand are finished, no others begun' });
    else journal.tell('resumed', { message: 'goes on' });
    this.context.scheduler.refresh();
  }

  jobTouched(): void {
    this.timer.soon(0);
  }

  lockHeld(): void {
    this.succeeded('lock');
  }

  lockFailed(thrown: unknown): void {
    this.retryAfter('lock', thrown);
  }

  private async look(): Promise<void> {
    const { folder, board } = this.opened;
    const full = performance.now() >= this.fullLookAtMs;
    const touched = full ? undefined : this.touched;
    this.touched = this.hasEvents ? new Set() : undefined;
    // A pause may just be over.
    this.context.scheduler.refresh();
    try {
      await this.takeJobEdit();
      const before = await readPlaced(folder);
      const sync = (run: PageRun) => {
        if (!this.closed) this.tasks.sync(run);
      };
      await board.look(sync, { isFull: full, touched, isOver: () => this.closed });
      if (this.closed) return;
      this.tasks.dropOthers(new Set(board.job.pages.map(({ id }) => id)));
      await this.workAhead();
      await this.notes.write();
      this.events.looked(board);
      await this.putInPlace(full, before);
      if (full) this.fullLookAtMs = performance.now() + this.context.times.rescanMs;
      this.succeeded('look');
      if (!this.sheet.isDue) this.rest();
      this.planNextLook();
    } catch (thrown) {
      this.touched = undefined;
      this.retryAfter('look', thrown);
    }
  }

  private async workAhead(): Promise<void> {
    if (!this.context.worksAhead) return;
    const requests = this.isPaused() ? [] : await this.ahead.likelyRequests(this.opened.board);
    if (!this.closed) this.ahead.sync(requests, (subject) => this.tasks.isAt(subject));
  }

  private planNextLook(): void {
    const { board, jobFile } = this.opened;
    const { pollMs, rescanMs } = this.context.times;
    const soonMs = Math.min(
      board.table.nextLookMs() ?? Number.POSITIVE_INFINITY,
      jobFile.nextLookMs() ?? Number.POSITIVE_INFINITY,
      pollMs ?? Number.POSITIVE_INFINITY,
      // What was paused for trouble begins again with a look.
      this.retries.waitMs || Number.POSITIVE_INFINITY,
    );
    this.timer.soon(Math.min(soonMs + 1, rescanMs));
  }

  private async takeJobEdit(): Promise<void> {
    const { jobFile, board, journal } = this.opened;
    const edit = await jobFile.look();
    if (edit.kind === 'changed') {
      board.job = edit.job;
      this.standing = new Map();
      await keepJob(board.job.folder);
      journal.tell('job-changed', { message: 'job.yaml has changed; what it changes is made anew' });
    } else if (edit.kind === 'broken') {
      const message = `job.yaml cannot be followed, the last good one still holds: ${edit.message}`;
      journal.tell('job-broken', { message });
    }
  }

  /** Makes press/, plates/ and proofs/ agree with the pages, when something about them has changed. */
  private async putInPlace(full: boolean, before: PlacedFiles): Promise<void> {
    const { folder, board } = this.opened;
    const { runs, arriving, job } = board;
    const standing = board.inShort();
    const same = full ? [] : [...standing].filter(([page, short]) => this.standing.get(page) === short);
    if (!full && same.length === standing.size && same.length === this.standing.size) return;
    const leave = new Set([...arriving, ...same.map(([page]) => page)]);
    await whileLocked(folder, () => placeStanding(job, runs, before, leave));
    this.standing = standing;
    this.sheet.soon();
  }

  /** Waits before anything is tried again. */
  private retryAfter(kind: RetryKind, thrown: unknown): void {
    if (!this.closed) this.timer.notBefore(this.retries.failed(kind, thrown) + 1);
  }

  /** Nothing left to do ends trouble with the work, unless it only waits to be tried again. */
  private rest(): void {
    if (this.tasks.isIdle && this.retries.waitMs === 0) this.succeeded('work');
  }

  private succeeded(kind: RetryKind): void {
    if (!this.retries.succeeded(kind)) return;
    this.context.scheduler.refresh();
    if (kind === 'look') this.check.renewHints();
    // A look that waited for the lock need not wait any longer.
    if (kind === 'lock') this.timer.soon(0);
  }
}
