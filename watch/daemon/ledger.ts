import { type FileHandle, open, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { NotAFileError, openRegular } from '../../config/regular-file.js';
import { makeFolder } from '../../pipeline/files/atomic.js';
import { writeFailed } from '../../pipeline/files/disk-trouble.js';
import { withLock } from '../../pipeline/store/lock.js';
import { type LedgerRecord, ledgerLine, type NumberedRecord, readLedgerLine } from './ledger-lines.js';

/**
 * `.platehand/ledger.jsonl`: what arrived, what was made of it and what went out, one line each, only ever added to. The
 * daemon and the commands beside it write to it, one at a time.
 */

export function ledgerPath(jobFolder: string): string {
  return join(jobFolder, '.platehand', 'ledger.jsonl');
}

/** A line that says something else than what was written, or does not follow the one before it. */
export interface LedgerDamage {
  /** Counted from 1. */
  readonly line: number;
  readonly what: string;
}

export interface LedgerReading {
  readonly records: readonly NumberedRecord[];
  readonly damage: readonly LedgerDamage[];
}

/** Reads a ledger and checks every line. Damage is told, not thrown: what is sound around it is still worth reading. */
export async function readLedger(jobFolder: string): Promise<LedgerReading> {
  const records: NumberedRecord[] = [];
  const damage: LedgerDamage[] = [];
  let line = 0;
  try {
    const { handle } = await openRegular(ledgerPath(jobFolder));
    const input = handle.createReadStream({ encoding: 'utf8' });
    for await (const text of createInterface({ input, crlfDelay: Number.POSITIVE_INFINITY })) {
      line++;
      const record = readLedgerLine(text);
      const before = records.at(-1)?.seq ?? 0;
      if (record === undefined) damage.push({ line, what: 'the line does not agree with its checksum' });
      else {
        if (damage.at(-1)?.line !== line - 1 && record.seq !== before + 1) {
          damage.push({ line, what: `number ${record.seq} follows number ${before}` });
        }
        records.push(record);
      }
    }
  } catch (thrown) {
    if (thrown instanceof NotAFileError) return { records, damage: [{ line: 1, what: thrown.message }] };
    if ((thrown as NodeJS.ErrnoException).code !== 'ENOENT') throw thrown;
  }
  return { records, damage };
}

/** How long one process waits for another to finish its lines. */
const appendWaitMs = 10_000;

/** As much of the ledger's end as is read first; it nearly always holds the last lines. */
const tailBytes = 64 * 1024;

/**
 * Adds lines and brings them to the disk. A last line that a power cut has torn is first set aside, whole, in
 * `ledger.torn-<time>` beside the ledger, and a line says so.
 * @returns whether something had to be set aside
 * @throws PlatehandError `write-failed`; then nothing of it was added
 */
export async function appendToLedger(
  jobFolder: string,
  records: readonly LedgerRecord[],
): Promise<{ readonly repaired: boolean }> {
  const path = ledgerPath(jobFolder);
  try {
    await makeFolder(join(jobFolder, '.platehand'));
    const lock = join(jobFolder, '.platehand', 'ledger.lock');
    return await withLock(lock, 'writing the ledger', appendWaitMs, async () => {
      // Not opened for appending only, because a torn end has to be cut off.
      const file = await openOrMake(path);
      try {
        return await append(file, path, records);
      } finally {
        await file.close();
      }
    });
  } catch (thrown) {
    throw writeFailed(path, thrown);
  }
}

async function append(file: FileHandle, path: string, records: readonly LedgerRecord[]) {
  const end = await soundEnd(file);
  const added = [...records];
  if (end.torn.length > 0) {
    const aside = `ledger.torn-${new Date().toISOString().replaceAll(/[:.]/g, '-')}`;
    await writeFile(join(path, '..', aside), end.torn);
    const message = `${end.torn.length} bytes at the end were torn; they are in ${aside}`;
    added.unshift({ at: new Date().toISOString(), kind: 'repaired', message });
    await file.truncate(end.at);
  }
  const text = added.map((record, index) => ledgerLine(end.seq + 1 + index, record)).join('');
  try {
    await writeAll(file, Buffer.from(text), end.at);
    await file.sync();
  } catch (thrown) {
    await file.truncate(end.at).catch(() => undefined);
    throw thrown;
  }
  return { repaired: end.torn.length > 0 };
}

async function writeAll(file: FileHandle, bytes: Buffer, at: number): Promise<void> {
  let done = 0;
  while (done < bytes.length) {
    done += (await file.write(bytes, done, bytes.length - done, at + done)).bytesWritten;
  }
}

/** Only a ledger that is not there is made: one that may not be written says why. */
async function openOrMake(path: string): Promise<FileHandle> {
  return open(path, 'r+').catch((thrown: NodeJS.ErrnoException) => {
    if (thrown.code !== 'ENOENT') throw thrown;
    return open(path, 'wx+');
  });
}

interface SoundEnd {
  /** Where the last sound line ends. */
  readonly at: number;
  /** Its number; 0 where there is none. */
  readonly seq: number;
  /** What stands behind it. */
  readonly torn: Buffer;
}

/** Looks backwards for the last sound line, however long it is: what stands before it must never count as torn. */
async function soundEnd(file: FileHandle): Promise<SoundEnd> {
  const { size } = await file.stat();
  for (let bytes = tailBytes; ; bytes *= 4) {
    const start = Math.max(0, size - bytes);
    const tail = await readAll(file, start, size - start);
    const found = lastSoundLine(tail, start === 0);
    if (found !== undefined) return { ...found, at: start + found.at, torn: tail.subarray(found.at) };
    // No sound line at all: an empty ledger, or one that begins torn.
    if (start === 0) return { at: 0, seq: 0, torn: tail };
  }
}

async function readAll(file: FileHandle, at: number, length: number): Promise<Buffer> {
  const bytes = Buffer.alloc(length);
  let done = 0;
  while (done < length) {
    const { bytesRead } = await file.read(bytes, done, length - done, at + done);
    if (bytesRead === 0) throw new Error('the ledger became shorter while it was read');
    done += bytesRead;
  }
  return bytes;
}

/** @param isWhole whether the tail begins where the ledger does; otherwise its first line is none */
function lastSoundLine(tail: Buffer, isWhole: boolean): { at: number; seq: number } | undefined {
  let end = tail.length;
  while (end > 0) {
    const lineEnd = tail.lastIndexOf(10, end - 1);
    const lineStart = lineEnd <= 0 ? 0 : tail.lastIndexOf(10, lineEnd - 1) + 1;
    if (lineEnd < 0 || (lineStart === 0 && !isWhole)) return undefined;
    const record = readLedgerLine(tail.toString('utf8', lineStart, lineEnd));
    if (record !== undefined) return { at: lineEnd + 1, seq: record.seq };
    end = lineStart;
  }
  return undefined;
}
