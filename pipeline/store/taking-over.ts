import { worstOf } from '../model/findings.js';
import type { OutputFile, PageResult, ProductName } from '../model/page-result.js';
import type { PageProduct } from '../outputs/product.js';
import { productRows } from '../outputs/products.js';
import type { StoredResult } from './result-store.js';

/** What results of a page give to one another, in whichever store they are. */

/** Results that a page keeps besides the newest, so that going back to an older version costs nothing. */
export const keptOlder = 2;

/** Names what each product is made from. */
export type ProductKeys = Readonly<Record<ProductName, string>>;

/** Results of a page from which something may be taken over. */
export interface Donors {
  /** The result of the same key, if it is whole. */
  readonly earlier: StoredResult | undefined;
  /** All that are there, the newest first. */
  readonly all: readonly StoredResult[];
}

/** Whether a result has a product's files as they are asked for; the store looks at them. */
type Has = (stored: StoredResult, product: PageProduct, keys: ProductKeys) => Promise<boolean>;

/** What a result takes over. */
export interface TakenOver {
  /** Everything that was asked for, with what came from others. */
  readonly asked: readonly ProductName[];
  readonly taken: readonly { readonly from: StoredResult; readonly output: OutputFile }[];
}

/** Finds what others have of a result beyond what was asked for. */
export async function takenOver(
  made: PageResult,
  asked: readonly ProductName[],
  donors: Donors,
  has: Has,
): Promise<TakenOver> {
  const all = new Set(asked);
  const taken: { from: StoredResult; output: OutputFile }[] = [];
  for (const product of productRows.filter(({ name }) => !asked.includes(name))) {
    const from = await firstWith(donors, product, made, has);
    if (from === undefined) continue;
    all.add(product.name);
    if (isStopped(made) && !product.forStoppedPage) continue;
    for (const output of outputsOf(from, product)) taken.push({ from, output });
  }
  return { asked: productRows.map(({ name }) => name).filter((name) => all.has(name)), taken };
}

async function firstWith(
  { earlier, all }: Donors,
  product: PageProduct,
  { productKeys }: PageResult,
  has: Has,
): Promise<StoredResult | undefined> {
  // What the same page was asked for and did not make, it would not make now.
  if (earlier?.asked.includes(product.name)) return earlier;
  for (const donor of all) if (await has(donor, product, productKeys)) return donor;
  return undefined;
}

/** Whether a result was asked for a product with such a key, and may give it away. */
export function mayGive(
  { asked, result }: Pick<StoredResult, 'result' | 'asked'>,
  { name, forStoppedPage }: PageProduct,
  keys: ProductKeys,
): boolean {
  if (!asked.includes(name) || result.productKeys[name] !== keys[name]) return false;
  return !isStopped(result) || forStoppedPage;
}

/** A result's files of a product. */
export function outputsOf(
  { result }: Pick<StoredResult, 'result'>,
  { name }: Pick<PageProduct, 'name'>,
): OutputFile[] {
  return result.outputs.filter(({ product }) => product === name);
}

/** Whether a result may go to print as it is: nothing stops it, and all its press files were made. */
export function isGood({ result, asked }: Pick<StoredResult, 'result' | 'asked'>): boolean {
  const press = productRows.filter(({ phase, folder }) => phase === 'press' && folder !== undefined);
  return !isStopped(result) && press.every(({ name }) => asked.includes(name));
}

function isStopped({ findings }: PageResult): boolean {
  return worstOf(findings) === 'stop';
}
