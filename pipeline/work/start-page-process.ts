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
 * such stores for all of them are enough. What is larger than 24 MB goes back to the system at once; left to itself, glibc
 * soon keeps pieces up to 32 MB, as line at 600 ppi is. Of what is smaller it keeps 64 MB and asks for 16 MB at a time, or the
 * system would clear the same memory for page after page: over 24 pages that saves a quarter of the page faults and 2 to 4 %
 * of the processor time. Peak of a page process after many pages of colour and line, at 300 and 600 ppi: 480 and 680 MB;
 * without the last two settings 420 and 670.
 */
const memorySettings = {
  MALLOC_ARENA_MAX: '1',
  MALLOC_MMAP_THRESHOLD_: '24000000',
  MALLOC_TRIM_THRESHOLD_: '16000000',
  MALLOC_TOP_PAD_: '8000000',
};

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
