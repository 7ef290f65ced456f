import { stat } from 'node:fs/promises';
import { basename, resolve } from 'node:path';
import { type BagFile, type Listing, listFolder } from './bag-listing.js';
import { askAgain, type BagNote, NoteList } from './bag-notes.js';
import { listZip } from './zip-reader.js';

/** Opens what a receiver was handed, a ZIP or a folder, as one list of files below the bag's own folder. */

export interface OpenBag {
  readonly kind: 'zip' | 'folder';
  readonly name: string;
  /** By path inside the bag, with forward slashes. */
  readonly files: ReadonlyMap<string, BagFile>;
  /** Whether there is a folder `data`, also an empty one. */
  readonly hasData: boolean;
  readonly problems: NoteList;
  readonly warnings: NoteList;
  readonly close: () => void;
}

/**
 * @param path a ZIP, a bag's folder or the folder above it, also by a symbolic link; links inside a bag are refused
 * @throws the system's error when there is nothing at `path`, Error when it is neither file nor folder
 */
export async function openBag(path: string): Promise<OpenBag> {
  const full = resolve(path);
  const facts = await stat(full);
  // Opening a pipe would wait for ever, and a device has no end.
  if (!facts.isFile() && !facts.isDirectory()) throw new Error('it is neither a file nor a folder');
  const isFolder = facts.isDirectory();
  const listing = isFolder ? await listFolder(full) : await listZip(full);
  const ownName = isFolder ? basename(full) : basename(full).replace(/\.zip$/i, '');
  return locate(isFolder ? 'folder' : 'zip', ownName, listing);
}

/** Finds the bag: right at the root, or in the one folder that holds a bagit.txt. */
function locate(kind: 'zip' | 'folder', ownName: string, listing: Listing): OpenBag {
  const { files, folders, problems, close } = listing;
  const warnings = new NoteList('warning');
  const tops = [...files.keys()].filter((path) => /^[^/]+\/bagit\.txt$/.test(path));
  const base = files.has('bagit.txt') || tops.length !== 1 ? '' : tops[0].slice(0, -'bagit.txt'.length);
  if (base === '' && !files.has('bagit.txt')) problems.push(noBag(tops));
  const inside = new Map<string, BagFile>();
  for (const [path, file] of files) if (path.startsWith(base)) inside.set(path.slice(base.length), file);
  if (base === '' && kind === 'zip' && files.has('bagit.txt')) {
    const what = 'The archive has no top folder; unpacked, its files lie loose in the folder at hand';
    warnings.push({ code: 'no-top-folder', what, remedy: 'Unpack it into an empty folder.' });
  }
  const beside = files.size - inside.size;
  if (beside > 0) {
    const what = `${beside === 1 ? '1 more file lies' : `${beside} more files lie`} beside the bag and ${beside === 1 ? 'is' : 'are'} not checked`;
    warnings.push({ code: 'files-beside', what, remedy: 'Do not use them as part of the delivery.' });
  }
  const hasData = folders.has(`${base}data`) || [...inside.keys()].some((path) => path.startsWith('data/'));
  const name = base === '' ? ownName : base.slice(0, -1);
  return { kind, name, files: inside, hasData, problems, warnings, close };
}

/** How many bags are named where there are several. */
const namedAtMost = 10;

function noBag(tops: readonly string[]): BagNote {
  if (tops.length > 1) {
    const named = tops.slice(0, namedAtMost).map((top) => top.split('/')[0]);
    const what = `There are ${tops.length} bags: ${named.join(', ')}${named.length < tops.length ? ', ...' : ''}`;
    return { code: 'several-bags', what, remedy: 'Verify each of these folders by itself.' };
  }
  return { code: 'not-a-bag', what: 'There is no bagit.txt, so this is no BagIt bag', remedy: askAgain };
}
