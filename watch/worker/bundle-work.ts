import { rm } from 'node:fs/promises';
import { join } from 'node:path';
import type { BagEntry } from '../../pipeline/bag/bag-entries.js';
import { packEntries } from '../../pipeline/bag/pack-entries.js';
import { storeLacks } from '../../pipeline/queue/job-outcome.js';
import type { SentBundle } from '../../pipeline/queue/sent-bundle.js';
import type { FileHash } from '../../pipeline/reading/hash-file.js';
import type { SharedStore } from '../../pipeline/store/shared-store.js';

/**
 * Packs a bundle and puts it into the store. Its files are fetched one after the other, since together they may be more than the cache holds.
 * @returns the checksum of the ZIP, by which it is found there
 * @throws PlatehandError `input-missing` where the store lacks a file, `bundle-failed`, and troubles of disk and store; the signal's reason
 */
export async function packSentBundle(
  store: SharedStore,
  { name, day, entries }: SentBundle,
  signal: AbortSignal,
): Promise<FileHash> {
  // Beside the cache, which has room for gigabytes.
  const folder = await store.open(name, undefined);
  const packed = join(folder, `${name}.zip`);
  const open = async ({ path, sha256, bytes }: BagEntry) => {
    signal.throwIfAborted();
    const taken = await store.takeInput({ sha256, bytes });
    if (taken === undefined)
      throw storeLacks(store.address, 'this file of the bundle', { file: path }, 'deliver');
    return { source: { file: taken.path }, release: taken.release };
  };
  try {
    const facts = await packEntries(packed, `${name}.zip`, { day, entries, open });
    signal.throwIfAborted();
    await store.putInput(packed, facts);
    return facts;
  } finally {
    await rm(packed, { force: true });
    await store.discard(folder).catch(() => undefined);
  }
}
