import { bleedBoxPx, type PrintSpec } from '../config/print-spec.js';
import { pxToMm } from '../config/units.js';
import { noticeLettering, noticeRegister } from './checks/register.js';
import type { FittedPage } from './fit.js';
import type { FlatPage } from './flatten.js';
import type { ArtFacts } from './layers/page-art.js';
import type { Noticed } from './model/findings.js';
import { registerLimitMm } from './model/movement.js';
import type { PageRequest } from './model/page-request.js';
import type { PageTrace, PageTraces, RegisterMeasures } from './model/page-result.js';
import type { FlatPicture } from './model/working-page.js';
import type { ReadPage } from './read.js';
import type { PagePart } from './register/dark-planes.js';
import { measureLettering } from './register/measure-lettering.js';
import { measureRegister, type Register } from './register/measure-register.js';
import { isShiftOnly, moveBack, movePartBack } from './register/move-line.js';
import {
  reduction,
  seenColour,
  seenLine,
  traceOfColour,
  traceOfLettering,
  traceOfLine,
} from './register/page-traces.js';
import { type Movement, movementMeasures, still } from './register/similarity.js';
import { planFit } from './sizes/plan-fit.js';

/** A page whose line was held against its colour. */
export interface RegisteredPage extends FittedPage {
  /** undefined for a page that has not both, the line in a file of its own. */
  readonly register: RegisterMeasures | undefined;
  readonly traces: PageTraces;
  readonly noticed: readonly Noticed[];
  /** The line lies off and is to be moved, but was laid among others: by `moveLinePart`, before they are laid again. */
  readonly layAgain: LineMove | undefined;
}

/** Where the line of a page lies beside its place, and what was measured. */
export interface LineMove {
  readonly movement: Movement;
  /** Pixels of the movement an inch. */
  readonly ppi: number;
  readonly measures: RegisterMeasures;
}

/**
 * Moves a line file back before it is laid on the other parts.
 * @param read its line part is replaced, where it is flat
 */
export function moveLinePart(read: ReadPage, { movement, ppi }: LineMove, spec: PrintSpec): void {
  const { parts } = read;
  const part = partOn(parts?.line, spec);
  if (parts === undefined || parts.line?.kind !== 'flat' || part === undefined) return;
  const ratio = part.crop.width / sizeNear(spec, spec.colourPpi / ppi).width;
  parts.line = { ...parts.line, raster: movePartBack(part, movement, ratio) };
}

/** What lettering of a file of its own showed before it was laid on its page. */
export interface RegisteredLettering {
  readonly trace: PageTrace | undefined;
  readonly noticed: readonly Noticed[];
}

const noLettering: RegisteredLettering = { trace: undefined, noticed: [] };

/**
 * Measures how lettering lies on its page, before they are laid on each other: on line where that came in a file of its own, else
 * on colour. Layers are not looked into.
 */
export function registerLettering(
  { parts, letteringFile }: ReadPage,
  { page: { spec } }: Pick<PageRequest, 'page'>,
): RegisteredLettering {
  const lettering = partOn(parts?.lettering, spec);
  if (lettering === undefined) return noLettering;
  const times = reduction(spec.colourPpi);
  const ppi = spec.colourPpi / times;
  const page = sizeNear(spec, times);
  const look = measureLettering(lettering, partOn(parts?.line ?? parts?.colour, spec), page, ppi);
  const { fit } = look;
  const noticed =
    fit === undefined
      ? []
      : noticeLettering({
          by: fit.by,
          measures: { ...movementMeasures(fit.movement, fit.displacementPx, ppi), ...fit },
          file: letteringFile,
        });
  return { trace: traceOfLettering(look, page, ppi), noticed };
}

function partOn(picture: { readonly kind: string } | undefined, spec: PrintSpec): PagePart | undefined {
  if (picture?.kind !== 'flat') return undefined;
  const flat = picture as FlatPicture;
  const { plan } = planFit(flat, spec, 'mm');
  return plan === undefined || flat.isFitted ? undefined : { raster: flat.raster, crop: plan.crop };
}

