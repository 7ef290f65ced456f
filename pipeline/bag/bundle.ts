import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { stat } from 'node:fs/promises';
import { messageOf, PlatehandError } from '../../config/errors.js';
import { clashKey } from '../../config/portable-name.js';
import { readRegular } from '../../config/regular-file.js';
import { makeNew, syncFile } from '../files/atomic.js';
import { openBag } from './bag-reader.js';
import {
  bagInfoText,
  compareBytes,
  declarationText,
  manifestText,
  parseManifest,
  unportablePath,
} from './bagit.js';
import { type VerifyReport, verifyBag } from './verify.js';
import { openZipWriter, type ZipWriter } from './zip-writer.js';

/**
 * Packs the delivery: one BagIt 1.0 bag (RFC 8493) in a ZIP. The same content of the same day gives the same bytes, whatever
 * the hour, the time zone, the umask or the order in which the files are given: entries sorted bytewise, one time and mode
 * for all, packed data stored as it is. What was written is read back and verified before it gets its name.
 */

export interface BundleFile {
  /** Path below data/, with forward slashes. */
  readonly path: string;
  readonly source: { readonly file: string } | { readonly bytes: Uint8Array };
  /** Hex SHA-256 if known beforehand; the file must still have it. */
  readonly sha256?: string;
}

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

/** Its place, between the manifest and the tag manifest in the order of bytes. */
const sheetPath = 'receiver-sheet.pdf';

export interface BundleReport {
  readonly path: string;
  /** Size and SHA-256 of the ZIP itself. */
  readonly bytes: number;
  readonly sha256: string;
  /** Payload files, sorted by path (below data/). */
  readonly files: readonly PackedFile[];
  readonly verified: VerifyReport;
}

export interface PackedFile {
  readonly path: string;
  readonly bytes: number;
  readonly sha256: string;
}

/**
 * Up to this size an entry is written in one piece, because its local header can then hold its CRC and length: readers
 * that take a ZIP as a stream, as upload portals do, refuse stored entries without them. Larger ones are streamed.
 */
const wholeEntryBytes = 256 * 1024 * 1024;

const runAgain = 'Run the pages again, then deliver.';
const fixNames = 'Change the naming pattern in job.yaml.';

/**
 * Writes the bundle to `target`, which gets its name only when it is whole and verified. What bears that name already is
 * never replaced.
 * @param beforeNaming is done last, when the bundle is whole and has no name yet; what it throws leaves nothing behind
 * @throws PlatehandError bundle-failed (a source is gone or has changed, a name is not fit, it does not verify) or
 * write-failed (the disk, or something of that name); either way no part remains
 */
export async function writeBundle(
  target: string,
  content: BundleContent,
  beforeNaming: () => Promise<void> = async () => undefined,
): Promise<BundleReport> {
  checkNames(content);
  const payload = await measure(content.files);
  return makeNew(target, async (partPath) => {
    const packed = await pack(partPath, target, content, payload);
    await syncFile(partPath);
    const verified = await verifyBag(partPath);
    if (!verified.ok || verified.bagName !== content.name || verified.files !== payload.length) {
      const first = verified.problems[0];
      const why = first === undefined ? '' : `: ${first.path ?? ''} ${first.what}`;
      throw failed(
        `The bundle does not read back as it was written${why}`,
        'Check the disk, then deliver again.',
        target,
      );
    }
    await beforeNaming();
    return { path: target, ...packed, verified };
  });
}

/**
 * Looks at a bundle that was written before.
 * @throws PlatehandError bundle-invalid when there is nothing at `path`
 */
export async function readBundle(path: string): Promise<BundleReport> {
  const verified = await verifyBag(path);
  const whole = createHash('sha256');
  let bytes = 0;
  for await (const chunk of createReadStream(path, { highWaterMark: 1024 * 1024 })) {
    whole.update(chunk);
    bytes += chunk.length;
  }
  const files = await listedPayload(path);
  return { path, bytes, sha256: whole.digest('hex'), files, verified };
}

