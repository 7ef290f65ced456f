import type { PageResult, ProductName } from '../model/page-result.js';
import type { FileHash } from '../reading/hash-file.js';
import type { ResultStore } from './result-store.js';

/**
 * Results that several machines share, and what they are made from: everything by its SHA-256. What is asked for comes into a local
 * cache of bounded size first, and is handed out from there. An object that turns out to be damaged counts as missing and is removed, so that
 * it is put again; `openSharedStore` says so to whoever listens.
 *
 * Besides what their docs say, all throw PlatehandError `store-unreachable`, `write-failed` for the local folder, and `wrong-use` for names, keys
 * and checksums that are none.
 */
export interface SharedStore extends ResultStore {
  /** Where it is, as people call it; without a password. */
  readonly address: string;
  /**
   * Puts a working file, or a profile, so that every machine has it by its checksum; one that is there already costs a question.
   * @throws PlatehandError `picture-changed` where the file is another by now, `store-unreachable`
   */
  putInput(path: string, facts: FileHash): Promise<void>;
  /**
   * A local file with that content, which stays until it is let go of.
   * @returns its path, and how to let go of it; undefined where the store has none
   */
  takeInput(facts: FileHash): Promise<{ readonly path: string; release(): void } | undefined>;
  /** Drops a cached file whose bytes turned out to be others, so that it is fetched again. */
  distrust(facts: FileHash): Promise<void>;
  /** Which products of a result the store holds, every file of them there with its size; brings nothing here. */
  holds(page: string, key: string): Promise<ReadonlySet<ProductName>>;
  /**
   * Copies the files of some products of a result into a folder, each held against its checksum; without products, or a folder, none.
   * @param isPromised whether somebody says that they are there: then they are waited for a little; default no
   * @returns the result with its sketches and those files only; undefined where the store has not all of them
   */
  copyTo(
    page: string,
    key: string,
    products: readonly ProductName[],
    folder: string | undefined,
    isPromised?: boolean,
  ): Promise<PageResult | undefined>;
  /** Removes what no result names and nobody has put or renewed for two weeks; results themselves stay. @returns bytes that were freed */
  sweep(): Promise<number>;
  close(): Promise<void>;
}
