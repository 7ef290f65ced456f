import { stat } from 'node:fs/promises';
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
