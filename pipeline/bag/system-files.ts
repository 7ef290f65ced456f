import type { BagFile } from './bag-listing.js';
import type { BagNote } from './bag-notes.js';
import type { Manifest } from './bag-tags.js';

/**
 * Files that systems leave in every folder that somebody opens: a receiver who has unpacked a bag and looked at it has them,
 * and the sender can do nothing about it. Common practice on the usual systems, no published source.
 */
const systemNames: readonly RegExp[] = [
  /^\.DS_Store$/,
  /^\._/,
  /^(?:\.Spotlight-V100|\.Trashes|\.fseventsd|\.TemporaryItems|\.apdisk|\.localized|Icon\r)$/,
  /^(?:(?:eh)?thumbs\.db|desktop\.ini)$/i,
  /^(?:__MACOSX|@eaDir|\$RECYCLE\.BIN|System Volume Information)$/i,
  /^(?:\.directory|\.nfs[0-9a-f]+)$/,
];

/** How many are named; a look into each folder leaves one in each. */
const namedAtMost = 5;

/** Paths of files that a system has left and that no manifest lists: what the sender did pack is no litter. */
export function systemFiles(files: ReadonlyMap<string, BagFile>, manifests: readonly Manifest[]): string[] {
  const isLeft = (path: string) =>
    path.split('/').some((step) => systemNames.some((name) => name.test(step))) &&
    !manifests.some(({ entries }) => entries.has(path));
  return [...files.keys()].filter(isLeft);
}

/** What to say of them: within the payload nothing unlisted may be (RFC 8493 section 3), beside it it does no harm. */
export function systemFilesNotes(
  paths: readonly string[],
  kind: 'zip' | 'folder',
): { readonly problems: BagNote[]; readonly warnings: BagNote[] } {
  const inPayload = paths.filter((path) => path.startsWith('data/'));
  const beside = paths.filter((path) => !path.startsWith('data/'));
  return { problems: noteOf(inPayload, kind), warnings: noteOf(beside, kind) };
}

function noteOf(paths: readonly string[], kind: 'zip' | 'folder'): BagNote[] {
  if (paths.length === 0) return [];
  const more = paths.length > namedAtMost ? ` and ${paths.length - namedAtMost} more` : '';
  const list = `${paths.slice(0, namedAtMost).join(', ')}${more}`;
  const files = paths.length === 1 ? 'A file' : `${paths.length} files`;
  const what = `${files} of the operating system lie${paths.length === 1 ? 's' : ''} among the others: ${list}`;
  const them = paths.length === 1 ? 'this system file' : 'these system files';
  const first = kind === 'zip' ? 'Unpack the ZIP, delete' : 'Delete';
  const remedy = `${first} ${them} and verify again; they are no part of the delivery.`;
  return [{ code: 'system-files', what, remedy }];
}
