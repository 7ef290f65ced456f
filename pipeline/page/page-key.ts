import { createHash } from 'node:crypto';
import { packageVersion } from '../../config/package-root.js';
import type { Press } from '../../config/press.js';
import type { PageRequest, RequestedFile, UnhashedRequest } from '../model/page-request.js';
import type { ProductName } from '../model/page-result.js';
import { productRows } from '../outputs/products.js';
import { findingSettings, type KeyedRequest, type Setting, settings } from '../outputs/settings.js';

/** Raised whenever the same input gives other outputs or findings than before. */
const engineRevision = 12;

/** The key of a result, and of each product in it. */
export type PageKeys = Pick<PageRequest, 'key' | 'productKeys'>;

/**
 * The keys of a page: SHA-256 over everything that each product, and the result as a whole with its findings, depends on; in
 * hex. Same key, same bytes; what changes a byte changes the key, and a setting changes the keys of what depends on it only.
 */
export function pageKeys(request: KeyedRequest, press: Press): PageKeys {
  const productKeys = {} as Record<ProductName, string>;
  for (const { name, dependsOn } of productRows) {
    productKeys[name] = keyOf({ product: name, ...chosen(dependsOn, request, press) });
  }
  const key = keyOf({ ...productKeys, ...chosen(findingSettings, request, press) });
  return { key, productKeys };
}

function chosen(names: readonly Setting[], request: KeyedRequest, press: Press): Record<string, unknown> {
  return Object.fromEntries(names.map((name) => [name, settings[name](request, press)]));
}

function keyOf(content: Readonly<Record<string, unknown>>): string {
  const whole = { ...content, engine: `${packageVersion()}.${engineRevision}` };
  return createHash('sha256').update(stableJson(whole)).digest('hex');
}

/** JSON with the fields of every object in order, so that equal content gives equal text. */
export function stableJson(value: unknown): string {
  return JSON.stringify(value, (_key, field: unknown) => {
    if (field === null || typeof field !== 'object' || Array.isArray(field)) return field;
    return Object.fromEntries(Object.entries(field).sort(([a], [b]) => (a < b ? -1 : a > b ? 1 : 0)));
  });
}

/** A request with its files' checksums and its keys; one that has keys is handed on as it is. */
export function withKeys(
  asked: PageRequest | UnhashedRequest,
  files: readonly RequestedFile[],
  press: Press,
): PageRequest {
  if (asked.key !== undefined) return asked;
  const hashed = { ...asked, files };
  return { ...hashed, ...pageKeys(hashed, press) };
}
