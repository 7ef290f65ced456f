import { stat } from 'node:fs/promises';
import { messageOf, PlatehandError } from '../../config/errors.js';
import { hashFile, sha256Of } from '../reading/hash-file.js';
import { bagInfoText, compareBytes, declarationText, manifestText } from './bagit.js';

/**
 * What a bag holds, file by file, before anything is packed: the checksums of what goes in are known, so the manifests are as well, and
 * whoever packs it needs to know nothing else.
 */

/** A file that a bundle is to hold. */
export interface BundleFile {
  /** Path below data/, with forward slashes. */
  readonly path: string;
  readonly source: { readonly file: string } | { readonly bytes: Uint8Array };
  /** Hex SHA-256 if known beforehand; the file must still have it. */
  readonly sha256?: string;
}

/** What a bundle is to hold. */
export interface BundleContent {
  /** Name of the bag, and of the one folder at the top of the ZIP. */
  readonly name: string;
  /** Day of delivery, `YYYY-MM-DD`: all entries are dated at its midnight. */
  readonly day: string;
  readonly files: readonly BundleFile[];
  /** Lines of bag-info.txt, in order; Payload-Oxum is added. */
  readonly info: readonly (readonly [label: string, value: string])[];
  /**
   * Makes the receiver's sheet, which stands beside the payload as a tag file: it states the checksum of the manifest, so the manifest
   * cannot list it. Default none.
   */
  readonly sheet?: (manifestSha256: string) => Promise<Uint8Array>;
}

/** A file of a bundle. */
export interface PackedFile {
  readonly path: string;
  readonly bytes: number;
  readonly sha256: string;
}

/** Where the bytes of an entry are. */
export type EntrySource = BundleFile['source'];

/** One file of a bag, in the order in which it is packed. */
export interface BagEntry extends PackedFile {
  /** Path in the ZIP, the bag's own folder first. */
  readonly path: string;
  /** Size, and SHA-256 in lower case hexadecimal; the file must still have both. */
  readonly bytes: number;
  readonly sha256: string;
}

/** A bag as it is to be packed. */
export interface LaidBag {
  /** Name of the bag, and of the one folder at the top of the ZIP. */
  readonly name: string;
  /** Day of delivery, `YYYY-MM-DD`. */
  readonly day: string;
  /** In bytewise order: bag-info.txt, bagit.txt, data/, manifest-sha256.txt, receiver-sheet.pdf, tagmanifest-sha256.txt. */
  readonly entries: readonly (BagEntry & { readonly source: EntrySource })[];
  /** The payload, sorted by path below data/. */
  readonly payload: readonly PackedFile[];
}

const runAgain = 'Run the pages again, then deliver.';

/** Its place, between the manifest and the tag manifest in the order of bytes. */
const sheetPath = 'receiver-sheet.pdf';

/** The name of the file that states the checksums of all tag files, and so of everything. */
export const tagManifest = 'tagmanifest-sha256.txt';

type LaidEntry = LaidBag['entries'][number];

/**
 * Lays out a bag.
 * @throws PlatehandError bundle-failed where a source is gone
 */
export async function layBag({ name, day, files, info, sheet }: BundleContent): Promise<LaidBag> {
  const entry = (path: string, facts: Omit<LaidEntry, 'path'>): LaidEntry => ({
    path: `${name}/${path}`,
    ...facts,
  });
  const measured: (PackedFile & { readonly source: EntrySource })[] = [];
  for (const file of files) measured.push({ path: file.path, source: file.source, ...(await factsOf(file)) });
  measured.sort((a, b) => compareBytes(a.path, b.path));
  const tags: { path: string; checksum: string }[] = [];
  const tag = (path: string, text: string | Uint8Array): LaidEntry => {
    const bytes = typeof text === 'string' ? Buffer.from(text) : text;
    const sha256 = sha256Of(bytes);
    tags.push({ path, checksum: sha256 });
    return entry(path, { bytes: bytes.length, sha256, source: { bytes } });
  };
  const octets = measured.reduce((sum, { bytes }) => sum + bytes, 0);
  const about = tag('bag-info.txt', bagInfoText([...info, ['Payload-Oxum', `${octets}.${measured.length}`]]));
  const declaration = tag('bagit.txt', declarationText);
  const payload = measured.map(({ path, ...facts }) => entry(`data/${path}`, facts));
  const listed = measured.map(({ path, sha256 }) => ({ path: `data/${path}`, checksum: sha256 }));
  const manifest = tag('manifest-sha256.txt', manifestText(listed));
  const sheets = sheet === undefined ? [] : [tag(sheetPath, await sheet(manifest.sha256))];
  const ofTags = tag(tagManifest, manifestText(tags));
  return {
    ...{ name, day },
    entries: [about, declaration, ...payload, manifest, ...sheets, ofTags],
    payload: measured.map(({ path, bytes, sha256 }) => ({ path, bytes, sha256 })),
  };
}

/** Size and checksum: of a file whose checksum is known, the size it has now. */
async function factsOf(file: BundleFile): Promise<{ readonly bytes: number; readonly sha256: string }> {
  const { source } = file;
  if ('bytes' in source)
    return { bytes: source.bytes.length, sha256: file.sha256?.toLowerCase() ?? sha256Of(source.bytes) };
  try {
    const { size } = await stat(source.file);
    return { bytes: size, sha256: file.sha256?.toLowerCase() ?? (await hashFile(source.file)).sha256 };
  } catch (thrown) {
    throw entryUnreadable(file, thrown);
  }
}

/** As people know the file: without the bag's folder. */
export function belowData(path: string): string {
  return path.replace(/^[^/]+\/(?:data\/)?/, '');
}

/** The refusal of a file that cannot be read. */
export function entryUnreadable(
  { path, source }: { readonly path: string; readonly source: EntrySource },
  thrown: unknown,
): PlatehandError {
  return failed(`${path} cannot be read: ${messageOf(thrown)}`, source);
}

/** The refusal of a file that is another by now. @param path below data/ */
export function entryChanged(path: string, source: EntrySource): PlatehandError {
  return failed(`${path} is not as it was when it was made`, source);
}

function failed(what: string, source: EntrySource): PlatehandError {
  const place = 'file' in source ? { file: source.file } : {};
  return new PlatehandError('bundle-failed', what, runAgain, { place });
}
