import type { FileHash } from '../reading/hash-file.js';

/** An object as a listing tells it. */
export interface ListedObject {
  readonly name: string;
  readonly bytes: number;
  /** When it was put, by the clock of wherever it lies, in milliseconds since 1970; coarse in some places. */
  readonly changedMs: number;
}

/**
 * Bytes by name, where several machines reach them: a shared folder, or a bucket. What goes by the SHA-256 of its content never changes;
 * a text may be replaced, and then as a whole. Each object store runs test/helpers/object-store-conformance.ts.
 *
 * - **Names** are made of lower and upper case letters, digits, and `.`, `-`, `_`, `+`, `=`, `@`, with `/` between; no part begins with a dot.
 *   Any other is refused (`wrong-use`) before anything is touched: what comes from a queue may name no other place.
 * - **Atomic.** An object is there as a whole or not at all, also where a machine loses its power or its network meanwhile.
 * - **Checked both ways.** What is put arrived as it was sent; what is fetched has the checksum that it was asked by, or is refused.
 * - **Retried.** What passes by itself within seconds is tried again; everything else is thrown, and may be asked again.
 *
 * Errors: PlatehandError `store-unreachable` (network, rights, full), which may pass, `store-damaged` (other bytes than they should be, each
 * time they are read), `write-failed` for the local file.
 */
export interface ObjectStore {
  /** Where it is, as people call it; without a password. */
  readonly address: string;
  /**
   * Puts the bytes of a local file, unless an object of that name and size stands there; then its time is renewed where it is days old.
   * @throws PlatehandError `picture-changed` where the file has other bytes by now, `picture-unreadable`
   */
  putFile(name: string, path: string, facts: FileHash): Promise<void>;
  /** Puts a text in place of the one of that name. */
  putText(name: string, text: string): Promise<void>;
  /** A text of at most 64 MB; undefined where none of that name is. */
  getText(name: string): Promise<string | undefined>;
  /**
   * Brings an object to a local file, which is there as a whole or not at all.
   * @returns whether there is such an object
   */
  getFile(name: string, toPath: string, facts: FileHash): Promise<boolean>;
  /** Bytes that an object has; undefined where none of that name is. */
  sizeOf(name: string): Promise<number | undefined>;
  /** Objects whose name begins so, in no order. */
  list(prefix: string): AsyncIterable<ListedObject>;
  /** Removes an object; one that is not there is removed already. */
  remove(name: string): Promise<void>;
  /** Forgets what this machine may remember of names that were not there; other machines may have put them since. */
  lookAnew(prefix: string): Promise<void>;
  /** Removes what puts that never ended left before that time, by the store's clock. @returns bytes that were freed, as far as they are known */
  clearUnfinished(beforeMs: number): Promise<number>;
  /** Ends connections. */
  close(): Promise<void>;
}

/** An object that stands longer is renewed when it is put again, long before a sweep may take it. */
export const renewedAfterMs = 3 * 24 * 3600 * 1000;

/** The most that a text may have. */
export const longestTextBytes = 64 * 2 ** 20;
