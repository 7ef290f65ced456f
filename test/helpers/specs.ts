import { defaultLimits } from '../../config/check-limits/index.js';
import type { PrintSpec } from '../../config/print-spec.js';

/** A print spec as a comic's interior has it; tests change what they are about. */
export function specWith(change: Partial<PrintSpec> = {}): PrintSpec {
  return {
    trim: { widthMm: 168.275, heightMm: 260.35 },
    bleedMm: 3.175,
    safeMm: 6.35,
    colourPpi: 300,
    linePpi: 600,
    proofPpi: 120,
    press: { kind: 'shipped', name: 'cgats-tr006' },
    inks: ['cyan', 'magenta', 'yellow', 'black'],
    inkLimitPercent: undefined,
    intent: 'relative',
    blackPointCompensation: true,
    proofPaperWhite: false,
    proofBoxes: true,
    untaggedAs: 'srgb',
    untaggedStated: false,
    allowEnlarging: false,
    line: lineSettings,
    support: {
      enabled: true,
      inkPercent: { cyan: 60, magenta: 40, yellow: 40 },
      chokeMm: 0.25,
      minWidthMm: 2,
    },
    fidelity: { warnDe: 3, stopDe: 10, edgeDe: 8 },
    checks: defaultLimits,
    inkSaving: { enabled: false, mostDe: 1, skinDe: 0.5, skinBlackPercent: 0 },
    plateShiftMm: undefined,
    spreads: 'whole',
    foldBleedMm: change.bleedMm ?? 3.175,
    pdf: 'x-4',
    marks: false,
    blackPlate: 'withoutLine',
    inkLimitConfirmed: false,
    ...change,
  };
}

export const lineSettings: PrintSpec['line'] = {
  thresholdPercent: 50,
  blackMaxLevelPercent: 24,
  blackMaxChromaPercent: 10,
  liftMaxLevelPercent: 15,
  liftFromFlat: true,
};
