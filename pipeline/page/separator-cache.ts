import type { Press } from '../../config/press.js';
import type { PrintSpec } from '../../config/print-spec.js';
import { openSeparator, type Separator } from '../inks/separator.js';
import { LruCache } from '../kernels/lru-cache.js';

/**
 * Building the tables of a press condition takes as long as decoding a page, and nearly every page of an issue prints
 * on the same press: so a page process keeps the separators of its last pages. Two, each some 50 MB: a cover's press and the
 * interior's.
 */
const separators = new LruCache<Separator>(2);

/** The separator for a press and a print spec, built at most once while it is in the cache. */
export function separatorFor(
  press: Press,
  spec: Pick<PrintSpec, 'intent' | 'blackPointCompensation' | 'inkLimitPercent'>,
): Separator {
  const { intent, blackPointCompensation, inkLimitPercent } = spec;
  // The id and an absent limit are there because they tell where the limit comes from, which the separator says again.
  const key = [press.sha256, press.id, intent, blackPointCompensation, inkLimitPercent].join(' ');
  const settings = { intent, blackPointCompensation, inkLimitPercent };
  return separators.get(key) ?? separators.set(key, openSeparator(press, settings));
}
