import { openPress, type Press } from '../../config/press.js';
import { cleanLine, type LetteringCells, letteringCells } from '../clean-line.js';
import { layExtraInks } from '../extra-inks.js';
import { fitPage } from '../fit.js';
import { type FlatPage, flattenPage } from '../flatten.js';
import type { Separator } from '../inks/separator.js';
import { separatorFor } from '../inks/separator.js';
import { inspectPage } from '../inspect.js';
import type { PageArena } from '../kernels/page-arena.js';
import { type ArtFacts, factsOf } from '../layers/page-art.js';
import { lineArt } from '../line-art.js';
import type { Noticed } from '../model/findings.js';
import type { PageRequest, UnhashedRequest } from '../model/page-request.js';
import type { PageMeasures, PageResult, PageTraces } from '../model/page-result.js';
import type { ExtraPlate } from '../model/separation.js';
import { makeOutputs } from '../outputs/make-outputs.js';
import { type ReadPage, readPage } from '../read.js';
import {
  type LineMove,
  moveLinePart,
  type RegisteredPage,
  registerLettering,
  registerPage,
} from '../register.js';
import { type PageInks, separatePage } from '../separate.js';
import { shiftPlates } from '../shift-plates.js';
import { withFlats } from './early-flats.js';
import { withKeys } from './page-key.js';
import { findingsOf, resultOf, stoppedResult } from './result-of.js';

/** A page as inks: everything that is asked for can be made from it. */
export interface InkedPage {
  readonly request: PageRequest;
  readonly press: Press;
  readonly separator: Separator;
  readonly noticed: readonly Noticed[];
  /** undefined for a page that cannot be made; why is among what was noticed. */
  readonly inks: PageInks | undefined;
  readonly measures: PageMeasures | undefined;
  readonly traces: PageTraces | undefined;
  /** The latest day that one of its files states. */
  readonly statedDay: string | undefined;
}

/**
 * Prepares one page: read, flatten, fit, register, clean line, line art, separate, inspect, lay extra inks over, write, proof, in this order.
 * The same files, spec and profile give the same outputs and findings, byte for byte.
 *
 * What is wrong with a page is a finding on it, never an exception: only faults of the program and of the disk are
 * thrown (PlatehandError `write-failed`, `profile-invalid`, `profile-timeout`, and `picture-unreadable` where a file of
 * an unhashed request is closed to us).
 * @param arena the page's memory; no other page is worked on in it meanwhile. Nothing of the result stands there.
 */
export async function preparePage(
  asked: PageRequest | UnhashedRequest,
  arena: PageArena,
): Promise<PageResult> {
  return finishPage(await inkPage(asked, arena), asked, arena);
}

/** The first half: from files to inks, which stand in the arena until it is reset. What the files held is used up. */
export async function inkPage(asked: PageRequest | UnhashedRequest, arena: PageArena): Promise<InkedPage> {
  const { spec } = asked.page;
  const press = await openPress(spec.press);
  const separator = separatorFor(press, spec);
  const { request, ...laid } = await layPage(asked, press, arena);
  const { flat, art, registered, statedDay } = laid;
  const page = { request, press, separator, statedDay };
  if (art === undefined || registered === undefined)
    return { ...page, ...nothingMade, noticed: flat.noticed };
  const clean = cleanLine(registered, { art, lettering: laid.lettering }, request, arena);
  const inked = lineArt(clean, art, spec, arena);
  const inks = { ...separatePage(inked, art, spec, separator, arena), cleaned: clean.cleaned };
  const plateShift = shiftPlates(inks.composite, spec, press, separator, arena);
  const shiftSource = spec.plateShiftMm === undefined ? press.plateShiftSource : 'job.yaml: plateShiftMm';
  const made = { art, registered: clean, inks, plateShift, shiftSource, separator };
  const inspected = inspectPage(flat, made, request, arena);
  const laidOver = layExtraInks({ inks, ...inspected }, laid.extras, { spec, press }, arena);
  return { ...page, ...laidOver, traces: registered.traces };
}

