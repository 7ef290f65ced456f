import { createHash } from 'node:crypto';
import { hostname } from 'node:os';

/** This machine in unfinished files' names: six hex digits of the SHA-256 of its name. */
const machine = createHash('sha256').update(hostname()).digest('hex').slice(0, 6);

/** Who makes an unfinished file, as its name tells: machine and process, such as `3fa9c1-4711`. */
export const ownerTag = `${machine}-${process.pid}`;

/** A pattern of names for one or another owner, to be put into a regular expression; the two groups are its parts. */
export const ownerPattern = '([0-9a-f]{6})-(\\d+)';

/**
 * Whether the owner of an unfinished file is known to be gone. Of another machine's processes nobody here can tell, so
 * theirs are left alone. Nothing of this process's own is unfinished when it begins: its number was another's before.
 */
export function ownerIsGone(ofMachine: string, pid: number): boolean {
  if (ofMachine !== machine) return false;
  if (pid === process.pid) return true;
  try {
    process.kill(pid, 0);
    return false;
  } catch (thrown) {
    return (thrown as NodeJS.ErrnoException).code !== 'EPERM';
  }
}
