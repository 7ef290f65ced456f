import type { FileKind } from '../../config/job.js';
import type { OutputFile, ProductName } from '../model/page-result.js';
import { pdf } from './pdf.js';
import { plates } from './plates.js';
import { press } from './press.js';
import type { PageProduct } from './product.js';
import { proof } from './proof.js';
import { thumbnail } from './thumbnail.js';
import { views } from './views.js';

/** All that is made of a page, in the order in which it is listed: a row each. */
export const pageProducts: Readonly<Record<ProductName, PageProduct>> = {
  press,
  plates,
  pdf,
  proof,
  thumbnail,
  views,
};

/** The rows of the table. */
export const productRows: readonly PageProduct[] = Object.values(pageProducts);

/** Products that people ask for by name; the others come along. */
export function isAskedFor(name: ProductName): boolean {
  return !pageProducts[name].comesAlong;
}

/** What was asked for, and with it what platehand needs for itself; nothing for nothing. */
export function withThoseAlong(asked: readonly ProductName[]): readonly ProductName[] {
  if (asked.length === 0) return [];
  return productRows.map(({ name }) => name).filter((name) => asked.includes(name) || !isAskedFor(name));
}

/** Path of an output in the job folder and in a bundle, with forward slashes; undefined for what stays in the store. */
export function pathOf({ product, name }: Pick<OutputFile, 'product' | 'name'>): string | undefined {
  const { folder } = pageProducts[product];
  return folder === undefined ? undefined : `${folder}/${name}`;
}

/**
 * Path of an output in a bundle; undefined for what does not go into one.
 * @param files the kinds of files that go out
 */
export function bundlePathOf(
  output: Pick<OutputFile, 'product' | 'name' | 'role'>,
  files: readonly FileKind[],
): string | undefined {
  const kinds = pageProducts[output.product].deliveredWith(output.role);
  return kinds.some((kind) => files.includes(kind)) ? pathOf(output) : undefined;
}

/** Outputs in the order in which they are listed: product by product, role by role. */
export function inOrder(outputs: readonly OutputFile[]): OutputFile[] {
  return productRows.flatMap(({ name, roles }) => {
    const own = outputs.filter(({ product }) => product === name);
    const placeOf = ({ role }: OutputFile) => (roles.includes(role) ? roles.indexOf(role) : roles.length);
    return own.sort((a, b) => placeOf(a) - placeOf(b));
  });
}
