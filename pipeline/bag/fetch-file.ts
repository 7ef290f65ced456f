import { counted } from '../../config/figures.js';
import type { BagFile } from './bag-listing.js';
import { askAgain, type BagNote } from './bag-notes.js';
import { decodePath, unsafePath, withoutDotSlash } from './bagit.js';

/** fetch.txt: files that the sender left to be fetched from the net (RFC 8493 section 2.2.3). Nothing is fetched here. */

/** What of a manifest tells whether it lists a file. */
interface ListingManifest {
  readonly name: string;
  readonly of: 'payload' | 'tags';
  readonly entries: ReadonlyMap<string, string>;
}

/** Holes that are named in a message; the rest is counted. */
const namedHoles = 3;

/**
 * What is wrong with a fetch file: lines without its form, paths outside the payload or in no manifest, and files that are not in the
 * bag.
 */
export function fetchProblems(
  text: string,
  files: ReadonlyMap<string, BagFile>,
  manifests: readonly ListingManifest[],
): BagNote[] {
  const payload = manifests.filter((one) => one.of === 'payload');
  const problems: BagNote[] = [];
  const holes: string[] = [];
  for (const [at, line] of text.split(/\r\n|\n|\r/).entries()) {
    if (line.trim() === '') continue;
    const encoded = /^\S+[ \t]+(?:\d+|-)[ \t]+(.+)$/.exec(line)?.[1];
    const path = encoded === undefined ? undefined : withoutDotSlash(decodePath(encoded));
    if (path === undefined) problems.push(invalid(`Line ${at + 1} is not an address, a size and a path`));
    else if (!path.startsWith('data/') || unsafePath(path) !== undefined) {
      problems.push(invalid(`Line ${at + 1} names "${path}", which is no payload file of a bag`));
    } else {
      const without = payload.find(({ entries }) => !entries.has(path));
      if (without !== undefined)
        problems.push(invalid(`${path} is to be fetched, but ${without.name} does not list it`));
      if (!files.has(path)) holes.push(path);
    }
  }
  return holes.length === 0 ? problems : [...problems, incomplete(holes)];
}

function invalid(what: string): BagNote {
  return { code: 'fetch-invalid', path: 'fetch.txt', what, remedy: askAgain };
}

function incomplete(holes: readonly string[]): BagNote {
  const named = holes.slice(0, namedHoles).join(', ');
  const more = holes.length > namedHoles ? ` and ${holes.length - namedHoles} more` : '';
  const are = holes.length === 1 ? 'is' : 'are';
  const what = `${counted(holes.length, 'file')} of it ${are} not in the bag, but to be fetched from the net: ${named}${more}`;
  const remedy = 'Ask the sender for a delivery that holds everything; nothing is fetched here.';
  return { code: 'fetch-incomplete', path: 'fetch.txt', what, remedy };
}
