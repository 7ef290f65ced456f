import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import { isDiskTrouble, writeFailed } from '../../pipeline/files/atomic.js';
import { type Lock, readHolder, takeLock } from '../../pipeline/store/lock.js';

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

  /** A lock that the disk does not let go is left: once this process has ended, it belongs to nobody. */
  async release(): Promise<void> {
    await this.lock.release().catch(() => undefined);
  }
}

async function take(jobFolder: string): Promise<Lock> {
  try {
    await makeOwnFolder(join(jobFolder, '.platehand'));
    return await takeLock(watchLockPath(jobFolder), 'platehand watch', 0);
  } catch (thrown) {
    throw isDiskTrouble(thrown) ? writeFailed(watchLockPath(jobFolder), thrown) : thrown;
  }
}

/** Made by itself, not with those above it: asked for all of them, a read-only disk answers that they are not there. */
async function makeOwnFolder(path: string): Promise<void> {
  await mkdir(path).catch((thrown: NodeJS.ErrnoException) => {
    if (thrown.code !== 'EEXIST') throw thrown;
  });
}
