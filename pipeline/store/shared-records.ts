import { createHash } from 'node:crypto';
import type { OutputFile, PageResult, ProductName, VersionChange } from '../model/page-result.js';
import { productNames } from '../model/page-result.js';
import { inOrder } from '../outputs/products.js';
import { checkSha256, isFileName, isSha256, pagePartOf } from './object-names.js';
import type { ObjectStore } from './object-store.js';

/**
 * What a shared store remembers of results: a text for each time that one was stored, under the page, its key and the products that were
 * asked for. Two machines that make two products of one page at the same moment thus write two texts, and neither loses the other's.
 */

/** One such text. */
export interface ResultRecord {
  /** Base name of the page. */
  readonly page: string;
  /** One more than the highest of the page when it was stored: clocks of machines differ, this does not. */
  readonly count: number;
  /** When it was stored, by the clock of whoever stored it; tells only where counts are equal. */
  readonly storedMs: number;
  readonly asked: readonly ProductName[];
  /** With its sketches, and the files of every product that was asked for. */
  readonly result: PageResult;
  readonly versions?: readonly VersionChange[];
}

/** All records of one key as one. */
export interface KeptResult extends ResultRecord {
  /** Objects that hold its records. */
  readonly objects: readonly string[];
}

/** What the names of all records begin with. */
export const recordsPrefix = 'results/';

/** Where the records of a page lie, or those of one of its keys. @param part of the page, by `pagePartOf` */
export function recordsOf(part: string, key = ''): string {
  if (key !== '') checkSha256(key);
  return `${recordsPrefix}${part}/${key}`;
}

/** Where a record lies. */
export function recordName({ page, result, asked }: ResultRecord): string {
  checkSha256(result.key);
  return `${recordsOf(pagePartOf(page), result.key)}.${[...asked].sort().join('+') || 'none'}.json`;
}

/** A record as text, with its own checksum. */
export function recordText(record: ResultRecord): string {
  return `${JSON.stringify({ sha256: sumOf(record), record })}\n`;
}

/** Reads a record that may come from anywhere; undefined where it is torn, another page's, or names files that are none. */
function recordIn(text: string, part: string, key: string): ResultRecord | undefined {
  try {
    const { sha256, record } = JSON.parse(text) as { sha256: string; record: ResultRecord };
    const { result, asked, count } = record;
    const isOurs = sha256 === sumOf(record) && pagePartOf(record.page) === part && result.key === key;
    const isNumbered = Number.isSafeInteger(count) && Number.isFinite(record.storedMs);
    const isKnown = (name: ProductName) => productNames.includes(name);
    return isOurs && isNumbered && asked.every(isKnown) && result.outputs.every(isOutput)
      ? record
      : undefined;
  } catch {
    return undefined;
  }
}

function isOutput({ product, name, sha256, bytes }: OutputFile): boolean {
  return (
    productNames.includes(product) &&
    isFileName(name) &&
    isSha256(sha256) &&
    Number.isSafeInteger(bytes) &&
    bytes >= 0
  );
}

function sumOf(record: ResultRecord): string {
  return createHash('sha256').update(JSON.stringify(record)).digest('hex');
}

/** All results of a page, the newest first; those of one key only where it is named. @param part of the page */
export async function keptOf(objects: ObjectStore, part: string, key?: string): Promise<KeptResult[]> {
  const byKey = new Map<string, { object: string; record: ResultRecord }[]>();
  for await (const { name: object } of objects.list(recordsOf(part, key))) {
    const ofKey = keyIn(object);
    const text = await objects.getText(object);
    const record = text === undefined ? undefined : recordIn(text, part, ofKey);
    if (record !== undefined) byKey.set(ofKey, [...(byKey.get(ofKey) ?? []), { object, record }]);
  }
  return [...byKey.values()].map(together).sort(newestFirst);
}

function keyIn(object: string): string {
  return object.slice(object.lastIndexOf('/') + 1).split('.')[0];
}

/** The newest record, with the products that only others have. */
function together(found: readonly { readonly object: string; readonly record: ResultRecord }[]): KeptResult {
  const records = found.map(({ record }) => record).sort(newestFirst);
  const [newest] = records;
  const asked = productNames.filter((name) => records.some((each) => each.asked.includes(name)));
  const outputs = asked.flatMap((name) => {
    const from = records.find((each) => each.asked.includes(name));
    return from?.result.outputs.filter(({ product }) => product === name) ?? [];
  });
  const versions = records.find((each) => each.versions !== undefined)?.versions;
  return {
    ...newest,
    ...(versions && { versions }),
    asked,
    result: { ...newest.result, outputs: inOrder(outputs) },
    objects: found.map(({ object }) => object),
  };
}

function newestFirst(one: ResultRecord, other: ResultRecord): number {
  return (
    other.count - one.count || other.storedMs - one.storedMs || (one.result.key < other.result.key ? -1 : 1)
  );
}
