import { messageOf, PlatehandError } from '../../config/errors.js';

/**
 * What the system says about a write, as a refusal with a fitting remedy.
 * @returns `write-failed`, which may pass, or `name-too-long`, which stays until the name is another
 */
export function writeFailed(path: string, thrown: unknown): PlatehandError {
  if (thrown instanceof PlatehandError && thrown.code === 'write-failed') return thrown;
  const code = codeOf(thrown);
  if (code === 'ENAMETOOLONG') return nameTooLong(path, thrown);
  const reason = reasons[code] ?? {
    what: messageOf(thrown),
    remedy: 'Check the disk and the folder, then run again.',
  };
  return new PlatehandError('write-failed', `The file could not be written: ${reason.what}`, reason.remedy, {
    place: { file: path },
    cause: thrown,
  });
}

function nameTooLong(path: string, cause: unknown): PlatehandError {
  const what = 'The file could not be written: the name is too long';
  const remedy = 'Shorten the naming pattern in job.yaml, or keep the job folder further up on its disk.';
  return new PlatehandError('name-too-long', what, remedy, { place: { file: path }, cause });
}

const reasons: Readonly<Record<string, { readonly what: string; readonly remedy: string }>> = {
  ENOSPC: {
    // Without free inodes the system says the same.
    what: 'the disk is full, or takes no more files',
    remedy: 'Make room on that disk (df and df -i tell), then run again.',
  },
  EDQUOT: { what: 'your share of the disk is used up', remedy: 'Make room on that disk, then run again.' },
  EACCES: { what: 'access was denied', remedy: 'Allow writing to that folder, then run again.' },
  EPERM: {
    what: 'the system refused it',
    remedy: 'Allow writing to that folder and close programs that have the file open, then run again.',
  },
  EBUSY: { what: 'another program holds it', remedy: 'Close the file in other programs, then run again.' },
  EROFS: { what: 'the disk is read-only', remedy: 'Use a job folder on a disk that can be written to.' },
  ENOENT: {
    what: 'the folder, or the file to copy, is gone',
    remedy: 'Bring the folder back, then run again.',
  },
  ENOTDIR: { what: 'part of its path is a file', remedy: 'Move that file away, then run again.' },
  EEXIST: {
    what: 'something else has that name',
    remedy: 'Move it away, then run again.',
  },
  EISDIR: { what: 'a folder has that name', remedy: 'Move that folder away, then run again.' },
};

/** What the system was asked for when it refused to write. */
const writingCalls = new Set([
  'mkdir',
  'rmdir',
  'unlink',
  'rename',
  'link',
  'write',
  'fsync',
  'ftruncate',
  'copyfile',
  'utime',
  'futime',
]);

/** What the system says about a write that nobody has put into words; anything else as it is. */
export function inWords(thrown: unknown): unknown {
  const { path, syscall = '' } = (thrown ?? {}) as NodeJS.ErrnoException;
  const code = codeOf(thrown);
  const isWriting = writingCalls.has(syscall) || code === 'EROFS' || code === 'ENOSPC' || code === 'EDQUOT';
  return isWriting && code in reasons ? writeFailed(path ?? 'this folder', thrown) : thrown;
}

/**
 * Whether something that was thrown is about the disk or the folder, not about the program, so that it may pass. A name
 * that is too long for the disk does not get shorter by waiting.
 */
export function isDiskTrouble(thrown: unknown): boolean {
  return codeOf(thrown) in reasons || otherDiskCodes.has(codeOf(thrown));
}

/** A share that went away, a failing disk, too many open files. */
const otherDiskCodes = new Set([
  'EIO',
  'ESTALE',
  'ENODEV',
  'ENXIO',
  'EHOSTDOWN',
  'EHOSTUNREACH',
  'ENOTCONN',
  'ETIMEDOUT',
  'EMFILE',
  'ENFILE',
]);

/** The system's short code of something that was thrown, such as ENOSPC; empty where it has none. */
export function codeOf(thrown: unknown): string {
  if (thrown instanceof Error && 'code' in thrown && typeof thrown.code === 'string') return thrown.code;
  return '';
}
