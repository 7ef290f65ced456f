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
 * Settings of glibc's; others pass them over. Every thread of the image library would keep memory of its own for later: two
 * such stores for all of them are enough. And what is larger than 24 MB goes back to the system at once; left to itself, glibc
 * soon keeps pieces up to 32 MB, as line at 600 ppi is. Peak of a page process after many pages of colour and line, at 300 and
 * 600 ppi: 487 and 703 MB with glibc's own limit, 441 and 674 with this one in the same time, 380 and 672 with one of 4 MB in
 * 4 % more.
 */
const memorySettings = { MALLOC_ARENA_MAX: '2', MALLOC_MMAP_THRESHOLD_: '24000000' };

/** Starts a page process; it takes what `PageTask` describes and answers with a `PageReply`. */
export function startPageProcess(): ChildProcess {
  return fork(programPath('page-process'), [], {
    serialization: 'advanced',
    // Nothing of this process's own start-up options (inspector ports, loaders of tests) belongs to a page's.
    execArgv: pageProcessFlags,
    env: { ...memorySettings, ...process.env },
    stdio: ['ignore', 'ignore', 'inherit', 'ipc'],
  });
}
