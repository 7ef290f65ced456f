import { rm, stat } from 'node:fs/promises';
import { hostname } from 'node:os';
import { join } from 'node:path';
import { makeFolder, writeWhole } from '../../pipeline/files/atomic.js';
import { isDiskTrouble, writeFailed } from '../../pipeline/files/disk-trouble.js';
import { type Lock, readHolder, takeLock } from '../../pipeline/store/lock.js';

/** What a daemon and the commands beside it leave for each other in `.platehand/`: the daemon's lock, and the pause. */

/** Where the lock of a folder's daemon stands. */
export function watchLockPath(jobFolder: string): string {
  return join(jobFolder, '.platehand', 'watch.lock');
}

/** The lock that one daemon has on a job folder. */
export class FolderLock {
  private constructor(
    private readonly jobFolder: string,
    private lock: Lock,
  ) {}

  /** @throws PlatehandError `lock-held`, which names the daemon that has the folder; `write-failed` */
  static async take(jobFolder: string): Promise<FolderLock> {
    return new FolderLock(jobFolder, await take(jobFolder));
  }

  /**
   * Takes the lock again when it is gone, as after the folder was made anew.
   * @throws PlatehandError `lock-held` when another daemon has taken it instead
   */
  async ensure(): Promise<void> {
    const holder = await readHolder(watchLockPath(this.jobFolder));
    // Two machines may have the same number.
    if (holder?.pid === process.pid && holder.host === hostname()) return;
    await this.lock.release();
    this.lock = await take(this.jobFolder);
  }

  /** A lock that the disk does not let go is left: once this process has ended, it belongs to nobody. */
  async release(): Promise<void> {
    await this.lock.release().catch(() => undefined);
  }
}

async function take(jobFolder: string): Promise<Lock> {
  try {
    return await takeLock(watchLockPath(jobFolder), 'platehand watch', 0);
  } catch (thrown) {
    throw isDiskTrouble(thrown) ? writeFailed(watchLockPath(jobFolder), thrown) : thrown;
  }
}

/** The file that pauses a folder's daemon as long as it is there. */
function pausePath(jobFolder: string): string {
  return join(jobFolder, '.platehand', 'paused');
}

/** Asks the folder's daemon, now or later, to begin no more pages. */
export async function pauseByHand(jobFolder: string): Promise<void> {
  await makeFolder(join(jobFolder, '.platehand'));
  await writeWhole(pausePath(jobFolder), Buffer.from('Remove this file, or run: platehand resume\n'));
}

/**
 * Lets the folder's daemon go on; without a pause it changes nothing.
 * @throws PlatehandError `write-failed`
 */
export async function resumeByHand(jobFolder: string): Promise<void> {
  const path = pausePath(jobFolder);
  await rm(path, { force: true }).catch((thrown: unknown) => {
    throw writeFailed(path, thrown);
  });
}

/** Whether the folder's daemon is asked to begin no more pages. */
export async function isPausedByHand(jobFolder: string): Promise<boolean> {
  return stat(pausePath(jobFolder)).then(
    () => true,
    () => false,
  );
}
