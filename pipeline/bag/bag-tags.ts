import { TextDecoder } from 'node:util';
import { messageOf } from '../../config/errors.js';
import type { BagFile } from './bag-listing.js';
import { askAgain, type BagNote, type NoteList } from './bag-notes.js';
import {
  type BagAlgorithm,
  bagAlgorithms,
  isStrict,
  type ManifestLine,
  parseBagInfo,
  parseDeclaration,
  parseManifest,
  unsafePath,
} from './bagit.js';
import { fetchProblems } from './fetch-file.js';

/** Reads the tag files of a bag: what it claims about itself. */

/** Larger than the manifest of a hundred thousand files; a tag file beyond it is not read into memory. */
const maxTagBytes = 64 * 1024 * 1024;

export interface Manifest {
  /** File name, such as `manifest-sha256.txt`. */
  readonly name: string;
  readonly of: 'payload' | 'tags';
  readonly algorithm: BagAlgorithm;
  /** Path inside the bag to lower case hex. */
  readonly entries: ReadonlyMap<string, string>;
}

export interface BagTags {
  readonly version: string;
  /** Whether the rules of 1.0 hold. */
  readonly strict: boolean;
  readonly manifests: readonly Manifest[];
  /** Every Payload-Oxum of bag-info.txt. */
  readonly oxums: readonly string[];
}

interface Notes {
  readonly problems: NoteList;
  readonly warnings: NoteList;
}

/** Adds to `notes` what is wrong with them; undefined when the declaration itself cannot be followed. */
export async function readTags(
  files: ReadonlyMap<string, BagFile>,
  notes: Notes,
): Promise<BagTags | undefined> {
  const declared = await readText(files, 'bagit.txt', 'UTF-8', notes);
  if (declared === undefined) return undefined;
  const declaration = parseDeclaration(declared);
  if (typeof declaration === 'string') {
    notes.problems.push(
      problem('declaration-invalid', 'bagit.txt', `bagit.txt is not in order: ${declaration}`),
    );
    return undefined;
  }
  const { version, encoding } = declaration;
  if (decoderOf(encoding, new Uint8Array()) === undefined) {
    const what = `It asks for the character encoding ${encoding}, which is not known here`;
    notes.problems.push(problem('encoding-unknown', 'bagit.txt', what));
    return undefined;
  }
  if (Number(version.split('.')[0]) > 1) {
    const what = `It is of BagIt version ${version}; this program knows the rules up to 1.0`;
    notes.problems.push(problem('version-unknown', 'bagit.txt', what));
  }
  const manifests = await readManifests(files, declaration, notes);
  const oxums = await readOxums(files, encoding, notes);
  const fetched = files.has('fetch.txt') ? await readText(files, 'fetch.txt', encoding, notes) : undefined;
  if (fetched !== undefined) notes.problems.push(...fetchProblems(fetched, files, manifests));
  return { version, strict: isStrict(version), manifests, oxums };
}

async function readManifests(
  files: ReadonlyMap<string, BagFile>,
  { version, encoding }: { readonly version: string; readonly encoding: string },
  notes: Notes,
): Promise<Manifest[]> {
  const manifests: Manifest[] = [];
  for (const name of files.keys()) {
    const named = /^(tag)?manifest-([^/]+)\.txt$/i.exec(name);
    if (named === null) continue;
    const algorithm = bagAlgorithms.find((known) => known === named[2].toLowerCase());
    if (algorithm === undefined) {
      const what = `Its checksums (${named[2]}) cannot be computed here and are not checked`;
      notes.warnings.push({
        code: 'algorithm-unknown',
        path: name,
        what,
        remedy: 'Rely on the other manifests.',
      });
      continue;
    }
    const text = await readText(files, name, encoding, notes);
    if (text === undefined) continue;
    const of = named[1] === undefined ? 'payload' : 'tags';
    const form = { name, of, algorithm } as const;
    manifests.push({ ...form, entries: readEntries(text, { ...form, strict: isStrict(version) }, notes) });
  }
  if (!manifests.some((manifest) => manifest.of === 'payload')) {
    const what = 'There is no payload manifest whose checksums are known here';
    notes.problems.push(problem('manifest-missing', 'manifest-sha256.txt', what));
  }
  checkTagManifests(manifests, notes);
  return manifests;
}

function readEntries(
  text: string,
  { name, of, algorithm, strict }: Omit<Manifest, 'entries'> & { readonly strict: boolean },
  notes: Notes,
): Map<string, string> {
  const entries = new Map<string, string>();
  const lines = parseManifest(text, algorithm);
  for (const line of lines) {
    if (typeof line === 'number') {
      const what = `Line ${line} is not a ${algorithm} checksum and a path`;
      notes.problems.push(problem('manifest-invalid', name, what));
      continue;
    }
    const trouble = unsafePath(line.path) ?? misplaced(line.path, of);
    if (trouble !== undefined) {
      notes.problems.push(problem('path-unsafe', line.path, `${name} lists it, but ${trouble}`));
    } else if (entries.has(line.path)) {
      noteTwice(line, !strict && entries.get(line.path) === line.checksum, name, notes);
    } else {
      entries.set(line.path, line.checksum);
    }
  }
  noteMarks(lines, name, notes);
  return entries;
}

