import { setTimeout as pause } from 'node:timers/promises';
import { messageOf } from '../../config/errors.js';
import { appendToLedger, type LedgerDamage, readLedger } from './ledger.js';
import type { LedgerKind, LedgerRecord } from './ledger-lines.js';
import { Backoff } from './retry.js';
import type { EventFacts, EventKind, WatchEvent } from './watch-event.js';

/** The ledger's word for an event; events without one are for the log only. */
const ledgerKinds: Partial<Record<EventKind, LedgerKind>> = {
  started: 'started',
  stopped: 'stopped',
  arrived: 'arrived',
  gone: 'gone',
  'issue-complete': 'complete',
  'job-changed': 'job-changed',
  'job-broken': 'job-broken',
  trouble: 'trouble',
  'trouble-over': 'trouble-over',
};

/** The first pause when the ledger cannot be written, in milliseconds. */
const firstPauseMs = 500;

/**
 * Tells what happens in one job folder, and writes it down. Lines that the disk does not take wait in memory, in their
 * order, until it does.
 */
export class IssueJournal {
  private readonly waiting: LedgerRecord[] = [];
  private writing: Promise<void> | undefined;
  private readonly backoff = new Backoff(firstPauseMs);
  private readonly ended = new AbortController();

  constructor(
    private readonly jobFolder: string,
    private readonly issueOf: () => string,
    private readonly onEvent: (event: WatchEvent) => void,
  ) {}

  /** Tells an event, and writes down what the ledger has a word for. */
  tell(kind: EventKind, facts: EventFacts): void {
    const at = new Date().toISOString();
    this.onEvent({ at, kind, issue: this.issueOf(), folder: this.jobFolder, ...facts });
    const inLedger = ledgerKinds[kind];
    if (inLedger === undefined) return;
    const { findings: _findings, outputs: _outputs, ...rest } = facts;
    this.note({ at, kind: inLedger, ...rest });
  }

  /** Puts a line into the ledger without an event. */
  note(record: LedgerRecord): void {
    this.waiting.push(record);
    this.begin();
  }

  private begin(): void {
    this.writing ??= this.write().finally(() => {
      this.writing = undefined;
      if (this.waiting.length > 0 && !this.ended.signal.aborted) this.begin();
    });
  }

  /** Tries once more to write what waits, and ends. */
  async close(): Promise<void> {
    this.ended.abort();
    await this.writing;
    if (this.waiting.length === 0) return;
    await appendToLedger(this.jobFolder, this.waiting.splice(0)).catch(() => undefined);
  }

  private async write(): Promise<void> {
    // What comes in the same turn goes to the disk together.
    await pause(0);
    while (this.waiting.length > 0 && !this.ended.signal.aborted) {
      const records = [...this.waiting];
      try {
        const { repaired } = await appendToLedger(this.jobFolder, records);
        this.waiting.splice(0, records.length);
        if (repaired)
          this.say('ledger-repaired', 'the torn end of the ledger was set aside; see .platehand/');
        const over = this.backoff.succeeded();
        if (over !== undefined) this.say('trouble-over', 'the ledger can be written again');
      } catch (thrown) {
        const { isNew, pauseMs } = this.backoff.failed(messageOf(thrown));
        if (isNew) this.say('trouble', `the ledger cannot be written, its lines wait: ${messageOf(thrown)}`);
        await pause(pauseMs, undefined, { signal: this.ended.signal }).catch(() => undefined);
      }
    }
  }

  /** Tells without writing down: it is the writing down that it is about. */
  private say(kind: EventKind, message: string): void {
    const at = new Date().toISOString();
    this.onEvent({ at, kind, issue: this.issueOf(), folder: this.jobFolder, message });
  }
}

/** A result that was written down, and told. */
export interface KnownResult {
  readonly key: string;
  readonly products: readonly string[];
  /** Whether it was told as stopped. */
  readonly isStopped: boolean;
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
    for (const { kind, file, page, key, sha256, products, state } of records) {
      if (kind === 'arrived' && file !== undefined) arrived.set(file, sha256 ?? '');
      if (kind === 'gone' && file !== undefined) arrived.delete(file);
      if (kind === 'result' && page !== undefined)
        results.set(page, { key: key ?? '', products: products ?? [], isStopped: state === 'stopped' });
      if (kind === 'complete') complete = key;
    }
    return { arrived, results, complete, damage };
  } catch (thrown) {
    return { arrived, results, complete, damage: [{ line: 0, what: messageOf(thrown) }] };
  }
}
