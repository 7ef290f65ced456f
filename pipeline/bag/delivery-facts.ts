import { createHash } from 'node:crypto';
import { basename } from 'node:path';
import * as z from 'zod';
import type { BagFile } from './bag-listing.js';
import { type OpenBag, openBag } from './bag-reader.js';
import { parseManifest } from './bagit.js';
import { type DeliveredPage, remarksOf, type SummedFile } from './page-content.js';

/**
 * What a delivery says of itself in its delivery.json, read back from a ZIP or a folder: on the sender's side to number the
 * next one and to tell what has changed, on the receiver's to hold several against each other.
 */

/** A delivery by its name; the number is missing for one that was made before deliveries were numbered. */
export interface NamedDelivery {
  /** Counts from 1 for each issue; null for one without a number. */
  readonly number: number | null;
  /** Name of its bag, `TDL03-2`. */
  readonly name: string;
  /** Day of delivery, `YYYY-MM-DD`; null where it does not say. */
  readonly date: string | null;
  /** SHA-256 of its manifest, which tells it from any other, packed or unpacked. */
  readonly manifestSha256: string;
}

/** A delivery with all that is to be known to go on from it. */
export interface DeliveryFacts extends NamedDelivery {
  readonly issue: string;
  readonly title: string;
  readonly kind: 'whole' | 'partial' | 'supplement';
  /** Ids of all pages that the issue had then, in reading order. */
  readonly pageList: readonly string[];
  readonly pages: readonly DeliveredPage[];
  /** The kinds of files that it holds; undefined for one that was made when there was no choice. */
  readonly files?: readonly string[] | undefined;
  /** Files that belong to no page, such as the contact sheet. */
  readonly others: readonly SummedFile[];
  /** Deliveries that it takes the place of. */
  readonly replaces: readonly NamedDelivery[];
  /** The ones that it goes together with to make an issue; empty for one that stands by itself. */
  readonly builtOn: readonly NamedDelivery[];
  /** Which delivery each page of the issue is to be taken from, as far as there is one. */
  readonly sources: readonly { readonly page: string; readonly delivery: string }[];
}

/** Texts about the delivery itself; they hold its day, so they are no part of its content. */
export const deliveryTexts = { record: 'delivery.json', note: 'READ-ME.txt' } as const;

const named = z.object({
  number: z.number().int().positive().nullable(),
  name: z.string(),
  date: z.string().nullable(),
  manifestSha256: z.string(),
});
const summed = z.object({ path: z.string(), sha256: z.string() });
const recordedPage = z.object({
  page: z.string(),
  workingPages: z.array(
    z.object({ name: z.string(), part: z.string(), version: z.number().optional(), sha256: z.string() }),
  ),
  files: z.array(summed),
  inkLimitConfirmed: z.boolean().optional(),
  findings: z.array(z.object({ code: z.string(), severity: z.string(), accepted: z.string().optional() })),
});

/** Of delivery.json, what is read again; deliveries of versions before numbers have the first six members only. */
const recordForm = z.object({
  format: z.string().startsWith('platehand delivery '),
  issue: z.string(),
  title: z.string(),
  complete: z.boolean(),
  leftOut: z.array(z.object({ page: z.string() })),
  pages: z.array(recordedPage),
  delivery: z
    .object({
      number: z.number().int().positive(),
      name: z.string(),
      date: z.string(),
      kind: z.enum(['whole', 'partial', 'supplement']),
    })
    .optional(),
  files: z.array(z.string()).optional(),
  pageList: z.array(z.string()).optional(),
  replaces: z.array(named).optional(),
  builtOn: z.array(named).optional(),
  sources: z.array(z.object({ page: z.string(), delivery: z.string() })).optional(),
});

/** A delivery.json or a manifest beyond this is no delivery of pages. */
const maxTextBytes = 32 * 1024 * 1024;

/**
 * Reads what a bag says of itself as a delivery; its checksums are not looked at.
 * @returns undefined for what is no bag, or one that holds something else
 * @throws the system's error when there is nothing at `path`
 */
export async function readDeliveryFacts(path: string): Promise<DeliveryFacts | undefined> {
  const bag = await openBag(path);
  try {
    const [record, manifest] = await Promise.all([
      textOf(bag.files.get(`data/${deliveryTexts.record}`)),
      textOf(bag.files.get('manifest-sha256.txt')),
    ]);
    if (record === undefined || manifest === undefined) return undefined;
    return factsOf(JSON.parse(record), manifest, nameOf(bag, path));
  } catch {
    return undefined;
  } finally {
    bag.close();
  }
}

function nameOf(bag: OpenBag, path: string): string {
  return bag.name === '' ? basename(path).replace(/\.zip$/i, '') : bag.name;
}

async function textOf(file: BagFile | undefined): Promise<string | undefined> {
  if (file === undefined || file.size > maxTextBytes) return undefined;
  const chunks: Uint8Array[] = [];
  await file.read((chunk) => chunks.push(chunk));
  return Buffer.concat(chunks).toString('utf8');
}

function factsOf(json: unknown, manifest: string, bagName: string): DeliveryFacts | undefined {
  const parsed = recordForm.safeParse(json);
  if (!parsed.success) return undefined;
  const { issue, title, delivery, complete, leftOut, replaces, builtOn, ...record } = parsed.data;
  const pages = record.pages.map(({ findings, inkLimitConfirmed, ...page }) => {
    return { ...page, remarks: remarksOf(findings, inkLimitConfirmed === true) };
  });
  const name = delivery?.name ?? bagName;
  const ownPages = pages.map(({ page }) => page);
  return {
    ...{ number: null, date: null, kind: complete ? ('whole' as const) : ('partial' as const), ...delivery },
    ...{ name, issue, title, pages },
    manifestSha256: createHash('sha256').update(manifest).digest('hex'),
    pageList: record.pageList ?? [...ownPages, ...leftOut.map(({ page }) => page)],
    files: record.files,
    others: othersIn(manifest, pages),
    replaces: replaces ?? [],
    builtOn: builtOn ?? [],
    sources: record.sources ?? ownPages.map((page) => ({ page, delivery: name })),
  };
}

/** What the manifest lists beside the files of pages and the texts about the delivery. */
function othersIn(manifest: string, pages: readonly DeliveredPage[]): SummedFile[] {
  const known = new Set<string>(Object.values(deliveryTexts));
  for (const { files } of pages) for (const { path } of files) known.add(path);
  return parseManifest(manifest, 'sha256').flatMap((line) => {
    if (typeof line === 'number') return [];
    const path = line.path.replace(/^data\//, '');
    return known.has(path) ? [] : [{ path, sha256: line.checksum }];
  });
}
