import { FolderHints, type HintListener } from './folder-hints.js';
import { type FolderLock, isPausedByHand } from './folder-marks.js';
import type { JobFile } from './job-file.js';

/** How often the small things are checked: the pause, the lock, the folder itself. */
const tickMs = 1000;

/** What becomes of a folder besides its pages, as its issue is told. */
export interface FolderListener extends HintListener {
  /** Somebody has paused or resumed the folder. */
  pauseChanged(isPaused: boolean): void;
  /** job.yaml is not the one that was last looked at. */
  jobTouched(): void;
  /** The folder's lock is this daemon's. */
  lockHeld(): void;
  /** The lock is gone and cannot be taken again, or another daemon has it. */
  lockFailed(thrown: unknown): void;
}

/** What is checked. */
export interface CheckedFolder {
  readonly folder: string;
  readonly jobFile: JobFile;
  readonly lock: FolderLock;
}

/** Checks the small things of a job folder at intervals, and passes on what the system says of it meanwhile. */
export class FolderCheck {
  private readonly hints: FolderHints;
  private ticker: NodeJS.Timeout | undefined;
  private checking: Promise<void> | undefined;
  private paused = false;
  private closed = false;

  /** @param usesEvents whether the system is asked for events; without them, hints never come */
  constructor(
    private readonly checked: CheckedFolder,
    private readonly usesEvents: boolean,
    private readonly listener: FolderListener,
  ) {
    this.hints = new FolderHints(checked.folder, listener);
  }

  /** Whether somebody has paused the folder, as of the last check. */
  get isPaused(): boolean {
    return this.paused;
  }

  /** Checks at once and from then on. */
  start(): void {
    this.ticker = setInterval(() => this.tick(), tickMs);
    this.tick();
  }

  /** Asks for events anew at the next check: a folder that could not be read for a while may have lost them. */
  renewHints(): void {
    this.hints.renew();
  }

  /** Checks no more; ends when the check in hand has ended. */
  async close(): Promise<void> {
    this.closed = true;
    clearInterval(this.ticker);
    await this.checking;
    await this.hints.close();
  }

  /** One check at a time: on a slow share one may take longer than the next is away. */
  private tick(): void {
    if (this.closed) return;
    this.checking ??= this.check().finally(() => {
      this.checking = undefined;
    });
  }

  private async check(): Promise<void> {
    const { folder, jobFile, lock } = this.checked;
    const paused = await isPausedByHand(folder);
    if (this.closed) return;
    if (paused !== this.paused) {
      this.paused = paused;
      this.listener.pauseChanged(paused);
    }
    if (this.usesEvents) await this.hints.refresh().catch(() => undefined);
    if (await jobFile.hasChanged()) this.listener.jobTouched();
    // Without its job.yaml this is no job folder any more: a share that is gone leaves an empty one.
    if (this.closed || !(await jobFile.isThere())) return;
    await lock.ensure().then(
      () => this.listener.lockHeld(),
      (thrown: unknown) => this.listener.lockFailed(thrown),
    );
  }
}
