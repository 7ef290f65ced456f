import { stat } from 'node:fs/promises';
import { join } from 'node:path';
import { isDeepStrictEqual } from 'node:util';
import type { Job } from '../../config/job.js';
import { readRegular } from '../../config/regular-file.js';
import { issueProducts } from '../outputs/issue-products.js';
import { pageProducts } from '../outputs/products.js';
import { type Eyes, otherEyes } from '../palette/colour-vision.js';
import { sha256Of } from '../reading/hash-file.js';
import { type PlacedFiles, readPlaced } from '../store/placed.js';
import { whileLocked } from './make-page.js';
import { lookAtEach } from './page-run.js';
import {
  readSeen,
  removeOutdated,
  type SeenFile,
  type SeenFiles,
  stillShows,
  writeSeen,
} from './seen-list.js';

/** Proofs and contact sheet as one kind of eyes sees them. */
export interface SeenAs {
  /** Whose eyes. */
  readonly eyes: Eyes;
  /** Pages with a proof, in reading order, and where it stands in the job folder as these eyes see it. */
  readonly pages: readonly { readonly page: string; readonly path: string }[];
  /** Path of the contact sheet as these eyes see it; undefined where there is none yet. */
  readonly contactSheet: string | undefined;
}

/** What `seeProofs` may be told. */
export interface SeeOptions {
  /** Ids of the pages to show; default all that have a proof. */
  readonly pages?: readonly string[] | undefined;
  /** Pictures in hand at the same time, 1 or more; default 2: each takes some 20 MB at 150 ppi. */
  readonly jobs?: number | undefined;
}

/** Where they stand, in the job folder. */
const folder = 'proofs/seen-as';
/** Raised whenever the same proof gives another picture. */
const revision = 1;
const defaultJobs = 2;

/** A picture to be made. */
interface Asked extends Pick<SeenFile, 'of' | 'sha256' | 'revision'> {
  readonly eyes: Eyes;
  /** Undefined for the contact sheet. */
  readonly page: string | undefined;
  readonly path: string;
}

/**
 * Writes the proofs and the contact sheet that stand in proofs/ as other eyes see them, below proofs/seen-as/: in grey, and without red, green
 * or blue cones. Only what has changed is written; pictures whose proof has changed or gone are taken away, of whatever eyes.
 * @param eyes whose; each once, in the order of `otherEyes`
 * @throws PlatehandError `write-failed`
 */
export async function seeProofs(
  job: Job,
  eyes: readonly Eyes[],
  { pages, jobs = defaultJobs }: SeeOptions = {},
): Promise<readonly SeenAs[]> {
  const placed = await readPlaced(job.folder);
  const sheetSha = await shaOfSheet(job.folder);
  const wanted = job.pages.map(({ id }) => id).filter((id) => pages === undefined || pages.includes(id));
  const asked = otherEyes
    .filter((each) => eyes.includes(each))
    .flatMap((each) => [...askedPages(placed, wanted, each), ...askedSheet(sheetSha, each)]);
  const known = await readSeen(job.folder);
  const made: Record<string, SeenFile> = {};
  try {
    const make = async (one: Asked) => {
      if (await stillShows(job.folder, one.path, known[one.path], one)) return;
      made[one.path] = await see(job.folder, one);
    };
    await lookAtEach(asked, make, Math.max(1, jobs));
  } finally {
    await noteSeen(job.folder, made);
  }
  return seenOf(asked);
}

/** Takes away pictures of other eyes whose proof or contact sheet has changed or gone. @throws PlatehandError `write-failed` */
export async function dropOldSights(jobFolder: string): Promise<void> {
  if (Object.keys(await readSeen(jobFolder)).length > 0) await noteSeen(jobFolder, {});
}

function noteSeen(jobFolder: string, made: SeenFiles): Promise<void> {
  return whileLocked(jobFolder, async () => {
    // Somebody else may have made others meanwhile.
    const known = await readSeen(jobFolder);
    const stay = await current(jobFolder, { ...known, ...made });
    if (!isDeepStrictEqual(stay, known)) await writeSeen(jobFolder, stay);
  });
}

/** Those that still show what stands in proofs/; the others are taken away. */
async function current(jobFolder: string, files: SeenFiles): Promise<SeenFiles> {
  const placed = await readPlaced(jobFolder);
  const shas = new Map(
    Object.values(placed).flatMap((page) => Object.entries(page).map(([path, { sha256 }]) => [path, sha256])),
  );
  const sheet = await shaOfSheet(jobFolder);
  if (sheet !== undefined) shas.set(issueProducts.contactSheet.path, sheet);
  return removeOutdated(jobFolder, files, (path) => shas.get(path));
}

/** `TDL03_007_proof.png` as grey is `seen-as/TDL03_007_proof_grey.png`. */
function pathOf(of: string, eyes: Eyes): string {
  const name = of.slice(of.lastIndexOf('/') + 1).replace(/\.png$/, '');
  return `${folder}/${name}_${eyes}.png`;
}

function askedPages(placed: PlacedFiles, pages: readonly string[], eyes: Eyes): Asked[] {
  const suffix = pageProducts.proof.suffixOf('proof');
  return pages.flatMap((page) => {
    const proofs = Object.entries(placed[page] ?? {}).filter(([path]) => path.endsWith(suffix));
    return proofs.map(([of, { sha256 }]) => ({
      ...{ eyes, page, of, sha256, revision },
      path: pathOf(of, eyes),
    }));
  });
}

function askedSheet(sha256: string | undefined, eyes: Eyes): Asked[] {
  const of = issueProducts.contactSheet.path;
  if (sha256 === undefined) return [];
  return [{ eyes, page: undefined, of, sha256, revision, path: pathOf(of, eyes) }];
}

async function shaOfSheet(jobFolder: string): Promise<string | undefined> {
  const path = join(jobFolder, issueProducts.contactSheet.path);
  return readRegular(path).then(sha256Of, () => undefined);
}

async function see(jobFolder: string, { of, path, eyes }: Asked): Promise<SeenFile> {
  // Loaded only when there is something to draw: the image library takes longer to start than an unchanged issue.
  const { writeSeenPicture } = await import('../outputs/seen-picture.js');
  const to = join(jobFolder, path);
  const sha256 = await writeSeenPicture(join(jobFolder, of), to, eyes);
  const { size, mtimeMs } = await stat(to);
  return { of, sha256, revision, bytes: size, mtimeMs };
}

function seenOf(asked: readonly Asked[]): SeenAs[] {
  const all = [...new Set(asked.map(({ eyes }) => eyes))];
  return all.map((eyes) => {
    const own = asked.filter((one) => one.eyes === eyes);
    return {
      eyes,
      pages: own.flatMap(({ page, path }) => (page === undefined ? [] : [{ page, path }])),
      contactSheet: own.find(({ page }) => page === undefined)?.path,
    };
  });
}
