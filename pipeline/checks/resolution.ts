import { figureBeside } from '../../config/figures.js';
import type { PrintSpec } from '../../config/print-spec.js';
import type { LengthUnit } from '../../config/units.js';
import type { PageParts } from '../layers/assemble.js';
import type { Noticed } from '../model/findings.js';
import { type FitPlan, planFit, ppiTolerance } from '../sizes/plan-fit.js';

/**
 * What the resolution of the colour means for print. Enlarging is a stop, unless the job allows it: then a warning.
 */
export function noticeColourPpi(plan: FitPlan, spec: PrintSpec): Noticed[] {
  if (plan.effectivePpi >= spec.colourPpi * (1 - ppiTolerance)) return [];
  return [
    {
      code: 'colour-ppi-low',
      severity: spec.allowEnlarging ? 'warn' : 'stop',
      message: 'The colour has fewer pixels than the print spec asks for and would have to be enlarged',
      measured: `${figureBeside(plan.effectivePpi, spec.colourPpi, 0)} ppi`,
      limit: `${spec.colourPpi} ppi`,
      source: 'print spec: colourPpi',
      remedy: 'Export the page at full size, or set allowEnlarging for it in job.yaml if the printer agrees.',
    },
  ];
}

/** What the resolution of the line art means: below the line plate's it is a warning, below the colour's a stop. */
export function noticeLinePpi(plan: FitPlan, spec: PrintSpec, lifted: boolean): Noticed[] {
  if (plan.effectivePpi >= spec.linePpi * (1 - ppiTolerance)) return [];
  const tooLow = plan.effectivePpi < spec.colourPpi * (1 - ppiTolerance) && !spec.allowEnlarging;
  return [
    {
      code: 'line-ppi-low',
      severity: tooLow && !lifted ? 'stop' : 'warn',
      message: lifted
        ? 'The line was lifted from a picture with fewer pixels than the line plate; its edges are less crisp than inks'
        : 'The line art has fewer pixels than the line plate; its edges are less crisp than they could be',
      measured: `${figureBeside(plan.effectivePpi, spec.linePpi, 0)} ppi`,
      limit: `${spec.linePpi} ppi`,
      source: 'print spec: linePpi',
      remedy: 'Drop the inks at the resolution of the line plate, as they were scanned.',
    },
  ];
}

/** The parts of a page, their files' names and where trim plus bleed lies in them. */
export interface SizedParts {
  /** undefined when a file could not be read. */
  readonly parts: PageParts | undefined;
  /** Names of the files, for findings. */
  readonly colourFile: string | undefined;
  readonly lineFile: string | undefined;
  readonly letteringFile: string | undefined;
  /** undefined without such a file, or where its shape does not fit. */
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
  return noticed;
}
