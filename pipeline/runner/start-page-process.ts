import { type ChildProcess, fork } from 'node:child_process';
import { programPath } from '../../config/programs.js';

/**
 * How the engine runs a page process. Measured over whole issues of 24 pages:
 * - Pixels lie outside the engine's heap, yet count towards its next clean-up: with the usual start of a few MB, it looks
 *   through its heap nine times a page and finds nothing. From 300 MB on, two or three times; that saves 4 % of the
 *   processor time and costs no more memory (500 MB saves no more).
 * - There is a page process for each core, so the engine's helpers (cleaning up, compiling) only take turns with the others:
 *   without them a page takes 4 % less.
 */
const pageProcessFlags = [
  '--initial-heap-size=300',
  '--single-threaded-gc',
  '--no-concurrent-recompilation',
  '--expose-gc',
];

/**
 * Settings of glibc's; others pass them over. Every thread of the image library would keep memory of its own for later: one
 * store for all of them is enough. It keeps so much free at its end, and what is larger goes back to the system at once.
 */
const memorySettings = (keptMB: number) => ({
  MALLOC_ARENA_MAX: '1',
  MALLOC_MMAP_THRESHOLD_: `${keptMB}000000`,
  MALLOC_TRIM_THRESHOLD_: `${keptMB + 4}000000`,
  MALLOC_TOP_PAD_: `${keptMB}000000`,
});

/**
 * Memory that is kept from one decoded picture to the next, in millions of bytes: for plain pages a picture of 4350 x 6300, else
 * one of 4350 x 3150. With 8 kept, the system would clear that memory anew for every page: 9000 page faults instead of 1000, 3 % of the processor
 * time; with 44, 21000 instead of none for colour at 600 ppi, 1 to 4 %. Pages of layers and lettering take more pictures at a
 * time: for them, 84 would be 40 to 100 more than they need.
 */
const keptMB = { plain: 84, any: 44 } as const;

/**
 * Starts a page process; it takes what `PageTask` describes and answers with a `PageReply`.
 * @param allPlain its pages are plain (page-kinds.ts)
 */
export function startPageProcess(allPlain: boolean): ChildProcess {
  return fork(programPath('page-process'), [], {
    serialization: 'advanced',
    // Nothing of this process's own start-up options (inspector ports, loaders of tests) belongs to a page's.
    execArgv: pageProcessFlags,
    env: { ...memorySettings(allPlain ? keptMB.plain : keptMB.any), ...process.env },
    stdio: ['ignore', 'ignore', 'inherit', 'ipc'],
  });
}
