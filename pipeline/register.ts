import type { PrintSpec } from '../config/print-spec.js';
import { pxToMm } from '../config/units.js';
import { noticeRegister, registerLimitMm } from './checks/register.js';
import type { FittedPage } from './fit.js';
import type { FlatPage } from './flatten.js';
import type { PageArena } from './kernels/page-arena.js';
import type { PageArt } from './layers/page-art.js';
import { linePlate } from './line-art.js';
import type { Noticed } from './model/findings.js';
import type { PageRequest } from './model/page-request.js';
import type { PageTraces, RegisterMeasures } from './model/page-result.js';
import { measureRegister, type Register } from './register/measure-register.js';
import { isShiftOnly, moveBack } from './register/move-line.js';
import { traceOf } from './register/traces.js';

/** A page whose line was held against its colour. */
export interface RegisteredPage extends FittedPage {
  /** undefined for a page that has not both, the line in a file of its own. */
  readonly register: RegisterMeasures | undefined;
  readonly traces: PageTraces | undefined;
  readonly noticed: readonly Noticed[];
}

/**
 * Measures how line lies on colour where the line came in a file of its own, and lays it back where the page asks for that and
 * nothing else was put together with it. What cannot be told stays as it is.
 */
export function registerPage(
  fitted: FittedPage,
  { art, flat }: { readonly art: PageArt; readonly flat: Pick<FlatPage, 'hasLineFile'> },
  { page }: Pick<PageRequest, 'page'>,
  arena: PageArena,
): RegisteredPage {
  const { colour } = fitted;
  const isPair = flat.hasLineFile && !art.lifted && colour !== undefined && fitted.line !== undefined;
  if (!isPair) return { ...fitted, register: undefined, traces: undefined, noticed: [] };
  const line = linePlate(fitted.line, page.spec.line, arena);
  const found = measureRegister(colour, line, page.spec.colourPpi);
  const measures = measuresOf(found);
  const wasAsked = page.register.line === 'auto';
  const putRight = wasAsked && art.colourApart && measures.farthestMm > leastMovedMm(page.spec);
  const register = { ...measures, putRight };
  return {
    ...fitted,
    line: putRight ? moveBack(line, found.sureMovement, page.spec.linePpi / found.ppi) : line,
    register,
    traces: { colour: traceOf(found.reliefs.colour), line: traceOf(found.reliefs.line) },
    noticed: noticeRegister({ measures: register, wasAsked, wasResampled: !isShiftOnly(found.sureMovement) }),
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
    rightMm: pxToMm(movement?.dx ?? 0, ppi),
    downMm: pxToMm(movement?.dy ?? 0, ppi),
    turnedDegrees: ((movement?.turn ?? 0) * 180) / Math.PI,
    largerPercent: (movement?.zoom ?? 0) * 100,
    farthestMm: pxToMm(displacementPx, ppi),
    places: windows,
    agreeing,
    likeness,
    putRight: false,
  };
}
