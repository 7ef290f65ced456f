import type { CheckLimit } from './check-limit.js';
import { colourLimits } from './colour-limits.js';
import { edgeLimits } from './edge-limits.js';
import { flatsLimits } from './flats-limits.js';
import { samenessLimits, storyLimits } from './issue-limits.js';
import { lineLimits } from './line-limits.js';

/**
 * All limits of checks, in the order in which job.yaml shows them. They stand here once: schema, defaults, the commented job.yaml
 * and findings take them from here.
 */
export const checkLimits = {
  ...lineLimits,
  ...flatsLimits,
  ...colourLimits,
  ...edgeLimits,
  ...samenessLimits,
  ...storyLimits,
} as const;

/** Name of a limit. */
export type CheckLimitName = keyof typeof checkLimits;

/** What a page is held against: a figure a limit; 0 leaves its check out. */
export type CheckLimits = Readonly<Record<CheckLimitName, number>>;

/** The rows of the table. */
export const limitRows = Object.entries(checkLimits) as readonly (readonly [CheckLimitName, CheckLimit])[];

/** The limits that hold where job.yaml says nothing. */
export const defaultLimits = limitsWith({});

/** The limits that hold, those that are stated before the suggestions. */
export function limitsWith(stated: Partial<Record<CheckLimitName, number | undefined>>): CheckLimits {
  const limits = limitRows.map(([name, row]) => [name, stated[name] ?? row.default]);
  return Object.fromEntries(limits) as CheckLimits;
}

/** Where a limit that holds on a page comes from: job.yaml, or our suggestion's own source. */
export function limitSource(limits: CheckLimits, name: CheckLimitName): string {
  return limits[name] === checkLimits[name].default ? checkLimits[name].source : `job.yaml: checks.${name}`;
}
