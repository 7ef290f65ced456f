import type { DeliveryNeeds, FileKind, Job } from '../job.js';

/**
 * Defaults of the `delivery` section of job.yaml. Issue code and number are the shortest that tells deliveries apart. Plates without
 * line are a disaster where somebody prints from them alone, so they go out only when they are asked for by name.
 */
export const deliveryDefaults = {
  naming: '{issue}-{delivery}',
  files: ['pdf', 'composite', 'line', 'proofs'],
  needs: 'nothing',
} as const satisfies {
  readonly naming: string;
  readonly files: readonly FileKind[];
  readonly needs: DeliveryNeeds;
};

/** Tokens that the naming pattern of deliveries may hold; `{number}` is the issue's, `{delivery}` the delivery's. */
export const deliveryTokens = ['issue', 'number', 'delivery'] as const;

/**
 * What a delivery holds: `whole` is every page of the issue; `partial` what could be delivered of it, with a reason;
 * `supplement` single corrected pages, of use only beside the deliveries that it builds on.
 */
export type DeliveryKind = 'whole' | 'partial' | 'supplement';

/** What stands behind the name of a delivery that is not the whole issue, so that nobody takes it for one. */
export const deliverySuffixes: Readonly<Record<DeliveryKind, string>> = {
  whole: '',
  partial: '-partial',
  supplement: '-supplement',
};

/** What of a job its deliveries' names are made of. */
export type DeliveryNamingJob = Pick<Job, 'issue' | 'number'> & {
  /** Its `delivery` section. */
  readonly delivery: Pick<Job['delivery'], 'naming'>;
};

/**
 * Name of a delivery, which is that of its bag and, with `.zip` behind it, of its file: `TDL03-2`,
 * `TDL03-3-supplement`. Names of one job are distinct, because the pattern holds the number.
 */
export function deliveryName(job: DeliveryNamingJob, delivery: number, kind: DeliveryKind): string {
  const values: Record<string, string> = {
    '{issue}': job.issue,
    '{number}': job.number === undefined ? '' : String(job.number),
    '{delivery}': String(delivery),
  };
  const stem = job.delivery.naming.replace(/\{[^{}]*\}/g, (token) => values[token] ?? token);
  return `${stem}${deliverySuffixes[kind]}`;
}
