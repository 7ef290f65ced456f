import { visible } from '../../config/visible-text.js';

/** What the daemon has to tell, one event at a time: for the log, the ledger and the program that people wire to it. */
export const eventKinds = [
  'started',
  'stopped',
  'arrived',
  'gone',
  'set-aside',
  'not-whole-yet',
  'part-inspected',
  'page-proofed',
  'page-done',
  'page-stopped',
  'issue-complete',
  'issue-open',
  'job-changed',
  'job-broken',
  'paused',
  'resumed',
  'trouble',
  'trouble-over',
  'ledger-repaired',
  'ledger-damaged',
] as const;
export type EventKind = (typeof eventKinds)[number];

/** An event as it is logged. Fields that do not belong to its kind are left out. */
export interface WatchEvent {
  /** ISO 8601, in UTC. */
  readonly at: string;
  readonly kind: EventKind;
  /** Issue code. */
  readonly issue: string;
  /** Absolute path of the job folder. */
  readonly folder: string;
  /** What happened, in one sentence. */
  readonly message: string;
  readonly page?: string;
  /** Working file, relative to incoming/. */
  readonly file?: string;
  /** State of the page, as `platehand status` names it. */
  readonly state?: string;
  /** Codes of the findings that stop the page or ask for a look. */
  readonly findings?: readonly string[];
  /** Paths of what was made, relative to the job folder. */
  readonly outputs?: readonly string[];
  /** Of the page's result. */
  readonly key?: string;
  readonly bytes?: number;
  readonly sha256?: string;
  readonly part?: string;
  readonly version?: number;
}

/** The kinds that `--on-event` passes on. */
export const passedOnKinds: ReadonlySet<EventKind> = new Set<EventKind>([
  'part-inspected',
  'page-proofed',
  'page-stopped',
  'issue-complete',
]);

/** What an event says besides its kind, time and place. */
export type EventFacts = Omit<WatchEvent, 'at' | 'kind' | 'issue' | 'folder'>;

/** One line for people: local time with its offset, issue, page, and what happened. */
export function eventLine(event: WatchEvent): string {
  const page = event.page === undefined ? '' : ` page ${event.page}:`;
  const text = event.message.replaceAll(/\s*\n\s*/g, ' | ');
  return `${visible(`${localTime(new Date(event.at))} ${event.issue}${page} ${text}`)}\n`;
}

/** The same for machines: one JSON object. */
export function eventJson(event: WatchEvent): string {
  return `${visible(JSON.stringify(event))}\n`;
}

/** ISO 8601 in the zone of the machine, to the second. */
export function localTime(date: Date): string {
  const offset = -date.getTimezoneOffset();
  const shifted = new Date(date.getTime() + offset * 60_000).toISOString().slice(0, 19);
  const two = (value: number) => String(Math.floor(value)).padStart(2, '0');
  const size = Math.abs(offset);
  return `${shifted}${offset < 0 ? '-' : '+'}${two(size / 60)}:${two(size % 60)}`;
}
