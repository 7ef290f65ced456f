import type { PlatehandError } from '../../config/errors.js';

/** What was noticed about a page. Findings are data: stages return them, reports and proofs show them. */

/** `stop` keeps the page out of a delivery, `warn` asks for a look, `note` is for the record. */
export const severities = ['note', 'warn', 'stop'] as const;
/** One of `severities`. */
export type Severity = (typeof severities)[number];

/** A place on a page, from the upper left corner of its trim, in millimetres; negative in the bleed. */
export interface Place {
  readonly xMm: number;
  readonly yMm: number;
  readonly widthMm: number;
  readonly heightMm: number;
  /** What was measured there, with its unit, where places differ. */
  readonly measured?: string;
}

/** The places of a finding. */
export interface FoundPlaces {
  /** The gravest first; at most `mostPlaces`. */
  readonly shown: readonly Place[];
  /** How many there are in all. */
  readonly inAll: number;
}

/** More boxes than this on one page hide what they are about. Own choice. */
export const mostPlaces = 30;

/** Something that was noticed about a page, held against a limit, with what to do. */
export interface Finding {
  /** Stable code, such as `colour-ppi-low`. */
  readonly code: string;
  readonly severity: Severity;
  /** Page id, or undefined for a finding about the whole issue. */
  readonly page: string | undefined;
  /** The working page it is about, relative to incoming/, if it is about one. */
  readonly file: string | undefined;
  /** One sentence without a final full stop: what was found. */
  readonly message: string;
  /** The measured value with its unit, such as `212 ppi`. */
  readonly measured: string | undefined;
  /** The limit it was held against, with its unit. */
  readonly limit: string | undefined;
  /** Where the limit comes from: the print spec, a standard, or `common practice, no published source`. */
  readonly source: string | undefined;
  /** One sentence: what to do. */
  readonly remedy: string;
  /** Where on the page; undefined for what is about the page as a whole. */
  readonly places?: FoundPlaces;
  /** Why the people in charge accept it, when job.yaml says so; its severity is then `note`. */
  readonly accepted?: string;
}

/** A finding before it is put on a page. */
export type Noticed = Omit<Finding, 'page' | 'file' | 'measured' | 'limit' | 'source' | 'accepted'> &
  Partial<Pick<Finding, 'file' | 'measured' | 'limit' | 'source'>>;

/** A refusal as a finding that stops the page. */
export function stopOf({ code, what, remedy }: PlatehandError, file: string | undefined): Noticed {
  return { code, severity: 'stop', message: what, remedy, ...(file === undefined ? {} : { file }) };
}

/** Puts what a stage noticed on its page; its remedy ends as sentences do. */
export function onPage(page: string | undefined, noticed: Noticed): Finding {
  return {
    code: noticed.code,
    severity: noticed.severity,
    page,
    file: noticed.file,
    message: noticed.message,
    measured: noticed.measured,
    limit: noticed.limit,
    source: noticed.source,
    remedy: /[.!?]$/.test(noticed.remedy) ? noticed.remedy : `${noticed.remedy}.`,
    ...(noticed.places === undefined ? {} : { places: noticed.places }),
  };
}

/** The gravest severity among findings; undefined when there are none. */
export function worstOf(findings: readonly Pick<Finding, 'severity'>[]): Severity | undefined {
  let worst = -1;
  for (const finding of findings) worst = Math.max(worst, severities.indexOf(finding.severity));
  return severities[worst];
}

/** The gravest first, those of one severity in the order in which they were found. */
export function worstFirst<One extends Pick<Finding, 'severity'>>(findings: readonly One[]): One[] {
  const rank = ({ severity }: Pick<Finding, 'severity'>) => severities.indexOf(severity);
  return findings.toSorted((a, b) => rank(b) - rank(a));
}

/** Findings whose code the job accepts on this page become notes that carry the reason given. */
export function accept(findings: readonly Finding[], accepted: Readonly<Record<string, string>>): Finding[] {
  return findings.map((finding) => {
    const reason = accepted[finding.code];
    if (reason === undefined || finding.severity === 'note') return finding;
    return { ...finding, severity: 'note', accepted: reason };
  });
}
