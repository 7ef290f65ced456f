import { messageOf } from '../../config/errors.js';
import { type LedgerDamage, readLedger } from './ledger.js';

/** A result that was written down, and told. */
export interface KnownResult {
  readonly key: string;
  readonly products: readonly string[];
}

/** What the ledger knows of earlier days, so that a daemon that starts again tells nothing twice. */
export interface IssueMemory {
  /** Checksum of each file of incoming/ as it last arrived. */
  readonly arrived: Map<string, string>;
  /** The newest result of each page. */
  readonly results: Map<string, KnownResult>;
  /** Checksum over the pages' keys when the issue was last complete. */
  complete: string | undefined;
  readonly damage: readonly LedgerDamage[];
}

/** Reads the ledger. One that cannot be read at all counts as empty, and that is told. */
export async function recall(jobFolder: string): Promise<IssueMemory> {
  const arrived = new Map<string, string>();
  const results = new Map<string, KnownResult>();
  let complete: string | undefined;
  try {
    const { records, damage } = await readLedger(jobFolder);
    for (const { kind, file, page, key, sha256, products } of records) {
      if (kind === 'arrived' && file !== undefined) arrived.set(file, sha256 ?? '');
      if (kind === 'gone' && file !== undefined) arrived.delete(file);
      if (kind === 'result' && page !== undefined)
        results.set(page, { key: key ?? '', products: products ?? [] });
      if (kind === 'complete') complete = key;
    }
    return { arrived, results, complete, damage };
  } catch (thrown) {
    return { arrived, results, complete, damage: [{ line: 0, what: messageOf(thrown) }] };
  }
}
