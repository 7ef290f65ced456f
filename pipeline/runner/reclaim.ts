import { setImmediate } from 'node:timers/promises';

/** Pictures of fewer bytes wait for the engine's own clean-up; what a page at 300 ppi brings is less. */
const worthwhileBytes = 64 * 2 ** 20;

/**
 * Gives pictures back to the system that nobody holds any more. They lie outside the engine's heap, so that it does not
 * notice in time how much could be had: without this, a layered page at 600 ppi takes a third more memory. Does nothing
 * where the engine was not started with --expose-gc, as page processes are.
 * @param bytes how much of it there is; little is left to the engine
 */
export async function giveBackPictures(bytes: number): Promise<void> {
  if (globalThis.gc === undefined || bytes < worthwhileBytes) return;
  globalThis.gc();
  await betweenTurns();
}

/**
 * Gives a decoded picture back that nobody holds any more, before the next one is decoded: its memory is then used again
 * instead of being cleared for the next by the system, and the engine has no reason to look through its whole heap. Looking
 * through what is new there takes less than a millisecond.
 */
export async function giveBackDecoded(): Promise<void> {
  if (globalThis.gc === undefined) return;
  globalThis.gc({ type: 'minor' });
  await betweenTurns();
}

/** The image library's memory is given back between two turns of the event loop only. */
async function betweenTurns(): Promise<void> {
  await setImmediate();
  await setImmediate();
}
