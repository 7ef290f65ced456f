import { exitCode, PlatehandError } from '../../config/errors.js';
import type { PageRequest, UnhashedRequest } from '../model/page-request.js';
import type { PageResult } from '../model/page-result.js';
import type { IssuePictureRequest } from '../model/sheet-request.js';

/**
 * Runs pages, wherever: in this process, in processes of their own, on other machines. Each runner runs
 * test/helpers/runner-conformance.ts.
 *
 * - **Pure.** A result depends on its request alone: the same request gives the same result and, in its folder, the same bytes.
 *   So it may be run again, here or elsewhere, at any time.
 * - **Whole.** When `run` resolves, every output stands in the request's folder under its name, with the checksum that the result
 *   states. When it rejects, whatever stands there is of no use, and whoever gave the folder clears it away.
 * - **Findings, not exceptions.** What is wrong with a page is in its result. `run` rejects only for what says nothing about it.
 * - **Retried.** A page whose process ended without an answer is run once more, in a new one. Nothing else is tried again here.
 * - **Waiting.** Pages that find no place wait in the order in which they came; how many may be in hand, and which goes first, is
 *   the scheduler's business (scheduler.ts).
 */
export interface PageRunner {
  /**
   * Whether it takes requests whose files have no checksum yet, because it sees the working files where they stand. Others are
   * given requests with keys only.
   */
  readonly takesUnhashed: boolean;
  /**
   * Prepares a page.
   * @param signal drops the page: while it waits, or by ending the process that works on it
   * @param dueMs when its issue is due, in milliseconds since 1970, for runners that put pages in an order of their own; default never
   * @throws PlatehandError `page-process` when the page's process ended without an answer, twice, or when the runner is closed;
   *   what the page itself was refused for; the signal's reason once it has aborted; any other Error is a fault of the program
   */
  run(request: PageRequest | UnhashedRequest, signal?: AbortSignal, dueMs?: number): Promise<PageResult>;
  /** Draws the contact sheet, as PNG, where it is known that everything for it is loaded already. */
  readonly drawSheet?: DrawSheet;
  /** Ends every process; pages still in hand, and those that are asked for afterwards, fail. Closing it again changes nothing. */
  close(): Promise<void>;
}

/** Draws a contact sheet from the pages' thumbnails, or a colour script, as PNG. @param signal gives it up, where that can be done */
export type DrawSheet = (sheet: IssuePictureRequest, signal?: AbortSignal) => Promise<Uint8Array>;

/** The refusal of a page that is asked of a closed runner, or was in its hand. */
export function runnerClosed(): PlatehandError {
  return new PlatehandError(
    'page-process',
    'The work on the page was ended before it was done',
    'Run the page again; nothing of it was kept.',
    { exitCode: exitCode.attention },
  );
}