/** A page with its parts laid on each other, at its print size. */
interface LaidPage {
  readonly request: PageRequest;
  readonly flat: Omit<FlatPage, 'art'>;
  /** undefined for a page that cannot be made. */
  readonly art: ArtFacts | undefined;
  /** The latest day that one of its files states; undefined where none does. */
  readonly statedDay: string | undefined;
  /** undefined for a page that cannot be made. */
  readonly registered: RegisteredPage | undefined;
  /** Where lettering of a file of its own lies; undefined where nobody asks. */
  readonly lettering: LetteringCells | undefined;
  /** Plates of its extra inks. */
  readonly extras: readonly ExtraPlate[];
}

/**
 * Reads a page, lays its parts on each other, and holds line against colour. Line that is to be moved and was laid among others is
 * moved in its file, and the page laid again.
 * @param move what to move the line by
 */
async function layPage(
  asked: PageRequest | UnhashedRequest,
  press: Press,
  arena: PageArena,
  move?: LineMove,
): Promise<LaidPage> {
  // What the files hold is not needed once they are decoded: what is made of them takes its place in memory.
  const read = await arena.scope(() => readPage(asked, arena));
  const request = withKeys(asked, read.files, press);
  if (move !== undefined) moveLinePart(read, move, request.page.spec);
  const isMovable = read.parts?.line?.kind === 'flat';
  const lettering = registerLettering(read, request);
  const cells = letteringCells(read, request);
  const { flat, drawn } = await drawPage(read, request, arena);
  const { statedDay, extras } = read;
  const page = { request, flat, statedDay, lettering: cells, extras };
  if (drawn === undefined) return { ...page, art: undefined, registered: undefined };
  const { art, fitted } = drawn;
  if (art.bytes >= leftToTheEngineBytes) await arena.reclaim.pictures(art.bytes);
  const registered = registerPage(fitted, { art, flat, lettering }, request, move);
  if (registered.layAgain === undefined || move !== undefined || !isMovable) {
    return { ...page, art, registered };
  }
  // Nothing of the first attempt is needed.
  arena.reset();
  return layPage(request, press, arena, registered.layAgain);
}

/** Flattens a page and brings it to its print size. Its pictures are used up: nobody holds them any more. */
async function drawPage(read: ReadPage, request: PageRequest, arena: PageArena) {
  const { art, ...flat } = await flattenPage(read, request, arena);
  if (art === undefined) return { flat, drawn: undefined };
  return { flat, drawn: { art: factsOf(art, arena), fitted: await fitPage(art, request, arena) } };
}

/**
 * Pictures of fewer bytes are given back when the engine sees fit: told to do so at once, it also forgets much of what it has
 * optimised, a tenth of a page's processor time. A page at 600 ppi stays below, a spread does not.
 */
const leftToTheEngineBytes = 200 * 2 ** 20;

const nothingMade = { inks: undefined, measures: undefined, traces: undefined };

/** The second half, in the same arena: what is asked for, written and proofed. May be called again for other products of the same page. */
export async function finishPage(
  inked: InkedPage,
  wanted: Pick<PageRequest, 'products' | 'outFolder'>,
  arena: PageArena,
): Promise<PageResult> {
  const result = await finishInked(inked, wanted, arena);
  // Only while a page waits for its colour are flats among its files.
  if (!inked.request.files.some(({ part }) => part === 'flats')) return result;
  return withFlats(result, { ...inked.request, ...wanted }, arena);
}

async function finishInked(
  { request: inkedFor, press, separator, inks, noticed, measures, traces, statedDay }: InkedPage,
  { products, outFolder }: Pick<PageRequest, 'products' | 'outFolder'>,
  arena: PageArena,
): Promise<PageResult> {
  const request = { ...inkedFor, products, outFolder };
  if (inks === undefined) return stoppedResult(request, press, noticed);
  const findings = findingsOf(request, noticed);
  const outputs = await makeOutputs({
    ...{ request, press, separator, inks, plateShift: measures?.plateShift },
    ...{ findings, statedDay, arena },
  });
  return { ...resultOf(request, press, findings), measures, traces, outputs };
}
