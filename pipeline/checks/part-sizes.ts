import type { PrintSpec } from '../../config/print-spec.js';
import type { LengthUnit } from '../../config/units.js';
import type { PageParts } from '../layers/assemble.js';
import type { Noticed } from '../model/findings.js';
import { type FitPlan, planFit } from '../sizes/plan-fit.js';
import { noticeColourPpi, noticeLinePpi } from './resolution.js';

/** The parts of a page, their files' names and where trim plus bleed lies in them. */
export interface SizedParts {
  readonly parts: PageParts | undefined;
  readonly colourFile: string | undefined;
  readonly lineFile: string | undefined;
  readonly letteringFile: string | undefined;
  readonly colourPlan: FitPlan | undefined;
  readonly linePlan: FitPlan | undefined;
}

/** Holds each part against the size and the resolution that the print spec asks for. */
export function noticePartSizes(read: SizedParts, spec: PrintSpec, units: LengthUnit): Noticed[] {
  const { colour, line, lettering } = read.parts ?? {};
  const noticed: Noticed[] = [];
  const add = (file: string | undefined, found: readonly Noticed[]) => {
    for (const one of found) noticed.push(file === undefined ? one : { ...one, file });
  };
  for (const [picture, file] of [
    [colour, read.colourFile],
    [line, read.lineFile],
    [lettering, read.letteringFile],
  ] as const) {
    if (picture !== undefined) add(file, planFit(picture, spec, units).noticed);
  }
  if (read.colourPlan !== undefined) add(read.colourFile, noticeColourPpi(read.colourPlan, spec));
  if (read.linePlan !== undefined) add(read.lineFile, noticeLinePpi(read.linePlan, spec, false));
  const lifting = line === undefined && colour?.kind === 'flat' && spec.line.liftFromFlat;
  if (lifting && read.colourPlan !== undefined)
    add(read.colourFile, noticeLinePpi(read.colourPlan, spec, true));
  return noticed;
}
