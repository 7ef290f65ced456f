import { setImmediate } from 'node:timers/promises';
import { PageArena, type Reclaim } from '../kernels/page-arena.js';

/**
 * Giving memory back to the system: the one place where the engine is told to clean up. Pictures lie outside its heap, so that it
 * does not notice in time how much could be had. Nothing is done where the engine was not started with --expose-gc, as page
 * processes are.
 */

/** Pictures of fewer bytes wait for the engine's own clean-up; what a page at 300 ppi brings is less. */
const worthwhileBytes = 64 * 2 ** 20;

/**
 * Gives pictures back that nobody holds any more: without this, a layered page at 600 ppi takes a third more memory.
 * @param bytes how much of it there is; little is left to the engine
 */
async function reclaimPictures(bytes: number): Promise<void> {
  if (globalThis.gc === undefined || bytes < worthwhileBytes) return;
  globalThis.gc();
  await betweenTurns();
}

/**
 * Gives a decoded picture back that nobody holds any more, before the next one is decoded: its memory is then used again
 * instead of being cleared for the next by the system, and the engine has no reason to look through its whole heap. Looking
 * through what is new there takes less than a millisecond.
 */
async function reclaimDecoded(): Promise<void> {
  if (globalThis.gc === undefined) return;
  globalThis.gc({ type: 'minor' });
  await betweenTurns();
}

/** Gives back all that a page took, before the next one takes as much. */
export function reclaimPage(): void {
  // Twice: a clean-up that had begun before passes over what is given up since.
  for (let i = 0; i < 2; i++) globalThis.gc?.();
}

const reclaim: Reclaim = { decoded: reclaimDecoded, pictures: reclaimPictures };

/** The arena of a process that gives memory back; those who work in it say when. */
export function reclaimingArena(): PageArena {
  return new PageArena(reclaim);
}

/** The image library's memory is given back between two turns of the event loop only. */
async function betweenTurns(): Promise<void> {
  await setImmediate();
  await setImmediate();
}
