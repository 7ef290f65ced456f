import { type ChildProcess, fork } from 'node:child_process';
import type { ErrorCode, ExitCode, Place } from '../../config/errors.js';
import { programPath } from '../../config/package-root.js';
import { isPlain, type PageFiles, type PageRequest, type UnhashedRequest } from '../model/page-request.js';
import type { PageResult } from '../model/page-result.js';
import type { IssuePictureRequest } from '../model/sheet-request.js';

/**
 * How page processes are started. All that is done to the engine and the C library for a few percent stands in this file, with what
 * it brought over whole issues of 24 pages; without any of it, page processes do the same.
 */

/**
 * - Pixels lie outside the engine's heap, yet count towards its next clean-up: with the usual start of a few MB, it looks
 *   through its heap nine times a page and finds nothing. From 300 MB on, two or three times; that saves 4 % of the
 *   processor time and costs no more memory (500 MB saves no more).
 * - There is a page process for each core, so the engine's helpers (cleaning up, compiling) only take turns with the others:
 *   without them a page takes 4 % less.
 * - For reclaim.ts, which keeps a layered page at 600 ppi from taking a third more memory.
 */
const engineFlags = [
  '--initial-heap-size=300',
  '--single-threaded-gc',
  '--no-concurrent-recompilation',
  '--expose-gc',
];

/**
 * The passes over pixels are compiled already. What is left in JavaScript runs for milliseconds, and optimising all of it costs
 * more than it saves, 1 %: a hint that three times as much has to run first. Engines later than that of Node 20 have no such hint.
 */
const laterOptimising = '--interrupt-budget=400000';

/**
 * Memory that is kept from one decoded picture to the next, in millions of bytes: where all pages are plain, a picture of
 * 4350 x 6300 pixels, else one of 4350 x 3150. With 8 kept, the system would clear that memory anew for every page: 9000 page faults
 * instead of 1000, 3 % of the processor time. With 44, plain pages with colour at 600 ppi take 10 % more of it. Pages of layers and
 * lettering take more pictures at a time: with 84, they would take 40 to 100 MB more than they may.
 */
const keptMB = { plain: 84, any: 44 } as const;

/**
 * Settings of glibc's; others pass them over. Every thread of the image library would keep memory of its own for later: one
 * store for all of them is enough. It keeps so much free at its end, and what is larger goes back to the system at once.
 */
const memorySettings = (kept: number) => ({
  MALLOC_ARENA_MAX: '1',
  MALLOC_MMAP_THRESHOLD_: `${kept}000000`,
  MALLOC_TRIM_THRESHOLD_: `${kept + 4}000000`,
  MALLOC_TOP_PAD_: `${kept}000000`,
});

/** A page to prepare, or a contact sheet to draw from the thumbnails. */
export type PageWork =
  | { readonly kind: 'page'; readonly request: PageRequest | UnhashedRequest }
  | { readonly kind: 'sheet'; readonly sheet: IssuePictureRequest };

/** A piece of work under the number that its answer will bear. */
export type PageTask = PageWork & { readonly id: number };

/** What comes back: a result, a refusal with its error code, or a fault of the program with its trace. */
export type PageReply =
  | { readonly id: number; readonly outcome: 'done'; readonly result: PageResult | Uint8Array }
  | {
      readonly id: number;
      readonly outcome: 'refused';
      readonly code: ErrorCode;
      readonly what: string;
      readonly remedy: string;
      readonly place: Place;
      readonly exitCode: ExitCode;
    }
  | { readonly id: number; readonly outcome: 'fault'; readonly message: string; readonly trace: string };

/**
 * Starts a page process; it takes what `PageTask` describes and answers with a `PageReply`.
 * @param coming files of the pages that it is going to meet; empty where nobody knows
 */
export function startPageProcess(coming: readonly PageFiles[]): ChildProcess {
  const kept = coming.length > 0 && coming.every(isPlain) ? keptMB.plain : keptMB.any;
  const isNode20 = process.versions.node.startsWith('20.');
  return fork(programPath('page-process'), [], {
    serialization: 'advanced',
    // Nothing of this process's own start-up options (inspector ports, loaders of tests) belongs to a page's.
    execArgv: isNode20 ? [...engineFlags, laterOptimising] : engineFlags,
    env: { ...memorySettings(kept), ...process.env },
    stdio: ['ignore', 'ignore', 'inherit', 'ipc'],
  });
}
