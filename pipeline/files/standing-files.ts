import { type Stats, stat } from 'node:fs';
import { Worker } from 'node:worker_threads';

/** Whether files stand as they were written: asked of every file of every page, whenever an issue is looked at. */

/** A file as it was written: whoever writes to it later changes one of these. */
export interface Written {
  readonly bytes: number;
  readonly mtimeMs: number;
}

/** Whether a file stands as it was written. */
export function isAsWritten(
  now: Written | undefined,
  then: { bytes: number; mtimeMs: number | undefined },
): boolean {
  return now !== undefined && now.bytes === then.bytes && now.mtimeMs === then.mtimeMs;
}

/** Files that a process asks for before a thread of its own is worth its start, some hundredths of a second. Own choice, some 80 pages. */
const askedWithoutThread = 2000;

let asked = 0;

/**
 * How files stand now; undefined for those that are not there or cannot be asked. Asking one after the other in a thread takes a tenth of
 * what it takes to have each asked for by itself, and an issue of 2,000 pages asks for 48,000. A disk that does not answer holds up the
 * thread and nothing else.
 * @param paths absolute
 * @returns in the order of the paths
 */
export function standingFiles(paths: readonly string[]): Promise<readonly (Written | undefined)[]> {
  asked += paths.length;
  return asked > askedWithoutThread ? askThread(paths) : askEach(paths);
}

/** One promise for all: a promise for each takes as long as the asking. */
function askEach(paths: readonly string[]): Promise<readonly (Written | undefined)[]> {
  return new Promise((resolve) => {
    const found = new Array<Written | undefined>(paths.length);
    let left = paths.length;
    if (left === 0) resolve(found);
    for (const [at, path] of paths.entries()) {
      stat(path, (failed: Error | null, facts: Stats) => {
        found[at] = failed === null ? { bytes: facts.size, mtimeMs: facts.mtimeMs } : undefined;
        if (--left === 0) resolve(found);
      });
    }
  });
}

/** What the thread does: for each path its bytes and its time, no numbers for one that is not there. It is its own text, as it has no file. */
const askingThread = `
const { parentPort } = require('node:worker_threads');
const { statSync } = require('node:fs');
const factsOf = (path) => {
  try { return statSync(path, { throwIfNoEntry: false }); } catch { return undefined; }
};
parentPort.on('message', (paths) => {
  const found = new Float64Array(2 * paths.length);
  paths.forEach((path, at) => {
    const facts = factsOf(path);
    found[2 * at] = facts?.size ?? NaN;
    found[2 * at + 1] = facts?.mtimeMs ?? NaN;
  });
  parentPort.postMessage(found, [found.buffer]);
});`;

/** Who waits for the thread, in the order of asking, which is that of its answers. */
interface Waiting {
  readonly answered: (found: Float64Array) => void;
  readonly failed: (thrown: unknown) => void;
}

let thread: { readonly worker: Worker; readonly waiting: Waiting[] } | undefined;

async function askThread(paths: readonly string[]): Promise<readonly (Written | undefined)[]> {
  const { worker, waiting } = openThread();
  const found = await new Promise<Float64Array>((answered, failed) => {
    waiting.push({ answered, failed });
    // Only who waits keeps the process alive.
    worker.ref();
    worker.postMessage(paths);
  });
  return paths.map((_, at) =>
    Number.isNaN(found[2 * at]) ? undefined : { bytes: found[2 * at], mtimeMs: found[2 * at + 1] },
  );
}

function openThread() {
  if (thread !== undefined) return thread;
  const worker = new Worker(askingThread, { eval: true });
  const waiting: Waiting[] = [];
  worker.on('message', (found: Float64Array) => {
    waiting.shift()?.answered(found);
    if (waiting.length === 0) worker.unref();
  });
  // A thread that could not go on is replaced at the next asking; who waits is told.
  worker.on('error', (thrown) => {
    thread = undefined;
    for (const { failed } of waiting.splice(0)) failed(thrown);
  });
  thread = { worker, waiting };
  return thread;
}
