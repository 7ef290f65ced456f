import type { ErrorCode, ExitCode, Place } from '../../config/errors.js';
import type { PageRequest, UnhashedRequest } from '../model/page-request.js';
import type { PageResult } from '../model/page-result.js';
import type { SheetRequest } from '../model/sheet-request.js';

/** A page to prepare, or a contact sheet to draw from the thumbnails. */
export type PageWork =
  | { readonly kind: 'page'; readonly request: PageRequest | UnhashedRequest }
  | { readonly kind: 'sheet'; readonly sheet: SheetRequest };

/** What goes to a page process. */
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

/** Runs pages: in processes of their own, or (in tests) in this one. */
export interface PageRunner {
  /**
   * @throws PlatehandError `page-process` when the page's process ended without an answer, twice; and what the page
   * itself was refused for; the signal's reason once it has aborted
   * @param signal drops the page: while it waits, or by ending the process that works on it
   */
  run(request: PageRequest | UnhashedRequest, signal?: AbortSignal): Promise<PageResult>;
  /** Draws the contact sheet, as PNG: a process that has prepared pages has everything for it loaded already. */
  readonly drawSheet?: DrawSheet;
  /** Ends every process; pages still in hand fail. */
  close(): Promise<void>;
}

/** Draws a contact sheet from the pages' thumbnails, as PNG. */
export type DrawSheet = (sheet: SheetRequest) => Promise<Uint8Array>;
