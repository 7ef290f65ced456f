import { join } from 'node:path';
import { bleedBoxPx, isBlackOnly } from '../../config/print-spec.js';
import { showExtraInks } from '../extra-inks.js';
import { reducedInks } from '../inks/reduced-inks.js';
import { worstOf } from '../model/findings.js';
import type { OutputFile } from '../model/page-result.js';
import type { Raster } from '../model/raster.js';
import { writeOutput } from '../write.js';
import { PackedParts } from './packed-parts.js';
import type { MadeFile, OutputContext, PageProduct } from './product.js';
import { productRows } from './products.js';

/** What products are made from, before anything is made. */
type MadeContext = Omit<OutputContext, 'softProof' | 'proofInks' | 'packed'>;

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
  const proofInks = once(() => proofInksOf(context));
  const full = {
    ...context,
    proofInks,
    softProof: once(async () => softProofOf(await proofInks(), context)),
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
  { role, of, size, ppi, shows, trim, encode }: MadeFile,
  folder: string,
  baseName: string,
): Promise<OutputFile> {
  const name = `${of?.baseName ?? baseName}${product.suffixOf(role)}`;
  const half = of === undefined ? {} : { half: of.half };
  const { bytes, sha256 } = await writeOutput(join(folder, name), await encode());
  const { width, height } = size;
  const seen = { ...(shows === undefined ? {} : { shows }), ...(trim === undefined ? {} : { trim }) };
  return { product: product.name, role, ...half, name, bytes, sha256, width, height, ppi, ...seen };
}

function proofInksOf({ request, inks, arena }: MadeContext): Promise<Raster> {
  const { spec } = request.page;
  return reducedInks(inks.composite, bleedBoxPx(spec, spec.proofPpi), arena);
}

async function softProofOf(reduced: Raster, { request, inks, separator, arena }: MadeContext) {
  const { proofPaperWhite: paperWhite } = request.page.spec;
  if (inks.extras === undefined) return separator.softProof(reduced, { paperWhite }, arena);
  const shown = { ...reduced, data: reduced.data.slice() };
  await showExtraInks(shown, inks.extras, arena);
  return separator.softProof(shown, { paperWhite }, arena);
}

/** Does work when it is first asked for, and gives everybody its outcome. */
function once<T>(work: () => Promise<T>): () => Promise<T> {
  let begun: Promise<T> | undefined;
  return () => {
    begun ??= work();
    return begun;
  };
}
