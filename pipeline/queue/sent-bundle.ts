import * as z from 'zod';
import { isCalendarDay } from '../../config/calendar-day.js';
import type { BagEntry, LaidBag } from '../bag/bag-entries.js';
import { unportablePath } from '../bag/bagit.js';
import { contentKey } from '../page/page-key.js';
import { defaultReadLimits } from '../reading/read-limits.js';
import { line, sha256, whole } from './form-fields.js';
import { heldAgainst } from './form-refusal.js';

/** A bundle on its way between machines: every file of the bag by its content, for a path of one machine says nothing on another. */

/** What there is to pack. */
export interface SentBundle {
  readonly issue: string;
  /** Name of the bag, such as `TDL03-2`. */
  readonly name: string;
  /** Day of delivery, `YYYY-MM-DD`. */
  readonly day: string;
  /** Every file of the bag, in the order in which it is packed; paths begin with the bag's name. */
  readonly entries: readonly BagEntry[];
}

/** Files of a bag that goes through a queue at most: some hundred pages. What has more is packed where it is asked for. Own choice. */
const mostEntries = 10_000;

/** Longest path of a bag, in characters; own choice, beyond what naming patterns give. */
const longestPath = 500;

const bagName = line(100).refine((name) => !name.includes('/') && unportablePath(name) === undefined, {
  error: 'cannot name a bag',
});

const entryForm = z.strictObject({
  path: line(longestPath).refine((path) => unportablePath(path) === undefined, {
    error: 'is no path of a bag',
  }),
  bytes: whole(defaultReadLimits.maxFileBytes),
  sha256,
});

const bundleForm = z
  .strictObject({
    issue: line(100),
    name: bagName,
    day: z.string().refine(isCalendarDay, { error: 'is no day' }),
    entries: z.array(entryForm).min(1).max(mostEntries),
  })
  .refine(({ name, entries }) => entries.every(({ path }) => path.startsWith(`${name}/`)), {
    path: ['entries'],
    error: 'lie beside the bag',
  });

/**
 * A bundle from the queue, sound in every field.
 * @throws PlatehandError `queue-refused`
 */
export function checkedBundle(value: unknown): SentBundle {
  return heldAgainst(bundleForm, value, { what: 'A bundle on the queue', whole: 'the bundle' });
}

/** A bag as it is put on the queue. */
export function sentBundle(issue: string, { name, day, entries }: LaidBag): SentBundle {
  return { issue, name, day, entries: entries.map(({ path, bytes, sha256 }) => ({ path, bytes, sha256 })) };
}

/** Names a packing by all that is packed: the same asked for twice is one. */
export function bundleJobId(bundle: SentBundle): string {
  return `${contentKey(bundle)}-bundle`;
}
