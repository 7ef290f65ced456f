import { createHash } from 'node:crypto';
import { join } from 'node:path';
import type { Press } from '../../config/press.js';
import type { PrintSpec } from '../../config/print-spec.js';
import { mmToPx, type SizePx } from '../../config/units.js';
import { writeWhole } from '../files/atomic.js';
import { reducedInks } from '../inks/reduced-inks.js';
import type { Separator } from '../inks/separator.js';
import type { PageArena } from '../kernels/page-arena.js';
import { type Finding, severities, worstOf } from '../model/findings.js';
import type { PageRequest } from '../model/page-request.js';
import type { OutputFile, Product } from '../model/page-result.js';
import type { Plate, Raster } from '../model/raster.js';
import { drawProof } from '../proof.js';
import type { PageInks } from '../separate.js';
import type { ProofSlug } from '../sheets/proof-slug.js';
import { thumbnailOf, trimBoxPx } from '../sheets/thumbnail.js';
import { encodeComposite, encodeLinePlate, encodePicture, encodePlate } from '../write.js';

/** Width of a single page on the contact sheet's thumbnails, in pixels; spreads are twice as wide. Our own choice. */
const thumbnailWidthPx = 440;

export interface OutputContext {
  readonly request: PageRequest;
  readonly press: Press;
  readonly separator: Separator;
  readonly inks: PageInks;
  readonly findings: readonly Finding[];
  /** The page's memory, in which its inks stand. */
  readonly arena: PageArena;
}

/** One file to be written. */
interface Made {
  readonly product: OutputFile['product'];
  readonly role: string;
  readonly suffix: string;
  readonly size: SizePx;
  readonly ppi: number;
  /** The file, in pieces. */
  readonly encode: () => Promise<readonly Uint8Array[]>;
}

/**
 * Writes what was asked for into the request's folder. A stopped page gets its proof, so that people see why, but no
 * press files or plates, so that none can be sent by mistake.
 */
export async function makeOutputs(context: OutputContext): Promise<OutputFile[]> {
  const { request } = context;
  if (request.outFolder === undefined) return [];
  const stopped = worstOf(context.findings) === 'stop';
  const wanted = (product: Product) => request.products.includes(product);
  const made: Made[] = [];
  if (wanted('press') && !stopped) made.push(...pressFiles(context));
  if (wanted('plates') && !stopped) made.push(...plates(context));
  const folder = request.outFolder;
  const write = (all: readonly Made[]) =>
    Promise.all(all.map((one) => writeOne(one, folder, request.baseName)));
  // Press files are packed on other threads while the proof is drawn on this one.
  const [files, shown] = await Promise.all([
    write(made),
    pictures(context, wanted('proof')).then((all) => write(all)),
  ]);
  return [...files, ...shown];
}

async function writeOne(made: Made, folder: string, baseName: string): Promise<OutputFile> {
  const pieces = await made.encode();
  const name = `${baseName}${made.suffix}`;
  await writeWhole(join(folder, name), pieces);
  const hash = createHash('sha256');
  let bytes = 0;
  for (const piece of pieces) {
    hash.update(piece);
    bytes += piece.length;
  }
  const sha256 = hash.digest('hex');
  const { product, role, ppi } = made;
  const { width, height } = made.size;
  return { product, role, name, bytes, sha256, width, height, ppi };
}

function pressFiles({ inks, press, request, arena }: OutputContext): Made[] {
  const { colourPpi: ppi, linePpi } = request.page.spec;
  const { composite, line } = inks;
  const encode = () => encodeComposite(composite, { ppi, profile: press.profile }, arena);
  const made: Made[] = [
    { product: 'press', role: 'composite', suffix: '.tif', size: composite, ppi, encode },
  ];
  if (line !== undefined) {
    const encodeLine = () => encodeLinePlate(line, { ppi: linePpi });
    made.push({
      product: 'press',
      role: 'line',
      suffix: '_line.tif',
      size: line,
      ppi: linePpi,
      encode: encodeLine,
    });
  }
  return made;
}

function plates({ inks, request, arena }: OutputContext): Made[] {
  const ppi = request.page.spec.colourPpi;
  const { width, height } = inks.separation;
  return inks.separation.inks.map(({ name: role, plane }) => {
    const plate: Plate = { width, height, data: plane };
    return {
      product: 'plates',
      role,
      suffix: `_${role}.tif`,
      size: plate,
      ppi,
      encode: () => encodePlate(plate, { ppi }, arena),
    };
  });
}

/** The proof, and the thumbnail that every result has. */
async function pictures(context: OutputContext, proofWanted: boolean): Promise<Made[]> {
  const { request, separator, inks, arena } = context;
  const { spec } = request.page;
  const isSpread = request.page.numbers.length > 1;
  const reduced = await reducedInks(inks.composite, proofSize(spec), arena);
  const page = separator.softProof(reduced, { paperWhite: spec.proofPaperWhite }, arena);
  const ppi = spec.proofPpi;
  const small = await thumbnailOf(page, thumbnailWidthPx * (isSpread ? 2 : 1), trimBoxPx(page, spec, ppi));
  const made: Made[] = [picture('thumbnail', small, ppi, '_thumbnail.png')];
  if (proofWanted) {
    const slug = slugOf(context);
    const proof = await drawProof(page, { spec, ppi, slug, isSpread, units: request.units }, arena);
    made.push(picture('proof', proof, ppi, '_proof.png'));
  }
  return made;
}

function picture(product: 'proof' | 'thumbnail', raster: Raster, ppi: number, suffix: string): Made {
  return {
    product,
    role: product,
    suffix,
    size: raster,
    ppi,
    encode: async () => [await encodePicture(raster, { ppi, format: 'png' })],
  };
}

function proofSize(spec: PrintSpec): SizePx {
  return {
    width: Math.round(mmToPx(spec.trim.widthMm + 2 * spec.bleedMm, spec.proofPpi)),
    height: Math.round(mmToPx(spec.trim.heightMm + 2 * spec.bleedMm, spec.proofPpi)),
  };
}

function slugOf({ request, press, separator, findings }: OutputContext): ProofSlug {
  const { spec } = request.page;
  const worst = worstOf(findings);
  const gravest = [...findings].sort(
    (a, b) => severities.indexOf(b.severity) - severities.indexOf(a.severity),
  )[0];
  const paper = spec.proofPaperWhite ? 'paper white shown' : 'paper white not shown';
  return {
    issue: request.issue,
    title: request.title,
    page: request.page.id,
    version: versionsOf(request),
    date: request.date,
    condition: `${press.id}, ink limit ${separator.inkLimitPercent} %`,
    worst,
    worstMessage: gravest?.message,
    softProofNote: `${spec.intent} colorimetric, ${paper}`.replace(
      /^(perceptual|saturation) colorimetric/,
      '$1',
    ),
  };
}

/** The versions of the files: one word for all, or one for each part. */
function versionsOf({ files }: PageRequest): string {
  const word = (version: number | undefined) => (version === undefined ? 'no version' : `v${version}`);
  const words = new Set(files.map(({ version }) => word(version)));
  if (words.size === 1) return [...words][0];
  return files.map(({ part, version }) => `${part} ${word(version)}`).join(', ');
}
