import type { ErrorCode, ExitCode, Place } from '../../config/errors.js';
import type { PageRequest, UnhashedRequest } from '../model/page-request.js';
import type { PageResult } from '../model/page-result.js';
import type { SheetRequest } from '../model/sheet-request.js';

/** What goes to a page process and comes back: plain data. */

/** A page to prepare, or a contact sheet to draw from the thumbnails. */
export type PageWork =
  | { readonly kind: 'page'; readonly request: PageRequest | UnhashedRequest }
  | { readonly kind: 'sheet'; readonly sheet: SheetRequest };

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
