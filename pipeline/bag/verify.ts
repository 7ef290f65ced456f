import { createHash, type Hash } from 'node:crypto';
import { messageOf, PlatehandError } from '../../config/errors.js';
import { clashKey } from '../../config/portable-name.js';
import type { BagFile } from './bag-listing.js';
import { askAgain, type BagNote, type NoteList } from './bag-notes.js';
import { type OpenBag, openBag } from './bag-reader.js';
import { type Manifest, readTags } from './bag-tags.js';
import type { BagAlgorithm } from './bagit.js';
import { systemFiles, systemFilesNotes } from './system-files.js';

/**
 * Checks a bag as its receiver would: BagIt 1.0 (RFC 8493) and the versions before it, in a ZIP or a folder, whoever
 * made it. A bag is complete when everything listed is there and everything there is listed, valid when every checksum
 * agrees as well (RFC 8493 section 3).
 */

export interface VerifyReport {
  /** Complete and valid: nothing in `problems`. */
  readonly ok: boolean;
  readonly kind: 'zip' | 'folder';
  readonly bagName: string;
  /** `1.0`, `0.97` ...; undefined when bagit.txt does not tell. */
  readonly version: string | undefined;
  /** Payload files and their octets, as they are there. */
  readonly files: number;
  readonly bytes: number;
  /** The first 300, and one that counts the rest. */
  readonly problems: readonly BagNote[];
  /** How many problems there are, listed or not. */
  readonly problemCount: number;
  /** Worth knowing, but the bag is valid. */
  readonly warnings: readonly BagNote[];
}

/**
 * Verifies the bag in a ZIP or a folder, or in a folder one level below. Nothing is unpacked or fetched.
 * @throws PlatehandError bundle-invalid when there is nothing at `path`; whatever is wrong with the bag is in the report
 */
export async function verifyBag(path: string): Promise<VerifyReport> {
  const bag = await openBag(path).catch((thrown: unknown) => {
    const gone = (thrown as NodeJS.ErrnoException).code === 'ENOENT';
    const what = gone ? 'There is nothing at this path' : `This cannot be opened: ${messageOf(thrown)}`;
    throw new PlatehandError('bundle-invalid', what, 'Check the path; it names a ZIP or a folder.', {
      place: { file: path },
      cause: thrown,
    });
  });
  try {
    return await check(bag);
  } finally {
    bag.close();
  }
}

/** What the checks add to as they go. */
interface Notes {
  readonly problems: NoteList;
  readonly warnings: NoteList;
}

async function check(bag: OpenBag): Promise<VerifyReport> {
  const notes: Notes = { problems: bag.problems, warnings: bag.warnings };
  // Without a declaration nothing else can be judged.
  const tags = bag.files.has('bagit.txt') ? await readTags(bag.files, notes) : undefined;
  const left = new Set(systemFiles(bag.files, tags?.manifests ?? []));
  const files = new Map([...bag.files].filter(([path]) => !left.has(path)));
  const payload = [...files].filter(([path]) => path.startsWith('data/'));
  const bytes = payload.reduce((sum, [, file]) => sum + file.size, 0);
  if (tags !== undefined) {
    const { problems, warnings } = systemFilesNotes([...left], bag.kind);
    notes.problems.push(...problems);
    notes.warnings.push(...warnings);
    if (!bag.hasData) notes.problems.push(note('data-missing', 'data/', 'There is no folder data'));
    checkOxum(tags.oxums, `${bytes}.${payload.length}`, notes);
    const expected = checkCompleteness(files, tags.manifests, tags.strict, notes);
    checkClashes([...files.keys()], notes);
    await checkSums(files, expected, notes);
  }
  return {
    ok: notes.problems.count === 0,
    kind: bag.kind,
    bagName: bag.name,
    version: tags?.version,
    files: payload.length,
    bytes,
    problems: notes.problems.listed(),
    problemCount: notes.problems.count,
    warnings: notes.warnings.listed(),
  };
}

/** RFC 8493 section 2.2.2: at most one, and it must agree; a quick test that replaces no checksum. */
function checkOxum(stated: readonly string[], found: string, notes: Notes): void {
  if (stated.length > 1) {
    notes.problems.push(note('oxum-invalid', 'bag-info.txt', 'Payload-Oxum stands there more than once'));
  }
  for (const oxum of new Set(stated)) {
    if (!/^\d+\.\d+$/.test(oxum)) {
      notes.problems.push(
        note('oxum-invalid', 'bag-info.txt', `Payload-Oxum is "${oxum}", not octets.files`),
      );
    } else if (oxum.replace(/^0+(?=\d)/, '') !== found) {
      const what = `Payload-Oxum promises ${oxum} (octets.files), but ${found} is there`;
      notes.problems.push(note('oxum-mismatch', 'bag-info.txt', what));
    }
  }
}

