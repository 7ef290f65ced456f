import type { Press } from '../../config/press.js';
import type { PrintSpec } from '../../config/print-spec.js';
import { openSeparator, type Separator } from '../separate.js';

/**
 * Building the tables of a press condition takes as long as decoding a page, and nearly every page of an issue prints
 * on the same press: so a page process keeps the separators of its last pages.
 */
const kept = new Map<string, Separator>();

/** Separators kept at a time, each some 50 MB: a cover's press and the interior's. */
const mostKept = 2;

/** The separator for a press and a print spec, built at most once while it is kept. */
export function separatorFor(
  press: Press,
  spec: Pick<PrintSpec, 'intent' | 'blackPointCompensation' | 'inkLimitPercent'>,
): Separator {
  const { intent, blackPointCompensation } = spec;
  const inkLimitPercent = spec.inkLimitPercent ?? press.inkLimitPercent;
  // The id is there because it tells where a suggested limit comes from, which the separator says again.
  const key = [press.sha256, press.id, intent, blackPointCompensation, inkLimitPercent].join(' ');
  const separator =
    kept.get(key) ?? openSeparator(press, { intent, blackPointCompensation, inkLimitPercent });
  // Put at the end, so that the first is always the one that was not asked for longest.
  kept.delete(key);
  kept.set(key, separator);
  const [oldest] = kept.keys();
  if (kept.size > mostKept && oldest !== undefined) kept.delete(oldest);
  return separator;
}
