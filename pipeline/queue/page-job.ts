import type { PageRequest } from '../model/page-request.js';
import type { ProductName } from '../model/page-result.js';
import type { FileHash } from '../reading/hash-file.js';
import type { WatchedWork } from '../runner/scheduler.js';
import type { SentBundle } from './sent-bundle.js';
import type { SentRequest } from './sent-request.js';
import type { SentSheet } from './sent-sheet.js';

/** A page on the queue: what there is to do, and what decides whose turn it is. Paths and pixels stay out of it. */
export interface PageJob {
  /** Version of the engine that the page's key was taken for. */
  readonly engine: string;
  /** What there is to do. */
  readonly request: SentRequest;
}

/** A picture of a whole issue on the queue. */
export interface SheetJob {
  /** As for pages: another version may draw it otherwise. */
  readonly engine: string;
  /** What there is to draw. */
  readonly sheet: SentSheet;
}

/** A bundle on the queue. */
export interface BundleJob {
  /** As for pages: only of one version all bundles of the same files are the same. */
  readonly engine: string;
  /** What there is to pack. */
  readonly bundle: SentBundle;
}

/** What stands on the queue. */
export type QueuedWork = PageJob | SheetJob | BundleJob;

/** What a worker hands back of a page: the result itself stands in the store, under page and key. */
export interface PageDone {
  /** Who made it. */
  readonly worker: string;
  /** Whether the store had it already. */
  readonly found: boolean;
}

/** What a worker hands back of a picture: it stands in the store, under its checksum. */
export interface SheetDone {
  /** Who drew it. */
  readonly worker: string;
  /** The PNG. */
  readonly png: FileHash;
}

/** What a worker hands back of a bundle: it stands in the store, under its checksum. */
export interface BundleDone {
  /** Who packed it. */
  readonly worker: string;
  /** The ZIP. */
  readonly zip: FileHash;
}

/** Pictures of issues, and bundles, go before all pages: they are made of pages that are there already, and somebody waits. */
export const sheetPriority = 1;

/** Pixels that a picture of an issue counts as while it is in hand: as many as it has at most, and its thumbnails one by one. Own choice. */
export const sheetPixels = 30e6;

/** Names a piece of work by what comes of it: the same asked for twice is one. */
export function jobIdOf({ key }: Pick<PageRequest, 'key'>, products: readonly ProductName[]): string {
  return [key, ...[...products].sort()].join('-');
}

/** Bits of a priority: 21 is all that the library takes. */
const dueBits = 17;
const sizeBits = 3;

/** Hours are counted from 2026-01-01 UTC; 17 bits of them reach to December 2040, and what is due later counts as due then. */
const firstHourMs = Date.UTC(2026, 0, 1);
const hourMs = 3_600_000;

/** Pixels of the smallest class of pages; each further class has twice as many. */
const smallestPixels = 8e6;

/**
 * Proofs before press files, whatever they belong to, because people wait for proofs; then due soonest, by the hour; then smallest, in classes
 * that double. The same order as on one machine (runner/scheduler.ts), in the one number that the library takes.
 * @returns 1 to 2,097,151, the smaller before the larger
 */
export function priorityOf({ products, dueMs, pixels }: WatchedWork): number {
  const lastHour = 2 ** dueBits - 1;
  const hour = Math.floor((dueMs - firstHourMs) / hourMs);
  const due = Math.min(Math.max(hour, 0), lastHour);
  const lastSize = 2 ** sizeBits - 1;
  const size = Math.min(Math.max(Math.ceil(Math.log2(pixels / smallestPixels)), 0), lastSize);
  const phase = products === 'proof' ? 0 : 1;
  const priority = (phase * 2 ** dueBits + due) * 2 ** sizeBits + size;
  // 0 would go before all others, whatever they are.
  return Math.min(priority + 1, 2 ** (1 + dueBits + sizeBits) - 1);
}