/**
 * A path that stands twice with one checksum says nothing wrong: before 1.0 a warning, as the conformance suite has it (v0.97/warning/
 * same-filename-listed-twice-with-the-same-hash). 1.0 forbids it, and with two checksums nobody knows which holds.
 */
function noteTwice({ path }: ManifestLine, isHarmless: boolean, name: string, notes: Notes): void {
  if (!isHarmless) {
    notes.problems.push(problem('path-twice', path, `${name} lists it twice`));
    return;
  }
  const what = `${name} lists it twice, with one checksum; strict checks refuse that`;
  notes.warnings.push({ code: 'path-twice', path, what, remedy: 'Tell the sender.' });
}

/** What stands before paths and does no harm; told once for a manifest. */
function noteMarks(lines: readonly (ManifestLine | number)[], name: string, notes: Notes): void {
  const read = lines.filter((line) => typeof line !== 'number');
  const note = (code: string, mark: string, count: number) => {
    if (count === 0) return;
    const what = `${mark} stands before ${count} of its paths; strict checks refuse that`;
    notes.warnings.push({ code, path: name, what, remedy: 'Tell the sender.' });
  };
  // RFC 8493 section 6.1.3: may be accepted, with a warning.
  note('manifest-asterisk', 'An asterisk', read.filter(({ asterisk }) => asterisk).length);
  // In the conformance suite a valid bag (v0.97/valid/bag-with-leading-dot-slash-in-manifest).
  note('manifest-dot-slash', '"./"', read.filter(({ dotSlash }) => dotSlash).length);
}

function misplaced(path: string, of: 'payload' | 'tags'): string | undefined {
  if (of === 'payload' && !path.startsWith('data/'))
    return 'a payload manifest may only list what is below data';
  if (of === 'tags' && path.startsWith('data/')) return 'a tag manifest may not list the payload';
  if (of === 'tags' && path.startsWith('tagmanifest-')) return 'a tag manifest may not list tag manifests';
  return undefined;
}

/** RFC 8493 section 2.2.1: every tag manifest lists every payload manifest. */
function checkTagManifests(manifests: readonly Manifest[], notes: Notes): void {
  const payloadManifests = manifests.filter((manifest) => manifest.of === 'payload');
  for (const tagManifest of manifests.filter((manifest) => manifest.of === 'tags')) {
    for (const { name } of payloadManifests) {
      if (tagManifest.entries.has(name)) continue;
      notes.problems.push(problem('tagmanifest-incomplete', tagManifest.name, `It does not list ${name}`));
    }
  }
}

async function readOxums(
  files: ReadonlyMap<string, BagFile>,
  encoding: string,
  notes: Notes,
): Promise<string[]> {
  const text = files.has('bag-info.txt') ? await readText(files, 'bag-info.txt', encoding, notes) : undefined;
  if (text === undefined) return [];
  const info = parseBagInfo(text);
  for (const line of info.badLines) {
    const what = `Line ${line} is not "Label: value"`;
    notes.problems.push(problem('bag-info-invalid', 'bag-info.txt', what));
  }
  return info.entries.filter(([label]) => label.toLowerCase() === 'payload-oxum').map(([, value]) => value);
}

/** The text of one tag file; undefined, and a problem noted, where it cannot be read as text. */
async function readText(
  files: ReadonlyMap<string, BagFile>,
  name: string,
  encoding: string,
  notes: Notes,
): Promise<string | undefined> {
  const file = files.get(name);
  if (file === undefined) return undefined;
  try {
    if (file.size > maxTagBytes) throw new Error(`${file.size} bytes are too many for a tag file`);
    const chunks: Uint8Array[] = [];
    await file.read((chunk) => chunks.push(chunk));
    const bytes = Buffer.concat(chunks);
    const text = decoderOf(encoding, bytes)?.decode(bytes);
    if (name === 'bagit.txt' || !text?.startsWith('\uFEFF')) return text;
    // RFC 8493 section 2.3: a tag file in UTF-8 does not begin with one.
    notes.problems.push(problem('byte-order-mark', name, 'It begins with a byte-order mark'));
    return text.slice(1);
  } catch (thrown) {
    notes.problems.push(problem('tag-unreadable', name, `It cannot be read as text: ${messageOf(thrown)}`));
    return undefined;
  }
}

/** UTF-16 without a byte order in its name is told by its mark, big end first (RFC 2781); UTF-8 keeps a wrong mark. */
function decoderOf(encoding: string, bytes: Uint8Array): TextDecoder | undefined {
  const plain = encoding.toLowerCase();
  const swapped = plain === 'utf-16' && bytes[0] === 0xfe && bytes[1] === 0xff;
  try {
    return new TextDecoder(swapped ? 'utf-16be' : plain, { fatal: true, ignoreBOM: plain === 'utf-8' });
  } catch {
    return undefined;
  }
}

function problem(code: string, path: string, what: string): BagNote {
  return { code, path, what, remedy: askAgain };
}
