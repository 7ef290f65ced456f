import type { PageResult, ProductName, VersionChange } from '../model/page-result.js';

/** A result that is kept, with the products that it was asked to make (a stopped page makes fewer files than asked for). */
export interface StoredResult {
  readonly result: PageResult;
  readonly asked: readonly ProductName[];
  /** When each output was written, by file name, in milliseconds: whoever writes to it later changes that. */
  readonly writtenMs: Readonly<Record<string, number>>;
  /**
   * What became of the page's parts since the last version of each. It tells of what was there before, so it is no part of
   * the result, which tells of its files only; undefined where nobody has looked.
   */
  readonly versions?: readonly VersionChange[];
  /** Where its files stand on this machine. */
  readonly folder: string;
}

/**
 * Finished results of one job: what was made once is not made again. A page goes by its base name, a result by its key, and
 * every output by its SHA-256. Each store runs test/helpers/store-conformance.ts.
 *
 * - **Atomic.** A result is there as a whole or not at all, whatever ends the process meanwhile.
 * - **Idempotent.** The same key means the same bytes: storing it again changes nothing, and may come from two processes at once.
 * - **Never believed.** What is found was looked at: each file there, of the size and time that it had when it was written. What
 *   goes from one result into another is read and held against its checksum.
 * - **Retried.** A store retries what passes by itself within a second (a scanner that holds a folder). Everything else is
 *   thrown, nothing is left half-stored, and whoever asked may ask again.
 * - **Bounded.** Of each page the newest result and a few older ones are kept, so that going back a version costs nothing, and the
 *   newest good one and the one that stands in place, however many broken or wrong ones follow.
 *
 * Changes to what a job has in place are made under its lock (store/lock.ts), which is not the store's.
 */
export interface ResultStore {
  /** The result of a key, if it is whole; undefined where there is none, or where one of its files is gone or was written to. */
  find(page: string, key: string): Promise<StoredResult | undefined>;
  /** Products that need not be made for a result with such product keys: another result of the page has the same. */
  findProducts(page: string, keys: Readonly<Record<ProductName, string>>): Promise<ReadonlySet<ProductName>>;
  /** Whether a page has any result, of whichever key; it need not be whole. */
  has(page: string): Promise<boolean>;
  /** The key of the newest result of a page, whole or not; undefined where there is none. */
  newestKey(page: string): Promise<string | undefined>;
  /** The newest result of a page, whole or not. */
  newest(page: string): Promise<StoredResult | undefined>;
  /**
   * The newest result of a page that is good and whole: no finding of its own stops it, and all its press files are made.
   * @param isWanted passes over those that it says no to; default takes each
   */
  newestGood(page: string, isWanted?: (stored: StoredResult) => boolean): Promise<StoredResult | undefined>;
  /**
   * A new, empty folder for outputs, which nobody else is given. End it by `store` or `discard`.
   * @param key of the result, undefined while it is not known
   */
  open(page: string, key: string | undefined): Promise<string>;
  /**
   * Keeps a result, and forgets the oldest of the page. What another result has of it (see `findProducts`) is taken over. Where the
   * same has been stored meanwhile, that one stays, since somebody may be reading it.
   * @param folder from `open`, holding every output of `made`
   * @param asked what was to be made
   * @param versions kept beside it, unless the same key has some already
   * @param standing key of a result that is not to be forgotten, since it stands in place
   */
  store(
    page: string,
    folder: string,
    made: PageResult,
    asked: readonly ProductName[],
    versions?: readonly VersionChange[],
    standing?: string,
  ): Promise<StoredResult>;
  /** Gives up a folder from `open`; one that was stored or discarded already is nothing to give up. */
  discard(folder: string): Promise<void>;
  /** Forgets a result; one that is not there is forgotten already. */
  remove(page: string, key: string): Promise<void>;
  /** The result with the sketches of its traces, which no other way of asking gives: only versions that are held against each other need them. */
  withSketches(stored: StoredResult): Promise<StoredResult>;
  /** Whether every file of a result still holds the bytes that were made; reads them all. */
  hasOwnBytes(stored: StoredResult): Promise<boolean>;
  /** Path of an output of a result on this machine. */
  pathOf(page: string, key: string, output: string): string;
}
