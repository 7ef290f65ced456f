import { stat } from 'node:fs/promises';
import { basename, join, relative, sep } from 'node:path';
import { type FSWatcher, watch } from 'chokidar';
import { maxFolderDepth } from '../../pipeline/names/incoming.js';

/** Who hears of the folder. */
export interface HintListener {
  /**
   * Something may have happened in the folder.
   * @param name of the file that it happened to, relative to incoming/; undefined where it may be anything
   */
  hinted(name: string | undefined): void;
  /** Events cannot be had, as when the system's limit for them is used up, and why. */
  noEvents(why: string): void;
}

/** The folder that events are taken from, as the disk knows it. */
interface Watched {
  readonly watcher: FSWatcher;
  incoming: string;
}

/**
 * Says when something may have happened in a job folder. Events are hints only: some never come (network shares), some
 * come early, and a folder that is deleted and made again has none at all, which is why its number on the disk is
 * checked. The daemon looks for itself, after each hint and at intervals.
 */
export class FolderHints {
  private watched: Watched | undefined;

  constructor(
    private readonly jobFolder: string,
    private readonly listener: HintListener,
  ) {}

  /** Starts to take events, or starts anew when incoming/ is another folder than before. */
  async refresh(): Promise<void> {
    const incoming = join(this.jobFolder, 'incoming');
    const number = await folderNumber(incoming);
    if (number === this.watched?.incoming) return;
    await this.close();
    if (number === '') return;
    const watcher = watch([incoming, join(this.jobFolder, 'job.yaml')], {
      ignoreInitial: true,
      followSymlinks: false,
      // The look itself tells what may not be read, and waits for it.
      ignorePermissionErrors: true,
      depth: maxFolderDepth + 1,
      ignored: (path) => /^\._|\.(?:tmp|part|crdownload|partial|swp|lock)$/i.test(basename(path)),
    });
    watcher.on('all', (event, path) => {
      // Of a folder that was deleted and made again there would be no more events.
      if (event === 'unlinkDir' && path === incoming && this.watched?.watcher === watcher) {
        this.watched.incoming = 'gone';
      }
      this.listener.hinted(fileEvents.has(event) ? nameIn(incoming, path) : undefined);
    });
    watcher.on('error', (error) => this.listener.noEvents(String(error)));
    this.watched = { watcher, incoming: number };
    this.listener.hinted(undefined);
  }

  /** Lets the next refresh start anew: a folder that could not be read for a while may have lost its events. */
  renew(): void {
    if (this.watched !== undefined) this.watched.incoming = 'gone';
  }

  async close(): Promise<void> {
    const { watched } = this;
    this.watched = undefined;
    await watched?.watcher.close();
  }
}

/** Events that are about one file. */
const fileEvents = new Set(['add', 'change', 'unlink']);

/** A path as the listing of the folder names it; undefined for what is not in the folder. */
function nameIn(folder: string, path: string): string | undefined {
  const name = relative(folder, path);
  return name.startsWith('..') ? undefined : name.split(sep).join('/');
}

/** What tells a folder from another of its name; empty when there is none. */
async function folderNumber(path: string): Promise<string> {
  try {
    // The number alone is not enough: a new folder may get the one that has just become free.
    const { dev, ino, birthtimeMs } = await stat(path);
    return `${dev} ${ino} ${birthtimeMs}`;
  } catch {
    return '';
  }
}
