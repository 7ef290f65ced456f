/**
 * The one way to fail. Everything that platehand refuses is a PlatehandError: a stable code, what happened, where,
 * and what to do about it. Anything else that is thrown is a fault of the program itself and keeps its trace.
 */

/** What the process exits with; documented in watch/README.md and stable. */
export const exitCode = {
  /** Everything asked for was done. */
  done: 0,
  /** The work ran, but pages are stopped, missing, contested or not worked on, or a file is not known. */
  attention: 1,
  /** Wrong use, or a job.yaml that cannot be followed. */
  wrongUse: 2,
  /** The issue is not complete, so the delivery was refused. */
  incomplete: 3,
} as const;

/** One of the exit codes. */
export type ExitCode = (typeof exitCode)[keyof typeof exitCode];

/** Stable codes of refusals; each belongs to one cause. */
export type ErrorCode =
  | 'job-missing'
  | 'job-unreadable'
  | 'job-invalid'
  | 'folder-not-empty'
  | 'wrong-use'
  | 'profile-invalid'
  | 'profile-timeout'
  | 'profile-version'
  | 'picture-unreadable'
  | 'picture-changed'
  | 'picture-unsupported'
  | 'picture-too-large'
  | 'archive-unsafe'
  | 'colour-engine'
  | 'pdf-too-large'
  | 'pdf-unreadable'
  | 'write-failed'
  | 'name-too-long'
  | 'page-process'
  | 'issue-incomplete'
  | 'bundle-invalid'
  | 'bundle-failed'
  | 'lock-held'
  | 'queue-refused'
  | 'ledger-damaged'
  | 'round-unreadable'
  | 'installation-broken'
  | 'queue-unreachable'
  | 'input-missing'
  | 'engine-differs'
  | 'store-unreachable'
  | 'store-damaged'
  | 'package-missing';

/** Where something went wrong; every field is optional because not every trouble has a line or a page. */
export interface Place {
  /** Path of the file, as the user knows it. */
  readonly file?: string;
  /** Line in that file, 1-based. */
  readonly line?: number;
  /** Column in that line, 1-based. */
  readonly column?: number;
  /** Page id in the page list. */
  readonly page?: string;
}

/** What platehand refuses, and how to go on; `message` holds place, what and remedy together. */
export class PlatehandError extends Error {
  /** Stable code of the cause, for programs. */
  readonly code: ErrorCode;
  /** What happened, one sentence without a final full stop. */
  readonly what: string;
  /** Where it happened; empty where nothing is known. */
  readonly place: Place;
  /** What to do about it, one sentence. */
  readonly remedy: string;
  /** What the command line exits with; default 2 (wrong use). */
  readonly exitCode: ExitCode;

  /**
   * @param code stable code of the cause
   * @param what what happened, one sentence without a final full stop
   * @param remedy what to do about it, one sentence
   * @param options `place` says where (default: nowhere in particular), `exitCode` is what the command line ends with
   *   (default `wrongUse`, 2), `cause` keeps the underlying error (default none)
   */
  constructor(
    code: ErrorCode,
    what: string,
    remedy: string,
    options: { place?: Place; exitCode?: ExitCode; cause?: unknown } = {},
  ) {
    const place = options.place ?? {};
    super(`${describePlace(place)}${what}. ${remedy}`, { cause: options.cause });
    this.name = 'PlatehandError';
    this.code = code;
    this.what = what;
    this.place = place;
    this.remedy = remedy;
    this.exitCode = options.exitCode ?? exitCode.wrongUse;
  }
}

/** The place as it stands before a message: `job.yaml:12:5: ` or `page 7: `; empty where nothing is known. */
function describePlace(place: Place): string {
  const spot = [place.file, place.line, place.column].filter((part) => part !== undefined).join(':');
  const page = place.page === undefined ? '' : `page ${place.page}`;
  const parts = [page, spot].filter((part) => part !== '');
  return parts.length === 0 ? '' : `${parts.join(', ')}: `;
}

/** The message of anything thrown, also of libraries that throw plain strings. */
export function messageOf(thrown: unknown): string {
  if (thrown instanceof Error) return thrown.message;
  return String(thrown);
}
