import { createHash } from 'node:crypto';
import { visible } from '../../config/visible-text.js';

/**
 * One line of the ledger: a JSON object that begins with its number and its time and ends with `sum`, the first 16
 * hexadecimal digits of the SHA-256 of the line as it would read without `sum`. A line that was cut off or changed
 * does not agree with its sum.
 */

/** What the ledger tells of, one word a line. */
export type LedgerKind =
  | 'started'
  | 'stopped'
  | 'arrived'
  | 'gone'
  | 'result'
  | 'failed'
  | 'complete'
  | 'delivered'
  | 'job-changed'
  | 'job-broken'
  | 'trouble'
  | 'trouble-over'
  | 'repaired';

export interface LedgerRecord {
  /** ISO 8601, in UTC. */
  readonly at: string;
  readonly kind: LedgerKind;
  readonly page?: string;
  readonly file?: string;
  readonly part?: string;
  readonly version?: number;
  readonly bytes?: number;
  readonly sha256?: string;
  /** Key of a page's result; for `complete` the checksum over all of them. */
  readonly key?: string;
  readonly state?: string;
  readonly products?: readonly string[];
  readonly message?: string;
}

export interface NumberedRecord extends LedgerRecord {
  /** Counts the lines from 1. */
  readonly seq: number;
}

const sumStart = ',"sum":"';
const sumDigits = 16;

/** Longer messages are cut, in UTF-16 units: a job.yaml with a thousand mistakes is told on the terminal. */
const longestMessage = 4000;

/** The line for a record, with its line end; a message of more than 4000 characters is cut. */
export function ledgerLine(seq: number, record: LedgerRecord): string {
  const { message = '' } = record;
  const isLong = message.length > longestMessage;
  const cut = { message: `${message.slice(0, longestMessage)} [cut: ${message.length} characters]` };
  const plain = visible(JSON.stringify({ seq, ...record, ...(isLong ? cut : {}) }));
  return `${plain.slice(0, -1)}${sumStart}${sumOf(plain)}"}\n`;
}

/** What a line says, without its line end; undefined when it does not agree with its sum. */
export function readLedgerLine(line: string): NumberedRecord | undefined {
  const end = line.length - sumDigits - 2;
  const plain = `${line.slice(0, end - sumStart.length)}}`;
  if (line.slice(end - sumStart.length) !== `${sumStart}${sumOf(plain)}"}`) return undefined;
  return JSON.parse(plain) as NumberedRecord;
}

function sumOf(text: string): string {
  return createHash('sha256').update(text).digest('hex').slice(0, sumDigits);
}
