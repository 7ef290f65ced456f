import { setImmediate } from 'node:timers/promises';

/** Fewer bytes wait until there are more of them; what a page at 300 ppi brings is less. */
const worthwhileBytes = 64 * 2 ** 20;

/** Bytes that nobody holds any more and that were too few to clean up. */
let waitingBytes = 0;

/**
 * Gives pictures back to the system that nobody holds any more. They lie outside the engine's heap, so that it does not
 * notice in time how much could be had: without this, a layered page at 600 ppi takes a third more memory. Does nothing
 * where the engine was not started with --expose-gc, as page processes are.
 * @param bytes how much of it there is; little waits for more, and for the engine
 */
export async function giveBackPictures(bytes: number): Promise<void> {
  waitingBytes += bytes;
  if (globalThis.gc === undefined || waitingBytes < worthwhileBytes) return;
  waitingBytes = 0;
  globalThis.gc();
  // The image library's memory is given back between two turns of the event loop only.
  await setImmediate();
  await setImmediate();
}
