import { join } from 'node:path';
import { isDiskTrouble, writeFailed } from '../pipeline/files/atomic.js';
import { type Lock, readHolder, takeLock } from '../pipeline/work/lock.js';

/** Where the lock of a folder's daemon stands. */
export function watchLockPath(jobFolder: string): string {
  return join(jobFolder, '.platehand', 'watch.lock');
}

/** The hold that one daemon has on a job folder. */
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
  async keep(): Promise<void> {
    const holder = await readHolder(watchLockPath(this.jobFolder));
    if (holder?.pid === process.pid) return;
    await this.lock.release();
    this.lock = await take(this.jobFolder);
  }

  async release(): Promise<void> {
    await this.lock.release();
  }
}

async function take(jobFolder: string): Promise<Lock> {
  try {
    return await takeLock(watchLockPath(jobFolder), 'platehand watch', 0);
  } catch (thrown) {
    throw isDiskTrouble(thrown) ? writeFailed(watchLockPath(jobFolder), thrown) : thrown;
  }
}
