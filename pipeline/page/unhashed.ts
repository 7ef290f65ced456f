import { exitCode, messageOf, PlatehandError } from '../../config/errors.js';
import type { Press } from '../../config/press.js';
import type { PageRequest, RequestedFile, UnreadRequest } from '../model/page-request.js';
import { readHashed } from '../reading/hash-file.js';
import { pageKey } from './page-key.js';

/** A request with its key, and what its files hold as far as that has been read already. */
export interface ReadRequest {
  readonly request: PageRequest;
  /** By path. */
  readonly contents: ReadonlyMap<string, Buffer>;
}

/**
 * Reads the files of a request that nobody has read, and finds its key. One that has a key is handed on as it is.
 * @throws PlatehandError `picture-unreadable` where a file cannot be read
 */
export async function readRequest(asked: PageRequest | UnreadRequest, press: Press): Promise<ReadRequest> {
  if (asked.key !== undefined) return { request: asked, contents: new Map() };
  const contents = new Map<string, Buffer>();
  const files: RequestedFile[] = [];
  for (const file of asked.files) {
    const { sha256, bytes, content } = await readHashed(file.path).catch((thrown: unknown) => {
      throw unreadable(file.name, thrown);
    });
    if (content !== undefined) contents.set(file.path, content);
    files.push({ ...file, bytes, sha256 });
  }
  const read = { ...asked, files };
  return { request: { ...read, key: pageKey(read, press) }, contents };
}

/** The refusal of a working file that the system does not let us read. */
export function unreadable(name: string, thrown: unknown): PlatehandError {
  const cause = thrown instanceof PlatehandError ? thrown.cause : thrown;
  const { code = '' } = (cause ?? {}) as NodeJS.ErrnoException;
  const what = unreadableReasons[code] ?? `The file cannot be read: ${messageOf(cause)}`;
  return new PlatehandError(
    'picture-unreadable',
    what,
    'Make it readable, or drop it again, then run again.',
    {
      place: { file: name },
      exitCode: exitCode.attention,
      cause,
    },
  );
}

const unreadableReasons: Readonly<Record<string, string>> = {
  EACCES: 'You may not read this file',
  EPERM: 'You may not read this file',
  ENOENT: 'The file went away before it could be read',
};
