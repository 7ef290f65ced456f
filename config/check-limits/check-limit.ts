/** A limit that something on a page is held against, as the section `checks` of job.yaml states it. */
export interface CheckLimit {
  /** What is noticed by it, one sentence without a final full stop. */
  readonly means: string;
  readonly unit: string;
  readonly max: number;
  /** Our suggestion. 0 leaves the check out, here as in job.yaml. */
  readonly default: number;
  /** Where the suggestion comes from: shown with the finding. */
  readonly source: string;
}

/** Limits by name; names end in their unit. */
export type LimitTable = Readonly<Record<string, CheckLimit>>;
