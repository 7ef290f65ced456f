import { ownerTag } from '../files/owner.js';
import type { ListedObject, ObjectStore } from './object-store.js';
import { recordsPrefix } from './shared-records.js';

/** What no result names is removed from a shared store, long after anybody could be about to name it. */

/** Two weeks: a page is made, and its record written, within hours of the last time that its files were put or renewed. */
const keptMs = 14 * 24 * 3600 * 1000;
/** Records read at the same time. */
const recordsAtOnce = 8;

/**
 * Removes objects that no record names and nobody has put or renewed for two weeks, and what puts that never ended have left. Whatever
 * machine it runs on, the time is that of the store.
 * @returns bytes that were freed
 */
export async function sweepObjects(objects: ObjectStore): Promise<number> {
  const beforeMs = (await storesClock(objects)) - keptMs;
  const named = await namedIn(objects);
  let freed = 0;
  // Objects are listed after the records: whoever writes a record later has renewed its objects by then.
  for await (const object of objects.list('objects/')) {
    if (!mayGo(object, named, beforeMs)) continue;
    // Asked again, since a long listing may be minutes old.
    for await (const again of objects.list(object.name)) {
      if (again.name !== object.name || !mayGo(again, named, beforeMs)) continue;
      await objects.remove(again.name);
      freed += again.bytes;
    }
  }
  return freed + (await objects.clearUnfinished(beforeMs));
}

function mayGo({ name, changedMs }: ListedObject, named: ReadonlySet<string>, beforeMs: number): boolean {
  return changedMs < beforeMs && !named.has(name.slice(name.lastIndexOf('/') + 1));
}

/** The time at the store, as a text tells that was just put there. */
async function storesClock(objects: ObjectStore): Promise<number> {
  const name = `clock/${ownerTag}`;
  await objects.putText(name, '');
  let newest = Number.NEGATIVE_INFINITY;
  for await (const { name: found, changedMs } of objects.list(name)) {
    if (found === name) newest = changedMs;
  }
  await objects.remove(name);
  return newest;
}

/** Every checksum that stands in a record, whatever else the record says: also one that cannot be read keeps what it names. */
async function namedIn(objects: ObjectStore): Promise<Set<string>> {
  const named = new Set<string>();
  let records: string[] = [];
  const read = async () => {
    const texts = await Promise.all(records.map((record) => objects.getText(record)));
    for (const text of texts) for (const [sha256] of text?.matchAll(/[0-9a-f]{64}/g) ?? []) named.add(sha256);
    records = [];
  };
  for await (const { name } of objects.list(recordsPrefix)) {
    records.push(name);
    if (records.length >= recordsAtOnce) await read();
  }
  await read();
  return named;
}
