import { mkdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { exitCode, PlatehandError } from '../../config/errors.js';
import { placeWhole } from '../../pipeline/files/atomic.js';
import { identityOf } from '../../pipeline/files/file-identity.js';
import type { LocalFile } from '../../pipeline/model/page-request.js';
import type { PageResult } from '../../pipeline/model/page-result.js';
import { storeLacks } from '../../pipeline/queue/job-outcome.js';
import { requestHere, type SentRequest, type Whereabouts } from '../../pipeline/queue/sent-request.js';
import type { FileHash } from '../../pipeline/reading/hash-file.js';
import type { PageRunner } from '../../pipeline/runner/page-runner.js';
import type { SharedStore } from '../../pipeline/store/shared-store.js';

/** What a worker works with. */
export interface WorkPlace {
  readonly store: SharedStore;
  readonly runner: PageRunner;
  /** Folder of its own for profiles while a page is in hand. */
  readonly folder: string;
}

/** Files of a page on this machine, and how to let go of them. */
interface Taken extends Omit<Whereabouts, 'outFolder'> {
  release(): Promise<void>;
}

/** So often a page is tried whose cached files turn out to be others than they should be: once more, with files brought anew. */
const mostTries = 2;

/**
 * Makes a page and puts it into the store, unless the store has it.
 * @returns whether the store had it already
 * @throws PlatehandError `input-missing`, `queue-refused` where the page is not what its key says, what the page's work is refused for, and
 *   troubles of disk and store; the signal's reason
 */
export async function makeSentPage(
  place: WorkPlace,
  request: SentRequest,
  signal: AbortSignal,
): Promise<{ readonly found: boolean }> {
  const { baseName, key, products } = request;
  if (await isThere(place.store, request)) return { found: true };
  for (let attempt = 1; ; attempt++) {
    const folder = await place.store.open(baseName, key);
    try {
      const made = await workOn(place, request, folder, signal);
      signal.throwIfAborted();
      if (isWhatWasAsked(made, request)) {
        await place.store.store(baseName, folder, made, products);
        return { found: false };
      }
    } finally {
      await place.store.discard(folder).catch(() => undefined);
    }
    if (attempt === mostTries) throw notWhatItSays(request);
    for (const { sha256, bytes } of request.files) await place.store.distrust({ sha256, bytes });
  }
}

async function isThere(store: SharedStore, { baseName, key, products }: SentRequest): Promise<boolean> {
  // A page that is only looked at has a result, and no files.
  if (products.length === 0) return (await store.copyTo(baseName, key, [], undefined)) !== undefined;
  const held = await store.holds(baseName, key);
  return products.every((product) => held.has(product));
}

/**
 * The files are read, and the key found, as they are here: so nothing rests on what the queue says of a page, nor on what became of a
 * cached file.
 */
async function workOn(
  place: WorkPlace,
  sent: SentRequest,
  outFolder: string,
  signal: AbortSignal,
): Promise<PageResult> {
  const { release, ...taken } = await takeFiles(place, sent);
  try {
    const { productKeys: _, ...request } = requestHere(sent, { ...taken, outFolder });
    const files = request.files.map((file) => ({ ...file, sha256: undefined }));
    return await place.runner.run({ ...request, files, key: undefined }, signal);
  } finally {
    await release();
  }
}

function isWhatWasAsked(made: PageResult, asked: SentRequest): boolean {
  if (made.key !== asked.key || made.page !== asked.page.id) return false;
  return asked.products.every((product) => made.productKeys[product] === asked.productKeys[product]);
}

async function takeFiles({ store, folder }: WorkPlace, sent: SentRequest): Promise<Taken> {
  const releases: (() => void)[] = [];
  const profiles = join(folder, sent.key);
  const release = async () => {
    for (const one of releases) one();
    await rm(profiles, { recursive: true, force: true });
  };
  const take = async (facts: FileHash, name: string) => {
    const taken = await store.takeInput(facts);
    if (taken === undefined) throw storeLacks(store.address, 'this file', { file: name, page: sent.page.id });
    releases.push(taken.release);
    return taken.path;
  };
  try {
    const files: LocalFile[] = [];
    for (const file of sent.files) {
      const path = await take(file, file.name);
      files.push({ path, seen: await identityOf(path) });
    }
    const { press } = sent.page.spec;
    if (press.kind === 'shipped') return { files, pressPath: '', release };
    // A profile that says nothing of itself is called by its file's name.
    const pressPath = join(profiles, press.name);
    await mkdir(profiles, { recursive: true });
    await placeWhole(await take(press, press.name), pressPath);
    return { files, pressPath, release };
  } catch (thrown) {
    await release();
    throw thrown;
  }
}

function notWhatItSays({ page }: SentRequest): PlatehandError {
  return new PlatehandError(
    'queue-refused',
    'The queue asks for a page by a key that is not its own',
    'Look who else writes to this queue; only platehand of the same version should.',
    { place: { page: page.id }, exitCode: exitCode.attention },
  );
}
