import type { FilePart } from '../../config/job.js';
import type { Press } from '../../config/press.js';
import { inkLimitOf } from '../inks/separator.js';
import { bringsColour } from '../layers/page-art.js';
import { accept, type Finding, type Noticed, onPage } from '../model/findings.js';
import type { PageRequest } from '../model/page-request.js';
import type { PageResult } from '../model/page-result.js';

/** What was noticed, as findings on the page; what the job accepts is a note. */
export function findingsOf(request: PageRequest, noticed: readonly Noticed[]): Finding[] {
  const { awaits, page } = request;
  const told = awaits === undefined ? noticed : toldEarly(noticed, awaits);
  return accept(onThisPage(request, told), page.accepted);
}

/** What is told of a page before all its parts are there. */
function toldEarly(noticed: readonly Noticed[], awaits: readonly FilePart[]): Noticed[] {
  const told = noticed.filter(({ code }) => !ofWholePages.has(code));
  if (!awaits.some(bringsColour)) return told;
  // Colour may yet run through the bleed where line ends.
  return told.map((one) => (one.code === 'bleed-empty' ? { ...one, severity: 'note' } : one));
}

/** What is said of a page as a whole, and says nothing while parts of it are still to come: line covers where plates meet, say. */
const ofWholePages = new Set(['line-coloured', 'page-painted', 'plates-open', 'plates-fringe']);

function onThisPage(request: PageRequest, noticed: readonly Noticed[]): Finding[] {
  return noticed.map((one) => onPage(request.page.id, one));
}

/**
 * A page that cannot be made at all. Nobody can accept that: there would be nothing to print, and an issue without the
 * page would count as complete.
 */
export function stoppedResult(request: PageRequest, press: Press, noticed: readonly Noticed[]): PageResult {
  return resultOf(request, press, onThisPage(request, noticed));
}

/** What is added to a result by whoever makes it. */
const unmade = { measures: undefined, traces: undefined, outputs: [] };

/**
 * What a result says before anything is made: what the page was made from, for which press condition, and what was found.
 * Measures and outputs are added by whoever makes them.
 */
export function resultOf(request: PageRequest, press: Press, findings: readonly Finding[]): PageResult {
  const used = request.files.map(({ name, part, half, version, bytes, sha256 }) => {
    return { name, part, ...(half === undefined ? {} : { half }), version, bytes, sha256 };
  });
  const { spec } = request.page;
  const condition = {
    id: press.id,
    title: press.title,
    dataSet: press.shipped?.dataSet,
    profileSha256: press.sha256,
    inks: spec.inks,
    ...inkLimitOf(press, spec),
  };
  const { key, productKeys, page, awaits } = request;
  const early = awaits === undefined ? {} : { awaits };
  return { page: page.id, key, productKeys, condition, used, findings, ...early, ...unmade };
}
