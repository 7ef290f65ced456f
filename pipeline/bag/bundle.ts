import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { PlatehandError } from '../../config/errors.js';
import { clashKey } from '../../config/portable-name.js';
import { makeNew, syncFile } from '../files/atomic.js';
import { type BundleContent, type LaidBag, layBag, type PackedFile, tagManifest } from './bag-entries.js';
import { openBag } from './bag-reader.js';
import { parseManifest, unportablePath } from './bagit.js';
import { packEntries } from './pack-entries.js';
import { type VerifyReport, verifyBag } from './verify.js';
import type { Sum } from './zip-writer.js';

/**
 * Packs the delivery: one BagIt 1.0 bag (RFC 8493) in a ZIP. The same content of the same day gives the same bytes, whatever
 * the hour, the time zone, the umask or the order in which the files are given: entries sorted bytewise, one time and mode
 * for all, packed data stored as it is. What was written is read back and verified before it gets its name.
 */

export interface BundleReport {
  readonly path: string;
  /** Size and SHA-256 of the ZIP itself. */
  readonly bytes: number;
  readonly sha256: string;
  /** Payload files, sorted by path (below data/). */
  readonly files: readonly PackedFile[];
  readonly verified: VerifyReport;
}

const fixNames = 'Change the naming pattern in job.yaml.';
const checkDisk = 'Check the disk, then deliver again.';
const checkWorkers = 'Check the disk, and who else writes to queue and store, then deliver again.';

/** Packs a bag into a file that is not there yet. @param target the name that messages speak of */
export type PackBag = (bag: LaidBag, partPath: string, target: string) => Promise<Sum>;

/** What else a bundle may be written with. */
export interface WriteOptions {
  /** Who packs it; default this process. */
  readonly pack?: PackBag | undefined;
  /** Is done last, when the bundle is whole and has no name yet; what it throws leaves nothing behind. Default nothing. */
  readonly beforeNaming?: () => Promise<void>;
}

/**
 * Writes the bundle to `target`, which gets its name only when it is whole and verified. What bears that name already is
 * never replaced.
 * @throws PlatehandError bundle-failed (a source is gone or has changed, a name is not fit, it does not verify) or
 * write-failed (the disk, or something of that name); either way no part remains
 */
export async function writeBundle(
  target: string,
  content: BundleContent,
  { pack = packHere, beforeNaming }: WriteOptions = {},
): Promise<BundleReport> {
  checkNames(content);
  const bag = await layBag(content);
  return makeNew(target, async (partPath) => {
    const packed = await pack(bag, partPath, target);
    await syncFile(partPath);
    const verified = await verifyBag(partPath);
    const why = verified.problems[0];
    const isWhole = verified.ok && verified.bagName === bag.name && (await isAsLaid(partPath, bag));
    if (!isWhole) {
      throw failed(
        `The bundle does not read back as it was written${why === undefined ? '' : `: ${why.path ?? ''} ${why.what}`}`,
        pack === packHere ? checkDisk : checkWorkers,
        target,
      );
    }
    await beforeNaming?.();
    return { path: target, ...packed, files: bag.payload, verified };
  });
}

/** In this process. */
export const packHere: PackBag = ({ day, entries }, partPath, target) =>
  packEntries(partPath, target, { day, entries, open: async ({ source }) => ({ source }) });

/** Whether a bag that verifies is the one that was laid: its tag manifest, which stands for everything, and nothing besides. */
async function isAsLaid(path: string, { name, entries }: LaidBag): Promise<boolean> {
  const bag = await openBag(path);
  try {
    const laid = entries.find((entry) => entry.path === `${name}/${tagManifest}`);
    const found = createHash('sha256');
    await bag.files.get(tagManifest)?.read((chunk) => found.update(chunk));
    return bag.files.size === entries.length && found.digest('hex') === laid?.sha256;
  } finally {
    bag.close();
  }
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

function failed(what: string, remedy: string, file?: string): PlatehandError {
  return new PlatehandError('bundle-failed', what, remedy, { place: file === undefined ? {} : { file } });
}
