import { openPress, type Press } from '../../config/press.js';
import { type FitPlan, planFit } from '../fit.js';
import type { PageArt } from '../flatten.js';
import {
  coveragePercent,
  mostInkPercent,
  noticeBleed,
  noticeHeld,
  noticeLifted,
  noticeLinePpi,
  noticeMostlyInk,
  noticeUnnamedLine,
} from '../inspect.js';
import { desk } from '../kernels/page-arena.js';
import { inkSharePercent } from '../line-art.js';
import { accept, type Finding, type Noticed, onPage } from '../model/findings.js';
import type { PageRequest, UnreadRequest } from '../model/page-request.js';
import type { PageMeasures, PageResult } from '../model/page-result.js';
import { giveBackPictures } from '../runner/reclaim.js';
import type { Separator } from '../separate.js';
import { type TakenPage, takeApart } from './page-art.js';
import { type PreparedInks, prepareInks } from './page-inks.js';
import { makeOutputs } from './page-outputs.js';
import { type ReadParts, readParts } from './page-parts.js';
import { separatorFor } from './separator-cache.js';
import { readRequest } from './unhashed.js';

/**
 * Prepares one page: read, flatten, fit, line art, separate, inspect, write, proof, in this order.
 * The same files, spec and profile give the same outputs and findings, byte for byte. A process works on one page at a time.
 *
 * What is wrong with a page is a finding on it, never an exception: only faults of the program and of the disk are
 * thrown (PlatehandError `write-failed`, `profile-invalid`, `profile-timeout`, and `picture-unreadable` where a file of
 * an unread request is closed to us).
 */
export async function preparePage(asked: PageRequest | UnreadRequest): Promise<PageResult> {
  return finishPage(await startPage(asked), asked);
}

/** A page that has been read, taken apart and separated: everything that is asked for can be made from it. */
export interface StartedPage {
  readonly request: PageRequest;
  readonly press: Press;
  readonly separator: Separator;
  readonly inked: InkedPage | UnmadePage;
}

/** Reads a page and turns it into inks. */
export async function startPage(asked: PageRequest | UnreadRequest): Promise<StartedPage> {
  const { page } = asked;
  const press = await openPress(page.spec.press);
  const separator = separatorFor(press, page.spec);
  const { request, inked } = await readAndInk(asked, press, separator);
  if (inked.inks !== undefined) await giveBackPictures(inked.pictureBytes);
  return { request, press, separator, inked };
}

/** A function of its own, so that nobody holds the pictures any more when their memory is given back. */
async function readAndInk(asked: PageRequest | UnreadRequest, press: Press, separator: Separator) {
  // What the files hold is not needed once they are decoded: what is made of them takes its place on the shelf.
  const { request, read } = await desk().during(async () => {
    const { request, contents } = await readRequest(asked, press);
    return { request, read: await readParts(request, contents) };
  });
  return { request, inked: await inkPage(request, read, separator) };
}

/** Makes what is asked for from a started page. */
export async function finishPage(
  { request: started, press, separator, inked }: StartedPage,
  { products, outFolder }: Pick<PageRequest, 'products' | 'outFolder'>,
): Promise<PageResult> {
  const request = { ...started, products, outFolder };
  if (inked.inks === undefined) return unmadeResult(request, press, inked.noticed);
  const { inks, noticed, measures } = inked;
  const findings = findingsOf(request, noticed);
  const outputs = await makeOutputs({ request, press, separator, inks, findings });
  return { ...resultOf(request, press, noticed), measures, outputs };
}

/** A page as inks, and all there is to say of it; the pictures that it was made from are held no longer. */
interface InkedPage {
  readonly inks: PreparedInks;
  readonly noticed: readonly Noticed[];
  readonly measures: PageMeasures;
  /** What those pictures took. */
  readonly pictureBytes: number;
}

/** A page that cannot be made, and why. */
interface UnmadePage {
  readonly inks: undefined;
  readonly noticed: readonly Noticed[];
}

async function inkPage(
  request: PageRequest,
  read: ReadParts,
  separator: Separator,
): Promise<InkedPage | UnmadePage> {
  const taken = await takeApart(request, read);
  if (taken.art === undefined) return { inks: undefined, noticed: taken.noticed };
  const { art, isLayered } = taken;
  const inks = await prepareInks(art, plansOf(art, request), request.page.spec, separator);
  const noticed = [
    ...taken.noticed,
    ...inks.noticed,
    ...inspectPage(taken, art, inks, request),
    ...noticeHeld(inks.heldPercent, isLayered),
  ];
  return { inks, noticed, measures: measure(art, inks, taken), pictureBytes: bytesOf(art) };
}

