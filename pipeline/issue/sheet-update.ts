import { dirname, join } from 'node:path';
import type { Job } from '../../config/job.js';
import { packageVersion } from '../../config/package-root.js';
import { readRegular } from '../../config/regular-file.js';
import { makeFolder, writeWhole } from '../files/atomic.js';
import type { ColourScriptRequest, SheetRequest } from '../model/sheet-request.js';
import { type IssueProduct, issueProducts } from '../outputs/issue-products.js';
import { contentKey } from '../page/page-key.js';
import { sha256Of } from '../reading/hash-file.js';
import type { DrawSheet } from '../runner/page-runner.js';
import type { PageRun } from './page-run.js';
import type { PagesReport } from './report.js';
import { sheetRequest } from './sheet-request.js';
import { scenePalettes } from './story.js';

/** The contact sheet as it was when it agreed with the report: a daemon may draw another at any time. */
export interface DrawnSheet {
  /** In the job folder. */
  readonly path: string;
  readonly png: Uint8Array;
}

/**
 * Draws the contact sheet from the pages' thumbnails, unless it shows the same already.
 * @param draw who draws it; default this process
 * @throws PlatehandError `write-failed`
 */
export async function updateContactSheet(
  job: Job,
  report: PagesReport,
  runs: readonly PageRun[],
  draw?: DrawSheet,
): Promise<DrawnSheet> {
  const product = issueProducts.contactSheet;
  const request = sheetRequest(job, report, runs);
  const png = await upToDate(job.folder, product, sheetKey(request), () => (draw ?? product.make)(request));
  return { path: product.path, png };
}

/**
 * Writes what the story's colour is shown by, unless it stands there already: the colour script, and all palettes as open data. Judged
 * from what pages measured, so that another scene in job.yaml makes no page anew; told only where something of it is to be made.
 * @param draw who draws the picture; default this process
 * @throws PlatehandError `write-failed`
 */
export async function updatePalettes(job: Job, report: PagesReport, draw?: DrawSheet): Promise<void> {
  const { colourScript, paletteTable, paletteStyle } = issueProducts;
  const { folder, issue, title, number, scenes } = job;
  // The story is told from what results measured: those, and what job.yaml says of their pages, stand for it.
  const pages = report.pages.map(({ page, key, measures }) => [page, measures === undefined ? '' : key]);
  const listed = job.pages.map(({ id, kind, scene, numbers, spec }) => [id, kind, scene, numbers, spec.inks]);
  const told = contentKey({ pages, listed, scenes });
  await upToDate(folder, colourScript, { issue, title, number, told }, () =>
    (draw ?? colourScript.make)(scriptRequest(job, report)),
  );
  for (const product of [paletteTable, paletteStyle])
    await upToDate(folder, product, told, () => product.make(scenePalettes(job, report)));
}

function scriptRequest(job: Job, report: PagesReport): ColourScriptRequest {
  const { issue, title, number, scenes } = job;
  return { kind: 'colour-script', issue, title, number, scenes, story: scenePalettes(job, report) };
}

/** Everything that the sheet shows: thumbnails by their bytes, wherever they stand. */
function sheetKey({ pages, ...heading }: SheetRequest): unknown {
  return { ...heading, pages: pages.map((page) => ({ ...page, thumbnail: page.thumbnail?.sha256 })) };
}

/** What is remembered of an issue's product: what it was made from, and its bytes. */
interface KnownFile {
  readonly key: string;
  readonly sha256: string;
}

/** What of a product tells where it stands and what it is. */
type ProductName = Pick<IssueProduct<never>, 'name' | 'path' | 'revision'>;

/** A product of the issue as it stands in its place, or made anew where it would be another, or where somebody has changed it. */
export async function upToDate(
  jobFolder: string,
  product: ProductName,
  madeFrom: unknown,
  make: () => Promise<Uint8Array>,
): Promise<Uint8Array> {
  const current = await standing(jobFolder, product, madeFrom);
  if (current !== undefined) return current;
  const bytes = await make();
  const known: KnownFile = { key: keyOf(product, madeFrom), sha256: sha256Of(bytes) };
  for (const [to, content] of [
    [join(jobFolder, product.path), bytes],
    [knownPathOf(jobFolder, product), Buffer.from(`${JSON.stringify(known)}\n`)],
  ] as const) {
    await makeFolder(dirname(to));
    await writeWhole(to, content);
  }
  return bytes;
}

/** A product of the issue as it stands in its place; undefined where it would be another now, or is not as it was made. */
export async function standing(
  jobFolder: string,
  product: ProductName,
  madeFrom: unknown,
): Promise<Uint8Array | undefined> {
  const path = join(jobFolder, product.path);
  return currentFile(path, knownPathOf(jobFolder, product), keyOf(product, madeFrom));
}

function keyOf({ revision }: ProductName, madeFrom: unknown): string {
  return contentKey({ engine: packageVersion(), revision, madeFrom });
}

function knownPathOf(jobFolder: string, { name }: ProductName): string {
  return join(jobFolder, '.platehand', `${name}.json`);
}

/** The file that stands in its place, if it was made from what the key says and nobody has changed it. */
async function currentFile(path: string, knownPath: string, key: string): Promise<Uint8Array | undefined> {
  try {
    const known = JSON.parse((await readRegular(knownPath)).toString('utf8')) as KnownFile;
    if (known.key !== key) return undefined;
    const bytes = await readRegular(path);
    return known.sha256 === sha256Of(bytes) ? bytes : undefined;
  } catch {
    return undefined;
  }
}
