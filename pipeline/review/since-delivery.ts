import { join } from 'node:path';
import { PlatehandError } from '../../config/errors.js';
import type { Job } from '../../config/job.js';
import { processInkNames } from '../../config/print-spec.js';
import { type DeliveredPictures, readDelivered, readDeliveredPictures } from '../bag/delivered-pictures.js';
import { type PastDelivery, readShelf, sourcesOf } from '../bag/delivery-shelf.js';
import type { DeliveredPage } from '../bag/page-content.js';
import { stateNow } from '../issue/page-states.js';
import type { PageReport } from '../issue/report.js';
import type { StatesOfPage } from '../issue/since-round.js';
import { nothingThere, type PageState } from '../rounds/page-state.js';

/** Pages as who received the deliveries up to one of them has them. */

/**
 * A delivery by its number, and all that were made before it: of a supplement, the other pages are those of earlier ones.
 * @throws PlatehandError `wrong-use` where there is none
 */
export async function deliveryNamed(job: Job, number: number) {
  const { deliveries } = await readShelf(job);
  const at = deliveries.findIndex((one) => one.number === number);
  if (at < 0) {
    const there = deliveries.flatMap((one) => (one.number === null ? [] : [one.number]));
    const remedy = there.length === 0 ? 'Nothing was delivered yet.' : `Choose one of ${there.join(', ')}.`;
    throw new PlatehandError('wrong-use', `There is no delivery ${number}`, remedy);
  }
  return { name: deliveries[at].name, deliveries: deliveries.slice(0, at + 1) };
}

/** The states of the pages as delivered and now, in reading order, then pages that the list no longer has. */
export async function statesSinceDelivery(
  job: Job,
  deliveries: readonly PastDelivery[],
  reports: readonly PageReport[],
): Promise<StatesOfPage[]> {
  const sources = sourcesOf(deliveries);
  const opened = new Map<string, Map<string, DeliveredPictures>>();
  const before = new Map<string, PageState>();
  for (const [id, { page, from }] of sources) {
    const { file } = from;
    if (file !== undefined && !opened.has(file))
      opened.set(file, await readDeliveredPictures(join(job.folder, file)));
    before.set(id, stateOf(job, page, from, file === undefined ? undefined : opened.get(file)?.get(id)));
  }
  const listed = job.pages.flatMap((page): StatesOfPage[] => {
    const report = reports.find((one) => one.page === page.id);
    if (report === undefined) return [];
    return [{ page, id: page.id, before: before.get(page.id), now: stateNow(job, page, report) }];
  });
  const left = [...before].filter(([id]) => !job.pages.some((page) => page.id === id));
  return [...listed, ...left.map(([id, state]) => ({ page: undefined, id, before: state, now: undefined }))];
}

/** @param pictures undefined where the bundle is no longer there, or says nothing of the page */
function stateOf(
  job: Job,
  { workingPages: used }: DeliveredPage,
  { file, name }: PastDelivery,
  pictures: DeliveredPictures | undefined,
): PageState {
  if (file === undefined)
    return { ...nothingThere, used, lacks: `delivery ${name} is no longer in delivery/` };
  const composed: ReadonlySet<string> = new Set([...processInkNames, 'page', 'proof']);
  const files = (pictures?.files ?? []).filter(({ role }) => !composed.has(role));
  return {
    ...{ used, profileSha256: pictures?.profileSha256, lacks: `delivery ${name} holds no composite` },
    files: files.map(({ path, role, half, sha256, ppi }) => {
      const read = () => readDelivered(join(job.folder, file), path);
      return { role, half, sha256, ppi, name: `${file}: ${path}`, read };
    }),
  };
}
