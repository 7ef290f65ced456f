import { readdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { isDeepStrictEqual } from 'node:util';
import { PlatehandError } from '../../config/errors.js';
import type { IssuePage, Job } from '../../config/job.js';
import type { PressChoice } from '../../config/print-spec.js';
import type { Condition } from '../model/page-result.js';
import { issueProducts, swatchSheetOf } from '../outputs/issue-products.js';
import type { SwatchPicture, SwatchRequest } from '../outputs/swatch-picture.js';
import type { Sighting } from '../palette/swatch-sightings.js';
import { swatchTable } from '../palette/swatch-table.js';
import type { PageReport } from './report.js';
import { standing, upToDate } from './sheet-update.js';
import { swatchesOn } from './story.js';

/** What is made of the swatches of an issue: a sheet for each press condition, and a table of where they appear. */

/** A sheet as it is to be. */
interface PlannedSheet {
  /** Id of the press condition. */
  readonly press: string;
  readonly profileSha256: string;
  readonly request: SwatchRequest;
}

/**
 * Brings the swatch sheets and the table in palettes/ up to date: what shows the same already is left alone, sheets of press conditions that
 * no page prints on any more are taken away, and all of them where the job has no swatches.
 * @param draws whether sheets are drawn; otherwise those that show something else now are taken away, until a run draws them
 * @returns paths of the sheets that stand, in the job folder
 * @throws PlatehandError `write-failed`, and what opening a press throws
 */
export async function updateSwatches(
  job: Job,
  pages: readonly PageReport[],
  draws: boolean,
): Promise<readonly string[]> {
  const sheets = plannedSheets(job, pages);
  await removeOthers(job.folder, sheets);
  if (job.swatches.length === 0) return [];
  const table = swatchTable(job.swatches, swatchesOnPages(job, pages));
  await upToDate(job.folder, issueProducts.swatchTable, table, async () => Buffer.from(table));
  const paths: string[] = [];
  for (const { press, profileSha256, request } of sheets) {
    const product = swatchSheetOf(press);
    const { press: _, ...shown } = request;
    const madeFrom = { ...shown, profileSha256 };
    if (draws) await upToDate(job.folder, product, madeFrom, () => product.make(request));
    const stands = draws || (await standing(job.folder, product, madeFrom)) !== undefined;
    if (stands) paths.push(product.path);
    else await removeSheet(job.folder, product);
  }
  return paths;
}

/**
 * Where the swatches of a job appear on its pages, and how far they have drifted.
 * @param pages of a run's report or a status; those without a result are passed over
 * @returns by page, in reading order, then in the order of the swatches
 */
export function swatchesOnPages(
  job: Pick<Job, 'swatches'>,
  pages: readonly Pick<PageReport, 'page' | 'scene' | 'measures'>[],
): readonly Sighting[] {
  const coloured = pages.map(({ page: id, scene, measures }) => ({
    page: { id, scene },
    palette: measures?.palette,
  }));
  return swatchesOn(coloured, job.swatches);
}

/**
 * The swatches of a job as they print on a press condition that its pages ask for: figures and the sheet, without writing anything.
 * @param press of the print spec of the page whose settings hold (a shipped name or a profile); default that of the first page
 * @throws PlatehandError `wrong-use` where no page asks for it or the job has no swatches; `profile-invalid`, `profile-timeout`
 */
export async function swatchesInPrint(
  job: Job,
  press: PressChoice = job.pages[0].spec.press,
): Promise<SwatchPicture> {
  const page = job.pages.find(({ spec }) => isDeepStrictEqual(spec.press, press));
  if (page === undefined || job.swatches.length === 0) {
    const what =
      page === undefined
        ? 'No page of this issue prints on that press condition'
        : 'This issue has no swatches';
    throw new PlatehandError(
      'wrong-use',
      what,
      'Name it in job.yaml, under print or kinds, or under swatches.',
    );
  }
  // Loaded only when there is something to draw.
  const { swatchPicture } = await import('../outputs/swatch-picture.js');
  return swatchPicture(requestOf(job, page));
}

/** A sheet for each press condition that pages were separated for; of pages that print in all inks where there are such. */
function plannedSheets(job: Job, pages: readonly PageReport[]): PlannedSheet[] {
  if (job.swatches.length === 0) return [];
  const listed = new Map(job.pages.map((page) => [page.id, page]));
  const sheets = new Map<string, { page: IssuePage; condition: Condition }>();
  for (const { page: id, condition } of pages) {
    const page = listed.get(id);
    if (page === undefined || condition === undefined) continue;
    const known = sheets.get(condition.id);
    if (known === undefined || known.condition.inks.length < condition.inks.length) {
      sheets.set(condition.id, { page, condition });
    }
  }
  return [...sheets].map(([press, { page, condition }]) => {
    return { press, profileSha256: condition.profileSha256, request: requestOf(job, page) };
  });
}

function requestOf({ issue, title, swatches }: Job, { spec }: IssuePage): SwatchRequest {
  const { press, intent, blackPointCompensation, inkLimitPercent, inks, inkSaving } = spec;
  const settings = { intent, blackPointCompensation, inkLimitPercent, inks, inkSaving };
  const { outOfGamutDe } = spec.checks;
  return { issue, title, press, settings, paperWhite: spec.proofPaperWhite, outOfGamutDe, swatches };
}

/** Takes away sheets of press conditions that are not among these, and the table where there are no swatches. */
async function removeOthers(jobFolder: string, sheets: readonly PlannedSheet[]): Promise<void> {
  const own = join(jobFolder, '.platehand');
  const names = await readdir(own).catch((): string[] => []);
  const kept = new Set(sheets.map(({ press }) => swatchSheetOf(press).name));
  for (const name of names) {
    const press = /^swatches_(.+)\.json$/.exec(name)?.[1];
    if (press === undefined || kept.has(swatchSheetOf(press).name)) continue;
    await removeSheet(jobFolder, swatchSheetOf(press));
  }
  if (sheets.length === 0 && names.includes(`${issueProducts.swatchTable.name}.json`)) {
    await removeSheet(jobFolder, issueProducts.swatchTable);
  }
}

async function removeSheet(
  jobFolder: string,
  { path, name }: { readonly path: string; readonly name: string },
): Promise<void> {
  await rm(join(jobFolder, path), { force: true });
  await rm(join(jobFolder, '.platehand', `${name}.json`), { force: true });
}
