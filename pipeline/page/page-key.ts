import { createHash } from 'node:crypto';
import { packageVersion } from '../../config/package-root.js';
import type { Press } from '../../config/press.js';
import type { PageRequest, RequestedFile, UnhashedRequest } from '../model/page-request.js';

/** Raised whenever the same input gives other outputs or findings than before. */
const engineRevision = 8;

/** A request before it is known where and what to write. Its date is part of it, because the proof shows it. */
export type KeyedRequest = Omit<PageRequest, 'key' | 'outFolder' | 'products' | 'seen'>;

/**
 * The key of a page: SHA-256 over everything that its outputs and findings depend on, in hex. Same key, same bytes;
 * anything that changes a byte changes the key.
 */
export function pageKey(request: KeyedRequest, press: Press): string {
  const { issue, title, units, page, partWords, files, baseName, date } = request;
  const content = {
    engine: `${packageVersion()}.${engineRevision}`,
    press: { profile: press.sha256, id: press.id, inkLimitPercent: press.inkLimitPercent },
    ...{ issue, title, units, partWords, baseName, date },
    // The folder may move and the profile's path with it; their bytes count.
    page: { ...page, spec: { ...page.spec, press: undefined } },
    files: files.map(({ path: _path, ...file }) => file),
  };
  return createHash('sha256').update(stableJson(content)).digest('hex');
}

/** JSON with the fields of every object in order, so that equal content gives equal text. */
export function stableJson(value: unknown): string {
  return JSON.stringify(value, (_key, field: unknown) => {
    if (field === null || typeof field !== 'object' || Array.isArray(field)) return field;
    return Object.fromEntries(Object.entries(field).sort(([a], [b]) => (a < b ? -1 : a > b ? 1 : 0)));
  });
}

/** A request with its files' checksums and its key; one that has a key is handed on as it is. */
export function withKey(
  asked: PageRequest | UnhashedRequest,
  files: readonly RequestedFile[],
  press: Press,
): PageRequest {
  if (asked.key !== undefined) return asked;
  const read = { ...asked, files };
  return { ...read, key: pageKey(read, press) };
}
