import { join } from 'node:path';
import { bleedBoxPx, isBlackOnly } from '../../config/print-spec.js';
import { showExtraInks } from '../extra-inks.js';
import { reducedInks } from '../inks/reduced-inks.js';
import { worstOf } from '../model/findings.js';
import type { OutputFile } from '../model/page-result.js';
import { writeOutput } from '../write.js';
import { PackedParts } from './packed-parts.js';
import type { MadeFile, OutputContext, PageProduct } from './product.js';
import { productRows } from './products.js';

/** What products are made from, before anything is made. */
type MadeContext = Omit<OutputContext, 'softProof' | 'packed'>;

/**
 * Makes the products that were asked for and writes them into the request's folder. A stopped page gets those only that the
 * table gives to stopped pages.
 */
export async function makeOutputs(context: MadeContext): Promise<OutputFile[]> {
  const { request, findings } = context;
  const folder = request.outFolder;
  if (folder === undefined) return [];
  const isStopped = worstOf(findings) === 'stop';
  const wanted = productRows.filter(({ name, forStoppedPage }) => {
    return request.products.includes(name) && (forStoppedPage || !isStopped);
  });
  const full = {
    ...context,
    softProof: once(() => softProofOf(context)),
    packed: new PackedParts(context.inks, isBlackOnly(request.page.spec), context.arena),
  };
  // Press files are packed on other threads while the proof is drawn on this one.
  const made = await Promise.all(wanted.map((product) => makeProduct(product, full, folder)));
  return made.flat();
}

async function makeProduct(
  product: PageProduct,
  context: OutputContext,
  folder: string,
): Promise<OutputFile[]> {
  const files = await product.make(context);
  return Promise.all(files.map((file) => writeMade(product, file, folder, context.request.baseName)));
}

/** Writes one file of a product into a folder, under the name that its role gives it. */
export async function writeMade(
  product: PageProduct,
  { role, of, size, ppi, encode }: MadeFile,
  folder: string,
  baseName: string,
): Promise<OutputFile> {
  const name = `${of?.baseName ?? baseName}${product.suffixOf(role)}`;
  const half = of === undefined ? {} : { half: of.half };
  const { bytes, sha256 } = await writeOutput(join(folder, name), await encode());
  const { width, height } = size;
  return { product: product.name, role, ...half, name, bytes, sha256, width, height, ppi };
}

async function softProofOf({ request, inks, separator, arena }: MadeContext) {
  const { spec } = request.page;
  const reduced = await reducedInks(inks.composite, bleedBoxPx(spec, spec.proofPpi), arena);
  if (inks.extras !== undefined) await showExtraInks(reduced, inks.extras, arena);
  return separator.softProof(reduced, { paperWhite: spec.proofPaperWhite }, arena);
}

/** Does work when it is first asked for, and gives everybody its outcome. */
function once<T>(work: () => Promise<T>): () => Promise<T> {
  let begun: Promise<T> | undefined;
  return () => {
    begun ??= work();
    return begun;
  };
}
