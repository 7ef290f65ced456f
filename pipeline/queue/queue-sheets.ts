import { readFile } from 'node:fs/promises';
import PQueue from 'p-queue';
import * as z from 'zod';
import { identityOf } from '../files/file-identity.js';
import type { IssuePictureRequest, SheetRequest } from '../model/sheet-request.js';
import type { FileHash } from '../reading/hash-file.js';
import { defaultReadLimits } from '../reading/read-limits.js';
import type { SharedStore } from '../store/shared-store.js';
import { sha256, whole } from './form-fields.js';
import { madeThroughQueue, type WorkQueue } from './made-through-queue.js';
import { sheetPriority } from './page-job.js';
import { isColourScript, type SentSheet, sentSheet, sheetJobId, thumbnailsOf } from './sent-sheet.js';
import { checkedSheet } from './sheet-form.js';

/** Thumbnails that a store is asked for at a time: a bucket takes some hundredths of a second for each. Own choice. */
export const thumbnailsAtOnce = 8;

/** What a worker says of a picture that it drew. */
const doneForm = z.object({
  png: z.strictObject({ sha256, bytes: whole(defaultReadLimits.maxFileBytes) }),
});

/**
 * Has a contact sheet or colour script drawn by whoever takes it from the queue.
 * @param signal stops waiting, and takes it from the queue where nobody else waits for it
 * @returns the PNG
 * @throws PlatehandError `queue-refused` for a picture that is more than the queue takes, what its drawing was refused for,
 *   `store-unreachable`; the signal's reason
 */
export async function drawnThroughQueue(
  { pending, store, engine }: WorkQueue,
  asked: IssuePictureRequest,
  signal?: AbortSignal,
): Promise<Uint8Array> {
  const sheet = checkedSheet(sentSheet(asked, await thumbnailFacts(asked)));
  const queued = { id: sheetJobId(sheet), priority: sheetPriority, job: { engine, sheet } };
  const making = {
    ...{ queued, what: 'The sheet was drawn' },
    put: () => putThumbnails(store, asked, sheet),
    take: (told: unknown) => pictureIn(store, told),
  };
  return madeThroughQueue({ pending, store }, making, signal);
}

/** What the store has under the checksum that a worker told. */
async function pictureIn(store: SharedStore, told: unknown): Promise<Uint8Array | undefined> {
  const done = doneForm.safeParse(told);
  const taken = done.success ? await store.takeInput(done.data.png) : undefined;
  try {
    return taken && (await readFile(taken.path));
  } finally {
    taken?.release();
  }
}

/** Checksums and sizes of a sheet's thumbnails, by path. */
async function thumbnailFacts(asked: IssuePictureRequest): Promise<ReadonlyMap<string, FileHash>> {
  const facts = new Map<string, FileHash>();
  for (const { path, sha256 } of thumbnailsHere(asked)) {
    facts.set(path, { sha256, bytes: (await identityOf(path)).bytes });
  }
  return facts;
}

function thumbnailsHere(asked: IssuePictureRequest) {
  const pages: SheetRequest['pages'] = isColourScript(asked) ? [] : asked.pages;
  return pages.flatMap(({ thumbnail }) => (thumbnail === undefined ? [] : [thumbnail]));
}

/** Most are there already, from the worker that made the page. */
async function putThumbnails(
  store: SharedStore,
  asked: IssuePictureRequest,
  sheet: SentSheet,
): Promise<void> {
  const here = new Map(thumbnailsHere(asked).map(({ sha256, path }) => [sha256, path]));
  const put = new PQueue({ concurrency: thumbnailsAtOnce });
  await put.addAll(
    thumbnailsOf(sheet).map((facts) => () => store.putInput(here.get(facts.sha256) ?? '', facts)),
  );
}
