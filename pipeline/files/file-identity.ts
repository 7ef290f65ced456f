import { stat } from 'node:fs/promises';
import { exitCode, messageOf, PlatehandError } from '../../config/errors.js';
import type { FileIdentity } from '../model/page-request.js';

/** The file as it is now. */
export async function identityOf(path: string): Promise<FileIdentity> {
  const { size, mtimeMs, ctimeMs, ino } = await stat(path);
  return { bytes: size, mtimeMs, ctimeMs, inode: ino };
}

export function sameIdentity(a: FileIdentity | undefined, b: FileIdentity): boolean {
  return (
    a !== undefined &&
    a.bytes === b.bytes &&
    a.mtimeMs === b.mtimeMs &&
    a.ctimeMs === b.ctimeMs &&
    a.inode === b.inode
  );
}

/** The refusal of a working file that the system does not let us read, or that is too large to be read: under its own name. */
export function unreadable(name: string, thrown: unknown): PlatehandError {
  if (thrown instanceof PlatehandError && thrown.code === 'picture-too-large') {
    const { code, what, remedy } = thrown;
    return new PlatehandError(code, what, remedy, { place: { file: name }, exitCode: exitCode.attention });
  }
  const cause = thrown instanceof PlatehandError ? thrown.cause : thrown;
  const { code = '' } = (cause ?? {}) as NodeJS.ErrnoException;
  const what = unreadableReasons[code] ?? `The file cannot be read: ${messageOf(cause)}`;
  const remedy = 'Make it readable, or drop it again, then run again.';
  const place = { file: name };
  return new PlatehandError('picture-unreadable', what, remedy, {
    place,
    exitCode: exitCode.attention,
    cause,
  });
}

const unreadableReasons: Readonly<Record<string, string>> = {
  EACCES: 'You may not read this file',
  EPERM: 'You may not read this file',
  ENOENT: 'The file went away before it could be read',
};
