import { hash } from 'node:crypto';
import { packageVersion } from '../../config/package-root.js';
import type { Press } from '../../config/press.js';
import type { PageRequest, RequestedFile, UnhashedRequest } from '../model/page-request.js';
import type { ProductName } from '../model/page-result.js';
import { productRows } from '../outputs/products.js';
import { findingSettings, type KeyedRequest, type Setting, settings } from '../outputs/settings.js';

/** Raised whenever the same input gives other outputs or findings than before. */
const engineRevision = 18;

/** Version of platehand and of its engine, such as `0.1.0.16`: only what has the same makes the same of a page. */
export function engineName(): string {
  return `${packageVersion()}.${engineRevision}`;
}

/** The key of a result, and of each product in it. */
export type PageKeys = Pick<PageRequest, 'key' | 'productKeys'>;

/**
 * The keys of a page: SHA-256 over everything that each product, and the result as a whole with its findings, depends on; in
 * hex. Same key, same bytes; what changes a byte changes the key, and a setting changes the keys of what depends on it only.
 */
export function pageKeys(request: KeyedRequest, press: Press): PageKeys {
  // Most settings are part of several keys: each is written out once.
  const texts = new Map<string, string>();
  const textOf = (name: Setting) => texts.get(name) ?? kept(name, settings[name](request, press));
  const kept = (name: Setting, value: unknown) => {
    const text = value === undefined ? '' : knownText(value);
    texts.set(name, text);
    return text;
  };
  const productKeys = {} as Record<ProductName, string>;
  for (const { name, dependsOn } of productRows) {
    productKeys[name] = keyOf({ product: JSON.stringify(name) }, dependsOn, textOf);
  }
  const parts = Object.entries(productKeys).map(([name, key]) => [name, JSON.stringify(key)]);
  return { key: keyOf(Object.fromEntries(parts), findingSettings, textOf), productKeys };
}

/**
 * SHA-256 over named texts, the settings' among them, and the engine.
 * @param more texts in JSON by name
 * @param textOf a setting in short; nothing where it is undefined
 */
function keyOf(
  more: Readonly<Record<string, string>>,
  names: readonly Setting[],
  textOf: (name: Setting) => string,
): string {
  const engine = JSON.stringify(engineName());
  const own = new Map([...Object.entries(more), ['engine', engine]]);
  const fields: string[] = [];
  for (const name of inOrder([...own.keys()], names)) {
    const text = own.get(name) ?? textOf(name as Setting);
    if (text !== '') fields.push(`"${name}":${text}`);
  }
  return sha256(`{${fields.join(',')}}`);
}

function sha256(text: string): string {
  return hash('sha256', text, 'hex');
}

/** Orders that were asked for, by what stands beside the settings: there are as many as products. */
const knownOrders = new WeakMap<readonly Setting[], Map<string, readonly string[]>>();

/** All names, each once, in the order of {@link stableJson}. */
function inOrder(more: readonly string[], names: readonly Setting[]): readonly string[] {
  const known = knownOrders.get(names) ?? new Map<string, readonly string[]>();
  const ordered = known.get(more.join(' ')) ?? [...new Set([...more, ...names])].sort();
  knownOrders.set(names, known.set(more.join(' '), ordered));
  return ordered;
}

/**
 * JSON with the fields of every object in order, so that equal content gives equal text. Written out by itself: the keys of an issue
 * are asked for at every look, and a replacer of `JSON.stringify` took several times as long.
 */
export function stableJson(value: unknown): string {
  if (value === null || typeof value !== 'object') return JSON.stringify(value) ?? 'null';
  if (Array.isArray(value)) return `[${value.map(stableJson).join(',')}]`;
  let text = '';
  // In the order of UTF-16 code units, the same everywhere.
  for (const name of Object.keys(value).sort()) {
    const field = (value as Record<string, unknown>)[name];
    if (field === undefined) continue;
    text += `${text === '' ? '' : ','}${JSON.stringify(name)}:${stableJson(field)}`;
  }
  return `{${text}}`;
}

/** Settings that were written out: pages share theirs, and nobody changes them. What is found for one page alone is soon forgotten. */
const knownTexts = new WeakMap<object, string>();

/** A longer text is part of a dozen keys by its checksum, which is taken once. Own choice: what is shorter costs no more as it is. */
const longestPlainText = 80;

function knownText(value: unknown): string {
  if (typeof value !== 'object' || value === null) return shortened(stableJson(value));
  const text = knownTexts.get(value) ?? shortened(stableJson(value));
  knownTexts.set(value, text);
  return text;
}

/** A text in JSON, or `#` and its SHA-256, which no JSON begins with. */
function shortened(json: string): string {
  return json.length <= longestPlainText ? json : `#${sha256(json)}`;
}

/** SHA-256 over any content, in hex: equal content has equal keys. */
export function contentKey(content: unknown): string {
  return sha256(stableJson(content));
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