function sizeNear(spec: PrintSpec, times: number): { width: number; height: number } {
  const { width, height } = bleedBoxPx(spec, spec.colourPpi);
  return { width: Math.floor(width / times), height: Math.floor(height / times) };
}

/**
 * Measures how line lies on colour where the line came in a file of its own, and lays it back where the page asks for that; where
 * more was put together with it, the page is to be laid again. What cannot be told stays as it is.
 * @param moved what was measured before the page was laid again, its line moved
 */
export function registerPage(
  fitted: FittedPage,
  { art, flat, lettering }: AssembledPage,
  { page }: Pick<PageRequest, 'page'>,
  moved?: LineMove,
): RegisteredPage {
  const { colour, line } = fitted;
  const isPair = flat.hasLineFile && !art.lifted;
  if (!isPair || colour === undefined || line === undefined) {
    return alone(fitted, { art, flat, lettering }, page.spec);
  }
  const found = measureRegister(colour, line, page.spec.colourPpi);
  const measures = moved?.measures ?? measuresOf(found);
  const movement = moved?.movement ?? found.sureMovement;
  const wasAsked = page.register.line === 'auto';
  const isOff = wasAsked && measures.farthestMm > leastMovedMm(page.spec);
  const putsRight = isOff && moved === undefined && art.colourApart;
  const register = { ...measures, putRight: putsRight || moved !== undefined };
  const traces = {
    colour: traceOfColour(found.seen.colour),
    line: traceOfLine(found.seen.line),
    lettering: lettering.trace,
  };
  const told = noticeRegister({
    measures: register,
    wasAsked,
    keepsToPanels: found.keepsToPanels,
    wasResampled: !isShiftOnly(movement),
  });
  return {
    ...fitted,
    line: putsRight ? moveBack(line, movement, page.spec.linePpi / found.ppi) : line,
    register,
    traces,
    noticed: [...lettering.noticed, ...told],
    layAgain: isOff && !art.colourApart ? { movement, ppi: found.ppi, measures } : undefined,
  };
}

/** What a page was put together to, and from which files. */
interface AssembledPage {
  readonly art: Pick<ArtFacts, 'lifted' | 'colourApart'>;
  readonly flat: Pick<FlatPage, 'hasLineFile'>;
  readonly lettering: RegisteredLettering;
}

/** A page whose line came with its colour, or that has only one of both. */
function alone(fitted: FittedPage, { flat, lettering }: AssembledPage, spec: PrintSpec): RegisteredPage {
  const whole = flat.hasLineFile ? fitted.colour : (fitted.painted ?? fitted.colour);
  const line = whole === undefined && flat.hasLineFile ? fitted.line : undefined;
  const times = reduction(spec.colourPpi);
  const traces = {
    colour: whole === undefined ? undefined : traceOfColour(seenColour(whole, spec.colourPpi)),
    line: line && traceOfLine(seenLine(line, sizeNear(spec, times), spec.colourPpi / times)),
    lettering: lettering.trace,
  };
  return {
    ...fitted,
    register: undefined,
    traces,
    noticed: lettering.noticed,
    layAgain: undefined,
  };
}

/** What is less than a pixel of the line, measured to a quarter, stays; and never more is left than the limit allows. */
function leastMovedMm({ linePpi }: Pick<PrintSpec, 'linePpi'>): number {
  return Math.min(registerLimitMm, pxToMm(0.75, linePpi));
}

function measuresOf(found: Register): RegisterMeasures {
  const { movement, displacementPx, windows, agreeing, likeness, verdict, ppi } = found;
  return {
    verdict,
    ...movementMeasures(movement ?? still, displacementPx, ppi),
    places: windows,
    agreeing,
    likeness,
    putRight: false,
  };
}
