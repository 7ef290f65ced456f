import type { Job } from '../../config/job.js';
import { type DeliveryKind, deliveryName, deliverySuffixes } from '../../config/job-file/delivery-naming.js';
import { clashKey } from '../../config/portable-name.js';
import type { NamedDelivery } from './delivery-facts.js';
import { type DeliveryShelf, deliveryFolder, type PastDelivery, sourcesOf } from './delivery-shelf.js';
import {
  changeOf,
  type DeliveredPage,
  hasSameFiles,
  isSamePage,
  type PageChange,
  type SummedFile,
} from './page-content.js';

/** What is to be delivered, before it is known whether anybody has it already. */
export interface DeliveryWish {
  readonly kind: DeliveryKind;
  /** Day of delivery, `YYYY-MM-DD`. */
  readonly date: string;
  readonly pages: readonly DeliveredPage[];
  /** Files that belong to no page. */
  readonly others: readonly SummedFile[];
}

/** The next delivery, and how it stands to those before it. */
export interface DeliveryPlan extends DeliveryWish {
  /** Counts from 1; never given twice. */
  readonly number: number;
  /** Name of the bag and, with .zip behind it, of the file. */
  readonly name: string;
  /** Ids of all pages of the issue, in reading order. */
  readonly pageList: readonly string[];
  /** The newest delivery before this one; undefined for the first. */
  readonly since: NamedDelivery | undefined;
  /** What differs from what was delivered before, all deliveries taken together. */
  readonly changes: readonly PageChange[];
  /** Deliveries of which nothing is to be used any more. */
  readonly replaces: readonly NamedDelivery[];
  /** For a supplement: the base first, then the supplements before it that still count. Empty for others. */
  readonly builtOn: readonly NamedDelivery[];
  /** Which delivery each page of the issue is to be taken from. */
  readonly sources: readonly { readonly page: string; readonly delivery: string }[];
  /** Pages of the issue that neither this delivery holds nor one that it builds on. */
  readonly absent: readonly string[];
  /** Of those that a supplement builds on the ones that hold other kinds of files, with these. */
  readonly otherFiles: readonly { readonly delivery: string; readonly kinds: readonly string[] }[];
}

/**
 * The next delivery: its number is the first that was never given, of which nothing in delivery/ bears the name. Whoever
 * has the deliveries so far has what `changes` does not name.
 */
export function planDelivery(job: Job, shelf: DeliveryShelf, wish: DeliveryWish): DeliveryPlan {
  const { deliveries } = shelf;
  const number = freeNumber(job, shelf);
  const name = deliveryName(job, number, wish.kind);
  const pageList = job.pages.map(({ id }) => id);
  const before = sourcesOf(deliveries);
  const own = new Map(wish.pages.map((page) => [page.page, page]));
  const isKept = (id: string) => wish.kind === 'supplement' && pageList.includes(id);
  const changes = [...new Set([...pageList, ...before.keys()])].flatMap((id) => {
    if (!own.has(id) && isKept(id)) return [];
    const old = before.get(id);
    const change = changeOf(old && { ...old.page, delivery: old.from.name }, own.get(id));
    return change === undefined ? [] : [change];
  });
  const sources = pageList.flatMap((page) => {
    if (own.has(page)) return [{ page, delivery: name }];
    const old = isKept(page) ? before.get(page) : undefined;
    return old === undefined ? [] : [{ page, delivery: old.from.name }];
  });
  const counts = new Set(sources.map(({ delivery }) => delivery));
  const done = new Set(deliveries.flatMap(({ replaces }) => replaces.map((one) => one.name)));
  const standing = deliveries.filter((one) => !done.has(one.name));
  const builtOn = wish.kind === 'supplement' ? deliveries.filter((one) => counts.has(one.name)) : [];
  return {
    ...{ ...wish, number, name, pageList, changes, sources },
    since: deliveries.length === 0 ? undefined : namedOf(deliveries[deliveries.length - 1]),
    replaces: standing.filter((one) => !counts.has(one.name)).map(namedOf),
    builtOn: builtOn.map(namedOf),
    otherFiles: builtOn.flatMap((one) => otherFiles(one, job)),
    absent: pageList.filter((page) => !sources.some((one) => one.page === page)),
  };
}

function otherFiles({ name, files }: PastDelivery, { delivery }: Job) {
  if (files === undefined || files.join() === delivery.files.join()) return [];
  return [{ delivery: name, kinds: files }];
}

function namedOf({ number, name, date, manifestSha256 }: PastDelivery): NamedDelivery {
  return { number, name, date, manifestSha256 };
}

function freeNumber(job: Job, { lastNumber, names }: DeliveryShelf): number {
  const taken = new Set(names.map(clashKey));
  const kinds = Object.keys(deliverySuffixes) as DeliveryKind[];
  const isTaken = (number: number) =>
    kinds.some((kind) => taken.has(clashKey(`${deliveryName(job, number, kind)}.zip`)));
  let number = lastNumber + 1;
  while (isTaken(number)) number++;
  return number;
}

/**
 * The delivery that holds what is wished for already; undefined when there is none. The whole issue is compared with the
 * newest delivery alone: an issue that was delivered, changed and changed back is news. Single pages are compared with
 * what all deliveries together have of them.
 */
export function alreadyDelivered(
  { deliveries }: DeliveryShelf,
  wish: DeliveryWish,
): PastDelivery | undefined {
  const newest = deliveries.at(-1);
  if (newest === undefined || newest.number === null) return undefined;
  if (wish.kind !== 'supplement') return isSameContent(newest, wish) ? newest : undefined;
  const sources = sourcesOf(deliveries);
  const from = wish.pages.map((page) => {
    const source = sources.get(page.page);
    return source !== undefined && isSamePage(source.page, page) ? source.from : undefined;
  });
  if (from.includes(undefined)) return undefined;
  return deliveries.findLast((one) => from.includes(one) && one.number !== null);
}

function isSameContent(one: PastDelivery, { kind, pages, others }: DeliveryWish): boolean {
  if (one.kind !== kind || one.pages.length !== pages.length || !hasSameFiles(one.others, others))
    return false;
  return pages.every((page, i) => page.page === one.pages[i].page && isSamePage(page, one.pages[i]));
}

/** Where a delivery is to lie in the job folder, with forward slashes. */
export function deliveryFile({ name }: Pick<DeliveryPlan, 'name'>): string {
  return `${deliveryFolder}/${name}.zip`;
}

/** A delivery as people are told of it: `delivery 2 of 2026-11-20 (TDL03-2)`. */
export function deliveryWords({
  number,
  name,
  date,
}: Pick<NamedDelivery, 'number' | 'name' | 'date'>): string {
  const day = date === null ? '' : ` of ${date}`;
  return number === null
    ? `a delivery without a number${day} (${name})`
    : `delivery ${number}${day} (${name})`;
}