/** The payload as the bag's own manifest lists it. */
async function listedPayload(path: string): Promise<PackedFile[]> {
  const bag = await openBag(path);
  try {
    const chunks: Uint8Array[] = [];
    await bag.files.get('manifest-sha256.txt')?.read((chunk) => chunks.push(chunk));
    const lines = parseManifest(Buffer.concat(chunks).toString('utf8'), 'sha256');
    return lines.flatMap((line) => {
      if (typeof line === 'number') return [];
      const bytes = bag.files.get(line.path)?.size ?? 0;
      return [{ path: line.path.replace(/^data\//, ''), bytes, sha256: line.checksum }];
    });
  } finally {
    bag.close();
  }
}

function checkNames(content: BundleContent): void {
  if (content.files.length === 0) throw failed('The bundle would be empty', 'Run the pages first.');
  const unfit = content.name.includes('/') ? 'it holds a slash' : unportablePath(content.name);
  if (unfit !== undefined) throw failed(`"${content.name}" cannot name a bundle: ${unfit}`, fixNames);
  const seen = new Map<string, string>();
  for (const { path } of content.files) {
    const unfitPath = unportablePath(path);
    if (unfitPath !== undefined) throw failed(`"${path}" cannot go into a bundle: ${unfitPath}`, fixNames);
    const other = seen.get(clashKey(path));
    if (other !== undefined) throw failed(`"${path}" and "${other}" are one name on some systems`, fixNames);
    seen.set(clashKey(path), path);
  }
}

interface Measured extends BundleFile {
  readonly bytes: number;
}

/** Sizes first, because bag-info.txt states their sum and stands before the payload. */
async function measure(files: readonly BundleFile[]): Promise<Measured[]> {
  const measured: Measured[] = [];
  for (const file of files) {
    if ('bytes' in file.source) {
      measured.push({ ...file, bytes: file.source.bytes.length });
      continue;
    }
    const stats = await stat(file.source.file).catch((thrown: unknown) => {
      throw unreadable(file, thrown);
    });
    measured.push({ ...file, bytes: stats.size });
  }
  return measured.sort((a, b) => compareBytes(a.path, b.path));
}

/** Entries in bytewise order: bag-info.txt, bagit.txt, data/, manifest-sha256.txt, tagmanifest-sha256.txt. */
async function pack(
  partPath: string,
  target: string,
  content: BundleContent,
  payload: readonly Measured[],
): Promise<Pick<BundleReport, 'bytes' | 'sha256' | 'files'>> {
  const zip = await openZipWriter(partPath, target, content.day);
  const tags: { path: string; checksum: string }[] = [];
  const addTag = async (path: string, text: string | Uint8Array): Promise<string> => {
    const bytes = typeof text === 'string' ? Buffer.from(text) : text;
    const checksum = await zip.add(`${content.name}/${path}`, bytes);
    tags.push({ path, checksum });
    return checksum;
  };
  try {
    const octets = payload.reduce((sum, file) => sum + file.bytes, 0);
    await addTag(
      'bag-info.txt',
      bagInfoText([...content.info, ['Payload-Oxum', `${octets}.${payload.length}`]]),
    );
    await addTag('bagit.txt', declarationText);
    const files: PackedFile[] = [];
    for (const file of payload) {
      const sha256 = await addPayload(zip, `${content.name}/data/${file.path}`, file);
      files.push({ path: file.path, bytes: file.bytes, sha256 });
    }
    const listed = files.map((file) => ({ path: `data/${file.path}`, checksum: file.sha256 }));
    const manifestSha256 = await addTag('manifest-sha256.txt', manifestText(listed));
    if (content.sheet !== undefined) await addTag(sheetPath, await content.sheet(manifestSha256));
    await addTag('tagmanifest-sha256.txt', manifestText(tags));
    return { ...(await zip.finish()), files };
  } catch (thrown) {
    await zip.abandon();
    throw thrown;
  }
}

/** Adds one payload file and makes sure that it is the one that was measured and, where told, summed before. */
async function addPayload(zip: ZipWriter, name: string, file: Measured): Promise<string> {
  const { bytes, sha256 } = await addSource(zip, name, file);
  if (bytes !== file.bytes || (file.sha256 !== undefined && file.sha256.toLowerCase() !== sha256)) {
    throw failed(`${file.path} is not as it was when it was made`, runAgain, placeOf(file));
  }
  return sha256;
}

async function addSource(
  zip: ZipWriter,
  name: string,
  file: Measured,
): Promise<{ readonly bytes: number; readonly sha256: string }> {
  if ('file' in file.source && file.bytes > wholeEntryBytes) return zip.addFile(name, file.source.file);
  const bytes = 'bytes' in file.source ? file.source.bytes : await readWhole(file, file.source.file);
  return { bytes: bytes.length, sha256: await zip.add(name, bytes) };
}

async function readWhole(file: Measured, path: string): Promise<Buffer> {
  return readRegular(path).catch((thrown: unknown) => {
    throw unreadable(file, thrown);
  });
}

function unreadable(file: BundleFile, thrown: unknown): PlatehandError {
  return failed(`${file.path} cannot be read: ${messageOf(thrown)}`, runAgain, placeOf(file));
}

function placeOf(file: BundleFile): string | undefined {
  return 'file' in file.source ? file.source.file : undefined;
}

function failed(what: string, remedy: string, file?: string): PlatehandError {
  return new PlatehandError('bundle-failed', what, remedy, { place: file === undefined ? {} : { file } });
}
