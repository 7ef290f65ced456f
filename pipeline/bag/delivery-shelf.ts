import { readdir } from 'node:fs/promises';
import { join } from 'node:path';
import type { Job } from '../../config/job.js';
import { readRegular } from '../../config/regular-file.js';
import { makeFolder, writeWhole } from '../files/atomic.js';
import { type DeliveryFacts, readDeliveryFacts } from './delivery-facts.js';
import type { DeliveredPage } from './page-content.js';

/**
 * The deliveries of an issue so far: what lies in delivery/, and what the record in the state folder remembers of those that
 * somebody has taken away. The ZIPs speak first; the record can be lost, and is made anew from them.
 */

/** The folder of a job in which its deliveries appear. */
export const deliveryFolder = 'delivery';

/** A delivery that was made, here or by an earlier version of the program. */
export interface PastDelivery extends DeliveryFacts {
  /** Its file in the job folder, with the forward slashes of a path in a bundle; undefined when it is no longer there. */
  readonly file: string | undefined;
}

/** What there is of deliveries. */
export interface DeliveryShelf {
  /** In the order in which they were made. */
  readonly deliveries: readonly PastDelivery[];
  /** ZIPs in delivery/ that no one can read as a delivery, or that bear a number that another one has. */
  readonly odd: readonly { readonly file: string; readonly why: string }[];
  /** The highest number that was ever given, 0 where none was. */
  readonly lastNumber: number;
  /** Names of everything in delivery/. */
  readonly names: readonly string[];
}

/** What the record holds: the number is noted just before a delivery gets its name, and confirmed when it has it. */
interface RecordFile {
  readonly format: typeof recordFormat;
  readonly lastNumber: number;
  readonly deliveries: readonly DeliveryFacts[];
}

const recordFormat = 'platehand deliveries 1';
const recordPath = (jobFolder: string) => join(jobFolder, '.platehand', 'deliveries.json');

/** Looks at delivery/ and at the record. Reads what deliveries say of themselves, and no page. */
export async function readShelf(job: Pick<Job, 'folder' | 'issue'>): Promise<DeliveryShelf> {
  const names = (await readdir(join(job.folder, deliveryFolder)).catch(() => [])).sort();
  const there: PastDelivery[] = [];
  const odd: { file: string; why: string }[] = [];
  for (const name of names.filter((one) => /^[^.].*\.zip$/i.test(one))) {
    const file = `${deliveryFolder}/${name}`;
    const facts = await readDeliveryFacts(join(job.folder, file)).catch(() => undefined);
    if (facts === undefined) odd.push({ file, why: 'it cannot be read as a delivery' });
    else if (facts.issue !== job.issue) odd.push({ file, why: `it is a delivery of ${facts.issue}` });
    else addTo(there, { ...facts, file }, odd);
  }
  const record = await readRecord(job.folder);
  // A folder may have been copied from the last issue's, or its code corrected.
  const own = record.deliveries.filter(({ issue }) => issue === job.issue);
  const gone = own.filter((one) => !there.some((other) => isSame(one, other)));
  const all = [...there, ...gone.map((facts) => ({ ...facts, file: undefined }))];
  const mentioned = all.flatMap(({ number, replaces, builtOn }) => [
    number,
    ...[...replaces, ...builtOn].map((one) => one.number),
  ]);
  const lastNumber = Math.max(record.lastNumber, ...mentioned.map((number) => number ?? 0));
  return { deliveries: all.sort(asMade), odd, lastNumber, names };
}

/** Of two ZIPs of one delivery the one that bears its name counts; two deliveries of one number are never mixed up. */
function addTo(there: PastDelivery[], one: PastDelivery, odd: { file: string; why: string }[]): void {
  const at = there.findIndex((other) => isSame(one, other));
  if (at < 0) {
    there.push(one);
    return;
  }
  const other = there[at];
  const keepsName = one.file === `${deliveryFolder}/${one.name}.zip`;
  if (keepsName) there[at] = one;
  const left = keepsName ? other : one;
  const isCopy = one.manifestSha256 === other.manifestSha256;
  const why = isCopy ? `it is a copy of ${there[at].file}` : `${there[at].file} bears the same number`;
  odd.push({ file: left.file ?? '', why });
}

function isSame(one: DeliveryFacts, other: DeliveryFacts): boolean {
  return one.number === null ? other.number === null && one.name === other.name : one.number === other.number;
}

/** Those without a number came before the others, and a partial one before the whole. */
function asMade(one: DeliveryFacts, other: DeliveryFacts): number {
  const rank = ({ number, kind }: DeliveryFacts) => number ?? (kind === 'partial' ? -1 : 0);
  return rank(one) - rank(other);
}

/** An unreadable record counts as none: what lies in delivery/ says the same of itself. */
async function readRecord(jobFolder: string): Promise<RecordFile> {
  try {
    const record = JSON.parse((await readRegular(recordPath(jobFolder))).toString('utf8')) as RecordFile;
    if (record.format === recordFormat && Array.isArray(record.deliveries)) return record;
  } catch {
    // Told apart from an unknown format by nothing that matters here.
  }
  return { format: recordFormat, lastNumber: 0, deliveries: [] };
}

/**
 * Notes a number as given before its delivery gets its name, so that a crash right after that, and a person who then sends
 * the file off and removes it, do not make the number twice.
 * @throws PlatehandError `write-failed`
 */
export async function noteNumber(
  jobFolder: string,
  { deliveries }: DeliveryShelf,
  number: number,
): Promise<void> {
  await writeRecord(jobFolder, {
    format: recordFormat,
    lastNumber: number,
    deliveries: deliveries.map(factsOf),
  });
}

/**
 * Notes a delivery that lies in delivery/ under its name.
 * @throws PlatehandError `write-failed`
 */
export async function noteDelivered(
  jobFolder: string,
  shelf: DeliveryShelf,
  made: DeliveryFacts,
): Promise<void> {
  const deliveries = [...shelf.deliveries.map(factsOf), made];
  await writeRecord(jobFolder, {
    format: recordFormat,
    lastNumber: made.number ?? shelf.lastNumber,
    deliveries,
  });
}

function factsOf({ file: _file, ...facts }: PastDelivery): DeliveryFacts {
  return facts;
}

async function writeRecord(jobFolder: string, record: RecordFile): Promise<void> {
  await makeFolder(join(jobFolder, '.platehand'));
  await writeWhole(recordPath(jobFolder), Buffer.from(`${JSON.stringify(record, null, 1)}\n`));
}

/** Where the pages of an issue stand with who received all deliveries so far. */
export type Sources = ReadonlyMap<string, { readonly page: DeliveredPage; readonly from: PastDelivery }>;

/**
 * Which delivery each page is to be taken from: a whole or partial one takes the place of all before it, a supplement that
 * of its pages; pages that left the page list are no longer looked for.
 */
export function sourcesOf(deliveries: readonly PastDelivery[]): Sources {
  let sources = new Map<string, { page: DeliveredPage; from: PastDelivery }>();
  for (const from of deliveries) {
    if (from.kind !== 'supplement') sources = new Map();
    for (const page of from.pages) sources.set(page.page, { page, from });
    for (const id of sources.keys()) if (!from.pageList.includes(id)) sources.delete(id);
  }
  return sources;
}
