import { readdir, readFile, rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { makeFolder, placeWhole, renameHeld, writeWhole } from '../files/atomic.js';
import { ownerTag } from '../files/owner.js';
import type { OutputFile, PageResult, Product } from '../model/page-result.js';
import { products } from '../model/page-result.js';
import { hashFile } from '../reading/hash-file.js';

/**
 * Finished results, kept by key below `.platehand/results/<page>/<key>/`: what was made once is never made again.
 * The files in press/, plates/ and proofs/ are further names of the files here.
 */

/** Results kept for each page besides the newest, so that going back to an older version costs nothing. */
const keptOlder = 2;

/** A result on disk, with the products that it was asked to make (a stopped page makes fewer files than asked for). */
export interface StoredResult {
  readonly result: PageResult;
  readonly asked: readonly Product[];
  /** When each output was written, by file name, in milliseconds: whoever writes to it later changes that. */
  readonly writtenMs: Readonly<Record<string, number>>;
  readonly folder: string;
}

function pageFolder(jobFolder: string, baseName: string): string {
  return join(jobFolder, '.platehand', 'results', baseName);
}

/** Where the result of a key stands. */
export function resultFolder(jobFolder: string, baseName: string, key: string): string {
  return join(pageFolder(jobFolder, baseName), key);
}

/** Whether a page has any result, of whichever key. */
export async function hasResults(jobFolder: string, baseName: string): Promise<boolean> {
  const names = await readdir(pageFolder(jobFolder, baseName)).catch(() => []);
  return names.some((name) => !name.startsWith('.'));
}

/** Names of the working files that the newest result of a page was made from, below incoming/; none without a result. */
export async function newestUsed(jobFolder: string, baseName: string): Promise<readonly string[]> {
  const folder = pageFolder(jobFolder, baseName);
  const keys = (await readdir(folder).catch(() => [])).filter((name) => !name.startsWith('.'));
  let newest: { readonly at: number; readonly key: string } | undefined;
  for (const key of keys) {
    const facts = await stat(join(folder, key)).catch(() => undefined);
    if (facts !== undefined && facts.mtimeMs > (newest?.at ?? -1)) newest = { at: facts.mtimeMs, key };
  }
  const stored = newest === undefined ? undefined : await readStored(join(folder, newest.key));
  return stored?.result.used.map(({ name }) => name) ?? [];
}

/** The result of that key, if it is whole: every file there, with the bytes it had when it was made. */
export async function findResult(
  jobFolder: string,
  baseName: string,
  key: string,
): Promise<StoredResult | undefined> {
  const folder = resultFolder(jobFolder, baseName, key);
  const stored = await readStored(folder);
  if (stored === undefined) return undefined;
  for (const output of stored.result.outputs) {
    if (!(await isWhole(folder, output, stored.writtenMs[output.name]))) return undefined;
  }
  return { ...stored, folder };
}

async function readStored(folder: string): Promise<Omit<StoredResult, 'folder'> | undefined> {
  try {
    return JSON.parse(await readFile(join(folder, 'result.json'), 'utf8')) as Omit<StoredResult, 'folder'>;
  } catch {
    // Not there, or torn by a crash in mid-write: either way it is made anew.
    return undefined;
  }
}

async function isWhole(folder: string, output: OutputFile, writtenMs: number | undefined): Promise<boolean> {
  try {
    const { size, mtimeMs } = await stat(join(folder, output.name));
    return size === output.bytes && mtimeMs === writtenMs;
  } catch {
    return false;
  }
}

/** Whether every file of a result still holds the bytes that were made; reads them all. */
export async function hasOwnBytes({ folder, result }: StoredResult): Promise<boolean> {
  for (const { name, sha256 } of result.outputs) {
    const found = await hashFile(join(folder, name)).catch(() => undefined);
    if (found?.sha256 !== sha256) return false;
  }
  return true;
}

/** A new, empty folder in which a page may write its outputs; its key may not be known yet. */
export async function openResultFolder(
  jobFolder: string,
  baseName: string,
  key: string | undefined,
): Promise<string> {
  const folder = join(
    pageFolder(jobFolder, baseName),
    `.${key ?? 'new'}.${ownerTag}.${++openedFolders}.part`,
  );
  await rm(folder, { recursive: true, force: true });
  await makeFolder(folder);
  return folder;
}

/** Tells work on the same key apart that one process begins again before the first is cleared away. */
let openedFolders = 0;

/** Removes a folder whose page could not be finished. */
export async function discardResultFolder(partFolder: string): Promise<void> {
  await rm(partFolder, { recursive: true, force: true });
}

/**
 * Gives a page's finished folder its name and forgets results older than the ones that are kept. What an earlier result
 * of the same key had besides is taken over, since the same key means the same bytes.
 */
export async function storeResult(
  jobFolder: string,
  baseName: string,
  partFolder: string,
  made: PageResult,
  asked: readonly Product[],
): Promise<StoredResult> {
  const earlier = await findResult(jobFolder, baseName, made.key);
  // Somebody beside us made the same, and may be packing it just now: leave it alone.
  if (earlier !== undefined && asked.every((product) => earlier.asked.includes(product))) return earlier;
  const names = new Set(made.outputs.map(({ name }) => name));
  const kept = (earlier?.result.outputs ?? []).filter(({ name }) => !names.has(name));
  for (const { name } of kept) await placeWhole(join(earlier?.folder ?? '', name), join(partFolder, name));
  const outputs = [...made.outputs, ...kept].sort((a, b) => roleOrder(a) - roleOrder(b));
  const writtenMs: Record<string, number> = {};
  for (const { name } of outputs) writtenMs[name] = (await stat(join(partFolder, name))).mtimeMs;
  const all = products.filter((product) => asked.includes(product) || earlier?.asked.includes(product));
  const stored = { result: { ...made, outputs }, asked: all, writtenMs };
  await writeWhole(join(partFolder, 'result.json'), Buffer.from(`${JSON.stringify(stored, null, 2)}\n`));
  const folder = resultFolder(jobFolder, baseName, made.key);
  await rm(folder, { recursive: true, force: true });
  await renameHeld(partFolder, folder);
  await forgetOlder(pageFolder(jobFolder, baseName), made.key);
  return { ...stored, folder };
}

const roles = ['composite', 'line', 'cyan', 'magenta', 'yellow', 'black', 'proof', 'thumbnail'];

function roleOrder({ role }: OutputFile): number {
  return roles.indexOf(role);
}

async function forgetOlder(folder: string, newestKey: string): Promise<void> {
  const names = (await readdir(folder)).filter((name) => name !== newestKey && !name.startsWith('.'));
  const dated = await Promise.all(
    names.map(async (name) => ({ name, at: (await stat(join(folder, name))).mtimeMs })),
  );
  dated.sort((a, b) => b.at - a.at);
  for (const { name } of dated.slice(keptOlder))
    await rm(join(folder, name), { recursive: true, force: true });
}
