import { unlink } from 'node:fs/promises';
import { dirname } from 'node:path';
import { partPathOf, renameHeld, syncFolder } from '../files/atomic.js';
import { writeFailed } from '../files/disk-trouble.js';
import type { FileHash } from '../reading/hash-file.js';
import { isSameContent } from './copy-hashed.js';
import { storeDamaged, storeUnreachable } from './store-trouble.js';

/** An object to be brought here. */
export interface Fetch {
  readonly address: string;
  readonly name: string;
  /** What it is to hold. */
  readonly facts: FileHash;
  /** Writes its bytes to a new file; undefined where there is no such object. */
  readonly write: (partPath: string) => Promise<FileHash | undefined>;
}

/**
 * Brings an object to a local file, which has its name only once it is whole and has the right checksum. What comes with other bytes is
 * fetched once more: the same wrong bytes twice lie wrong, different ones go wrong on their way.
 * @returns whether there is such an object
 * @throws PlatehandError `store-damaged`, `store-unreachable`, `write-failed`
 */
export async function fetchChecked(toPath: string, fetch: Fetch): Promise<boolean> {
  const { address, name, facts } = fetch;
  const first = await fetchOnce(toPath, fetch);
  if (first === undefined || first === 'fetched') return first !== undefined;
  const second = await fetchOnce(toPath, fetch);
  if (second === undefined || second === 'fetched') return second !== undefined;
  if (isSameContent(first, second) || second.bytes !== facts.bytes) throw storeDamaged(address, name);
  const remedy = 'Check the network and the memory of this machine.';
  throw storeUnreachable(address, 'gives other bytes each time that it is asked', remedy);
}

/** @returns what came, where it is not what it should be */
async function fetchOnce(toPath: string, { facts, write }: Fetch): Promise<FileHash | 'fetched' | undefined> {
  const partPath = partPathOf(toPath);
  try {
    const found = await write(partPath);
    if (found === undefined || !isSameContent(found, facts)) return found;
    await renameHeld(partPath, toPath).catch((thrown: unknown) => {
      throw writeFailed(toPath, thrown);
    });
    await syncFolder(dirname(toPath));
    return 'fetched';
  } finally {
    await unlink(partPath).catch(() => undefined);
  }
}
