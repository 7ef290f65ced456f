import { rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import PQueue from 'p-queue';
import { storeLacks } from '../../pipeline/queue/job-outcome.js';
import { thumbnailsAtOnce } from '../../pipeline/queue/queue-sheets.js';
import { type SentSheet, sheetHere, sheetJobId, thumbnailsOf } from '../../pipeline/queue/sent-sheet.js';
import { type FileHash, hashFile } from '../../pipeline/reading/hash-file.js';
import { drawSheetApart } from '../daemon/sheet-drawing.js';
import type { WorkPlace } from './page-work.js';

/**
 * Draws a contact sheet or colour script in a process of its own and puts it into the store.
 * @returns the checksum of the PNG, by which it is found there
 * @throws PlatehandError `input-missing` where the store lacks a thumbnail, `page-process`, and troubles of disk and store; the signal's reason
 */
export async function drawSentSheet(
  { store, folder }: Pick<WorkPlace, 'store' | 'folder'>,
  sheet: SentSheet,
  signal: AbortSignal,
): Promise<FileHash> {
  const paths = new Map<string, string>();
  const releases: (() => void)[] = [];
  const drawn = join(folder, `${sheetJobId(sheet)}.png`);
  try {
    const take = async (facts: FileHash) => {
      const taken = await store.takeInput(facts);
      if (taken === undefined) throw storeLacks(store.address, 'a thumbnail of the contact sheet');
      releases.push(taken.release);
      paths.set(facts.sha256, taken.path);
    };
    const taking = new PQueue({ concurrency: thumbnailsAtOnce });
    // All of them come to an end, so that none is taken after they were let go of.
    const ended = await Promise.allSettled(thumbnailsOf(sheet).map((facts) => taking.add(() => take(facts))));
    for (const one of ended) if (one.status === 'rejected') throw one.reason;
    const png = await drawSheetApart(sheetHere(sheet, paths), signal);
    signal.throwIfAborted();
    await writeFile(drawn, png);
    const facts = await hashFile(drawn);
    await store.putInput(drawn, facts);
    return facts;
  } finally {
    for (const release of releases) release();
    await rm(drawn, { force: true });
  }
}
