import { setTimeout as pause } from 'node:timers/promises';
import { messageOf, PlatehandError } from '../../config/errors.js';
import { codeOf } from '../files/disk-trouble.js';

/** What a shared store says when it does not do as it is asked, in words and with a remedy. */

/** A store that cannot be reached, or takes nothing more; it may pass. */
export function storeUnreachable(
  address: string,
  what: string,
  remedy: string,
  cause?: unknown,
): PlatehandError {
  return new PlatehandError('store-unreachable', `The store ${address} ${what}`, remedy, { cause });
}

/** An object whose bytes are others than its name says, each time they are read. */
export function storeDamaged(address: string, name: string): PlatehandError {
  return new PlatehandError(
    'store-damaged',
    `The store ${address} holds other bytes than were put there, in ${name}`,
    'The page is made anew; check the disk of the store, since it changed what it kept.',
  );
}

/** A local file that is another by now than the one that was to be put. */
export function fileChanged(path: string): PlatehandError {
  return new PlatehandError(
    'picture-changed',
    'the file was changed while it was brought to the store',
    'It is taken up again once nobody writes to it',
    { place: { file: path } },
  );
}

const full = 'Make room there; a sweep removes what no result names.';
const rights = 'Allow this user to write there, then try again.';
const share = 'Mount the share again, and check its server and the network.';

const folderReasons: Readonly<Record<string, readonly [what: string, remedy: string]>> = {
  ENOSPC: ['is full', full],
  EDQUOT: ['has no room left for this user', full],
  EFBIG: ['takes no file as large', 'Use a file system that takes large files.'],
  EACCES: ['denied access', rights],
  EPERM: ['refused it', rights],
  EROFS: ['is read-only', 'Mount it so that it can be written to.'],
  ENOENT: ['is gone in part', share],
  ENOTDIR: ['has a file where a folder should be', 'Move that file away.'],
};

/** What the system said about a file of a store in a folder. */
export function folderTrouble(address: string, thrown: unknown): PlatehandError {
  if (thrown instanceof PlatehandError) return thrown;
  const code = codeOf(thrown);
  const [what, remedy] = folderReasons[code] ?? [
    `does not answer as it should (${code || messageOf(thrown)})`,
    share,
  ];
  return storeUnreachable(address, what, remedy, thrown);
}

/** Times that something is tried, and the first pause; each further one is twice as long. */
const tries = 4;
const firstPauseMs = 150;

/** Does something, and again after a pause while what it throws is such that it passes. */
export async function retried<T>(action: () => Promise<T>, passes: (thrown: unknown) => boolean): Promise<T> {
  for (let tried = 1; ; tried++) {
    try {
      return await action();
    } catch (thrown) {
      if (tried >= tries || !passes(thrown)) throw thrown;
      await pause(firstPauseMs * 2 ** (tried - 1));
    }
  }
}
