import { messageOf } from '../../config/errors.js';
import { counted } from '../../config/figures.js';
import { visible } from '../../config/visible-text.js';
import type { Delivery, IssueReport } from '../../pipeline/index.js';
import { isAskedFor } from '../../pipeline/outputs/products.js';
import { livingHolder } from '../../pipeline/store/lock.js';
import { watchLockPath } from '../daemon/folder-marks.js';
import { appendToLedger } from '../daemon/ledger.js';
import type { LedgerRecord } from '../daemon/ledger-lines.js';

/**
 * Writes into the ledger what a command has done. A ledger that cannot be written does not undo the work: it is said on
 * standard error.
 */
async function note(jobFolder: string, records: readonly LedgerRecord[]): Promise<void> {
  if (records.length === 0) return;
  try {
    await appendToLedger(jobFolder, records);
  } catch (thrown) {
    const message = visible(messageOf(thrown));
    process.stderr.write(`The ledger could not be written; the work itself is done. ${message}\n`);
  }
}

/** The pages that a run has worked on. Beside a daemon, which sees them for itself, there is nothing to write. */
export async function noteRun(jobFolder: string, report: IssueReport): Promise<void> {
  if ((await livingHolder(watchLockPath(jobFolder))) !== undefined) return;
  await note(jobFolder, resultRecords(report));
}

/** A bundle that went into delivery/, and the pages that were made for it. */
export async function noteDelivery(
  jobFolder: string,
  { report, bundle, path, leftOut, isNew, number }: Delivery,
): Promise<void> {
  await noteRun(jobFolder, report);
  if (!isNew) return;
  const without = leftOut.length === 0 ? '' : `, without ${leftOut.map(({ page }) => page).join(', ')}`;
  const { bytes, sha256, files } = bundle;
  const message = `delivery ${number}, ${counted(files.length, 'file')}${without}`;
  await note(jobFolder, [{ at: now(), kind: 'delivered', file: path, bytes, sha256, message }]);
}

function resultRecords({ pages, workedOn }: IssueReport): LedgerRecord[] {
  return pages
    .filter(({ page, key }) => workedOn.includes(page) && key !== '')
    .map(({ page, key, state, outputs }) => ({
      at: now(),
      kind: 'result',
      page,
      key,
      state,
      products: [...new Set(outputs.map(({ product }) => product))].filter(isAskedFor),
    }));
}

function now(): string {
  return new Date().toISOString();
}