/** The checksums that one file must have; a file can stand in several manifests. */
interface Expected {
  readonly algorithm: BagAlgorithm;
  readonly checksum: string;
  readonly manifest: string;
}

/** Both ways: all that is listed is there, all that is there is listed. Returns what each file must sum up to. */
function checkCompleteness(
  files: ReadonlyMap<string, BagFile>,
  manifests: readonly Manifest[],
  strict: boolean,
  notes: Notes,
): Map<string, Expected[]> {
  const expected = new Map<string, Expected[]>();
  const byClashKey = new Map([...files.keys()].map((path) => [path.normalize('NFC'), path]));
  const missing = new Set<string>();
  for (const manifest of manifests) {
    for (const [listed, checksum] of manifest.entries) {
      const path = files.has(listed) ? listed : byClashKey.get(listed.normalize('NFC'));
      if (path === undefined) {
        missing.add(listed);
        continue;
      }
      if (path !== listed) notes.warnings.push(differentAccents(path, manifest.name));
      const sums = expected.get(path) ?? [];
      sums.push({ algorithm: manifest.algorithm, checksum, manifest: manifest.name });
      expected.set(path, sums);
    }
  }
  for (const path of missing) notes.problems.push(note('file-missing', path, 'It is listed but not there'));
  checkUnlisted(files, manifests, expected, strict, notes);
  return expected;
}

/** Since 1.0 every payload file stands in every payload manifest; before, in at least one (RFC 8493 section 3). */
function checkUnlisted(
  files: ReadonlyMap<string, BagFile>,
  manifests: readonly Manifest[],
  expected: ReadonlyMap<string, readonly Expected[]>,
  strict: boolean,
  notes: Notes,
): void {
  const payloadManifests = manifests.filter((manifest) => manifest.of === 'payload');
  const hasTagManifest = manifests.some((manifest) => manifest.of === 'tags');
  for (const path of files.keys()) {
    const listedIn = new Set(expected.get(path)?.map((sum) => sum.manifest));
    if (path.startsWith('data/')) {
      const absent = payloadManifests.filter((manifest) => !listedIn.has(manifest.name));
      if (absent.length === 0 || (!strict && absent.length < payloadManifests.length)) continue;
      const where = absent.map((manifest) => manifest.name).join(' and ');
      notes.problems.push(note('file-unlisted', path, `It is there but not listed in ${where}`));
    } else if (hasTagManifest && listedIn.size === 0 && !path.startsWith('tagmanifest-')) {
      const what = 'No tag manifest lists it, so nothing vouches for it';
      notes.warnings.push({ code: 'tag-unlisted', path, what, remedy: 'Do not rely on what it says.' });
    }
  }
}

function differentAccents(path: string, manifest: string): BagNote {
  const what = `${manifest} writes the accents of its name differently (Unicode NFC or NFD)`;
  return { code: 'name-normalisation', path, what, remedy: 'Nothing to do; the file is found either way.' };
}

/** RFC 8493 section 6.1.1: names that differ only in case or composition overwrite each other on some systems. */
function checkClashes(paths: readonly string[], notes: Notes): void {
  const seen = new Map<string, string>();
  for (const path of paths) {
    const key = clashKey(path);
    const other = seen.get(key);
    if (other !== undefined) {
      const what = `Its name differs from ${other} only in case or accents`;
      const remedy = 'Unpack it on a system that keeps the two apart.';
      notes.warnings.push({ code: 'name-clash', path, what, remedy });
    }
    seen.set(key, path);
  }
}

/** Reads every file once, listed or not, so that damage inside an archive never passes unseen. */
async function checkSums(
  files: ReadonlyMap<string, BagFile>,
  expected: ReadonlyMap<string, readonly Expected[]>,
  notes: Notes,
): Promise<void> {
  for (const [path, file] of files) {
    const sums = expected.get(path) ?? [];
    const hashes = new Map<BagAlgorithm, Hash>();
    for (const { algorithm } of sums) hashes.set(algorithm, createHash(algorithm));
    try {
      await file.read((chunk) => {
        for (const hash of hashes.values()) hash.update(chunk);
      });
    } catch (thrown) {
      notes.problems.push(note('file-damaged', path, `It cannot be read whole: ${messageOf(thrown)}`));
      continue;
    }
    const digests = new Map([...hashes].map(([algorithm, hash]) => [algorithm, hash.digest('hex')]));
    for (const { algorithm, checksum, manifest } of sums) {
      if (digests.get(algorithm) === checksum) continue;
      notes.problems.push(note('checksum-mismatch', path, `Its ${algorithm} is not the one in ${manifest}`));
    }
  }
}

function note(code: string, path: string, what: string): BagNote {
  return { code, path, what, remedy: askAgain };
}
