import { constants, copyFile, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import PQueue from 'p-queue';
import * as z from 'zod';
import { PlatehandError } from '../../config/errors.js';
import { belowData, entryChanged, type LaidBag } from '../bag/bag-entries.js';
import type { Sum } from '../bag/zip-writer.js';
import { writeFailed } from '../files/disk-trouble.js';
import type { SharedStore } from '../store/shared-store.js';
import { sha256, whole } from './form-fields.js';
import { madeThroughQueue, type WorkQueue } from './made-through-queue.js';
import { sheetPriority } from './page-job.js';
import { bundleJobId, checkedBundle, sentBundle } from './sent-bundle.js';

/** Files of a bag that are put into the store at a time. Own choice. */
const putAtOnce = 4;

/** A ZIP beyond this is none of ours. */
const mostZipBytes = 2 ** 42;

/** What a worker says of a bundle that it packed. */
const doneForm = z.object({ zip: z.strictObject({ sha256, bytes: whole(mostZipBytes) }) });

/**
 * Has a bag packed by whoever takes it from the queue, and brings the ZIP here. Nothing is believed of it: whoever asked holds it against
 * the bag that was laid.
 * @param issue the issue's code
 * @param partPath where the ZIP is to be
 * @returns size and SHA-256 of the ZIP
 * @throws PlatehandError `queue-refused` for a bag that is more than the queue takes, `bundle-failed` for a file that is another by now, what
 *   the packing was refused for, `write-failed`, `store-unreachable`; the signal's reason
 */
export async function packedThroughQueue(
  { pending, store, engine }: WorkQueue,
  issue: string,
  bag: LaidBag,
  partPath: string,
  signal?: AbortSignal,
): Promise<Sum> {
  const bundle = checkedBundle(sentBundle(issue, bag));
  const making = {
    queued: { id: bundleJobId(bundle), priority: sheetPriority, job: { engine, bundle } },
    what: 'The bundle was packed',
    put: () => putEntries(store, bag),
    take: (told: unknown) => bringZip(store, told, partPath),
  };
  return madeThroughQueue({ pending, store }, making, signal);
}

/** Most are there already, from the workers that made the pages. */
async function putEntries(store: SharedStore, { entries }: LaidBag): Promise<void> {
  const folder = await mkdtemp(join(tmpdir(), 'platehand-bag-'));
  const putting = new PQueue({ concurrency: putAtOnce });
  const put = async ({ path, source, sha256, bytes }: LaidBag['entries'][number], at: number) => {
    const file = 'file' in source ? source.file : join(folder, `${at}`);
    if ('bytes' in source) await writeFile(file, source.bytes);
    await store.putInput(file, { sha256, bytes }).catch((thrown: unknown) => {
      throw hasChanged(thrown) ? entryChanged(belowData(path), source) : thrown;
    });
  };
  try {
    // All of them come to an end, so that none is written after its folder is gone.
    const ended = await Promise.allSettled(entries.map((entry, at) => putting.add(() => put(entry, at))));
    for (const one of ended) if (one.status === 'rejected') throw one.reason;
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

/** The store calls any file by the name of what it mostly holds. */
function hasChanged(thrown: unknown): boolean {
  return thrown instanceof PlatehandError && thrown.code === 'picture-changed';
}

/** What the store has under the checksum that a worker told. */
async function bringZip(store: SharedStore, told: unknown, partPath: string): Promise<Sum | undefined> {
  const done = doneForm.safeParse(told);
  if (!done.success) return undefined;
  const taken = await store.takeInput(done.data.zip);
  if (taken === undefined) return undefined;
  try {
    await copyFile(taken.path, partPath, constants.COPYFILE_EXCL).catch((thrown: unknown) => {
      throw writeFailed(partPath, thrown);
    });
    return done.data.zip;
  } finally {
    taken.release();
  }
}