function bytesOf({ colour, line }: PageArt): number {
  const bytes = (one: PageArt['line'] | PageArt['colour']) => {
    if (one === undefined) return 0;
    return 'bits' in one.pixels ? one.pixels.bits.length : one.pixels.data.byteLength;
  };
  return bytes(colour) + bytes(line);
}

/** Where trim plus bleed lies in the assembled planes. Their shapes were checked file by file before. */
function plansOf(
  art: PageArt,
  request: PageRequest,
): { colour: FitPlan | undefined; line: FitPlan | undefined } {
  const planOf = (plane: PageArt['colour'] | PageArt['line']) => {
    if (plane === undefined || plane.isFitted) return undefined;
    const { width, height } = plane.pixels;
    const { plan } = planFit({ width, height, ppi: plane.ppi }, request.page.spec, request.units);
    if (plan === undefined) throw new Error(`page ${request.page.id}: assembled at a size that does not fit`);
    return plan;
  };
  return { colour: planOf(art.colour), line: planOf(art.line) };
}

function inspectPage(
  { isLayered, colourPlan, hasLineFile }: TakenPage,
  art: PageArt,
  inks: PreparedInks,
  request: PageRequest,
): Noticed[] {
  const { spec } = request.page;
  const noticed = noticeBleed(inks.composite, spec, spec.colourPpi, request.units);
  if (inks.line === undefined) return noticed;
  const inkPercent = inkSharePercent(inks.line);
  if (hasLineFile) noticed.push(...noticeMostlyInk(inkPercent));
  if (!art.lifted) return noticed;
  if (!isLayered) return [...noticed, ...noticeLifted(inks.line, spec.linePpi, inkPercent)];
  noticed.push(...noticeUnnamedLine(inks.line, spec.linePpi, inkPercent));
  if (colourPlan !== undefined) noticed.push(...noticeLinePpi(colourPlan, spec, true));
  return noticed;
}

function measure(art: PageArt, inks: PreparedInks, read: TakenPage): PageMeasures {
  const { cyan, magenta, yellow, black } = inks.separation;
  return {
    colourPpi: read.colourPlan?.effectivePpi,
    linePpi: art.line === undefined ? undefined : (read.linePlan ?? read.colourPlan)?.effectivePpi,
    inkBeforePercent: inks.inkBeforePercent,
    inkAfterPercent: mostInkPercent(inks.composite),
    coveragePercent: {
      cyan: coveragePercent(cyan),
      magenta: coveragePercent(magenta),
      yellow: coveragePercent(yellow),
      black: coveragePercent(black),
      line: inks.line === undefined ? 0 : inkSharePercent(inks.line),
    },
    lineHeldPercent: inks.heldPercent,
    lifted: art.lifted,
  };
}

function findingsOf(request: PageRequest, noticed: readonly Noticed[]): Finding[] {
  return accept(onThisPage(request, noticed), request.page.accepted);
}

function onThisPage(request: PageRequest, noticed: readonly Noticed[]): Finding[] {
  return noticed.map((one) => onPage(request.page.id, one));
}

/**
 * A page that cannot be made at all. Nobody can accept that: there would be nothing to print, and an issue without the
 * page would count as complete.
 */
function unmadeResult(request: PageRequest, press: Press, noticed: readonly Noticed[]): PageResult {
  return { ...resultOf(request, press, []), findings: onThisPage(request, noticed) };
}

/** A result so far without measures and outputs. */
function resultOf(request: PageRequest, press: Press, noticed: readonly Noticed[]): PageResult {
  const used = request.files.map(({ name, part, version, bytes, sha256 }) => {
    return { name, part, version, bytes, sha256 };
  });
  const own = request.page.spec.inkLimitPercent;
  const condition = {
    id: press.id,
    title: press.title,
    dataSet: press.shipped?.dataSet,
    profileSha256: press.sha256,
    inkLimitPercent: own ?? press.inkLimitPercent,
    inkLimitSource: own === undefined ? press.inkLimitSource : 'job.yaml: inkLimit',
  };
  const findings = findingsOf(request, noticed);
  return {
    page: request.page.id,
    key: request.key,
    condition,
    used,
    findings,
    measures: undefined,
    outputs: [],
  };
}
