import type { Job } from '../../config/job.js';
import {
  type IssueReport,
  isDeliverable,
  type LeftOutPage,
  notDeliverable,
  type PageReport,
} from './report.js';

/** What keeps pages from being delivered: that they are not ready, and where the job asks for it that the editor has not accepted them. */

/** Names of notes that a message lists; the others are counted. Own choice. */
const mostNamed = 5;

/** The pages that keep an issue from being delivered, in reading order, with why. */
export function heldUp(
  { delivery }: Pick<Job, 'delivery'>,
  report: Pick<IssueReport, 'pages'>,
): readonly LeftOutPage[] {
  if (delivery.needs === 'nothing') return notDeliverable(report);
  return report.pages.flatMap((page) => {
    if (!isDeliverable(page.state)) return notDeliverable({ pages: [page] });
    const why = whyNotAccepted(page);
    return why === undefined ? [] : [{ page: page.page, state: page.state, why }];
  });
}

/** Whether a page may go out. */
export function mayGoOut(job: Pick<Job, 'delivery'>, page: PageReport): boolean {
  return heldUp(job, { pages: [page] }).length === 0;
}

/** Its verdict, and its notes that nobody has closed; undefined for a page that is accepted and has none. */
function whyNotAccepted({ acceptance, notes }: PageReport): string | undefined {
  const verdict = acceptance.state === 'accepted' ? [] : [`not accepted (${acceptance.why})`];
  const left = notes.filter(({ state }) => state !== 'closed').map(({ name, state }) => `${name} (${state})`);
  const more = left.length > mostNamed ? ` and ${left.length - mostNamed} more` : '';
  const open = left.length === 0 ? [] : [`notes to close: ${left.slice(0, mostNamed).join(', ')}${more}`];
  const why = [...verdict, ...open].join('; ');
  return why === '' ? undefined : why;
}
