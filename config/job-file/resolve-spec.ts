import { extname, resolve } from 'node:path';
import { limitsWith } from '../check-limits/index.js';
import {
  type FidelityLimits,
  type InkSaving,
  isBlackOnly,
  type LineSettings,
  type PageInkNames,
  type PressChoice,
  type PrintSpec,
  type SupportSettings,
} from '../print-spec.js';
import { type LengthUnit, toMm } from '../units.js';
import { printDefaults } from './print-defaults.js';
import type { PrintSection, PrintSettings } from './print-schema.js';

/** Settings of one level, the more particular ones later: print, then the page's kind, then the page itself. */
export type SettingsLevel = PrintSettings | undefined;

/** Lays levels of settings over one another; within `line`, `support`, `fidelity`, `checks` and `inkSaving`, key by key. */
export function mergeSettings(levels: readonly SettingsLevel[]): PrintSettings {
  let merged: PrintSettings = {};
  for (const level of levels) {
    if (level === undefined) continue;
    merged = {
      ...merged,
      ...level,
      line: { ...merged.line, ...level.line },
      support: { ...merged.support, ...level.support },
      fidelity: { ...merged.fidelity, ...level.fidelity },
      checks: { ...merged.checks, ...level.checks },
      inkSaving: { ...merged.inkSaving, ...level.inkSaving },
    };
  }
  return merged;
}

/** Settings that say what has no default. */
export type CompleteSettings = PrintSettings & Pick<PrintSection, 'trim' | 'bleed' | 'safe' | 'press'>;

/**
 * The print spec of a page: millimetres, defaults filled in, the profile's path made absolute.
 *
 * @param settings merged settings, lengths in the job's unit
 * @param page `isSpread` doubles the width of the trim
 */
export function resolveSpec(
  settings: CompleteSettings,
  page: { unit: LengthUnit; folder: string; isSpread: boolean },
): PrintSpec {
  const mm = (length: number) => toMm(length, page.unit);
  const [width, height] = settings.trim;
  const intent = settings.intent ?? printDefaults.intent;
  const inks: PageInkNames = settings.inks?.length === 1 ? ['black'] : printDefaults.inks;
  const colourPpi = settings.colourPpi ?? printDefaults.colourPpi;
  return {
    trim: { widthMm: mm(width) * (page.isSpread ? 2 : 1), heightMm: mm(height) },
    bleedMm: mm(settings.bleed),
    safeMm: mm(settings.safe),
    colourPpi,
    linePpi: settings.linePpi ?? printDefaults.linePpi,
    // A job with coarse colour need not say that its proofs are no finer.
    proofPpi: settings.proofPpi ?? Math.min(printDefaults.proofPpi, colourPpi),
    press: pressChoice(settings.press, page.folder),
    inks,
    inkLimitPercent: settings.inkLimit,
    intent,
    blackPointCompensation: settings.blackPointCompensation ?? intent === 'relative',
    proofPaperWhite: settings.proofPaperWhite ?? printDefaults.proofPaperWhite,
    proofBoxes: settings.proofBoxes ?? printDefaults.proofBoxes,
    untaggedAs: settings.untagged ?? printDefaults.untagged,
    untaggedStated: settings.untagged !== undefined,
    allowEnlarging: settings.allowEnlarging ?? printDefaults.allowEnlarging,
    line: lineSettings(settings.line),
    support: supportSettings(settings.support, inks, mm),
    fidelity: fidelityLimits(settings.fidelity),
    checks: limitsWith(settings.checks ?? {}),
    inkSaving: inkSaving(settings.inkSaving),
    plateShiftMm: settings.plateShiftMm,
    spreads: settings.spreads ?? printDefaults.spreads,
    // A binder cuts or mills at the spine too, so a single page has bleed on all four sides: common practice, no published source.
    foldBleedMm: mm(settings.foldBleed ?? settings.bleed),
    pdf: settings.pdf ?? printDefaults.pdf,
    marks: settings.marks ?? printDefaults.marks,
    blackPlate: settings.blackPlate ?? printDefaults.blackPlate,
    inkLimitConfirmed: settings.inkLimitConfirmed ?? printDefaults.inkLimitConfirmed,
  };
}

function lineSettings(line: PrintSettings['line']): LineSettings {
  return {
    thresholdPercent: line?.threshold ?? printDefaults.line.threshold,
    blackMaxLevelPercent: line?.blackLevel ?? printDefaults.line.blackLevel,
    blackMaxChromaPercent: line?.blackChroma ?? printDefaults.line.blackChroma,
    liftMaxLevelPercent: line?.liftLevel ?? printDefaults.line.liftLevel,
    liftFromFlat: line?.lift ?? printDefaults.line.lift,
  };
}

function fidelityLimits(fidelity: PrintSettings['fidelity']): FidelityLimits {
  return {
    warnDe: fidelity?.warn ?? printDefaults.fidelity.warn,
    stopDe: fidelity?.stop ?? printDefaults.fidelity.stop,
    edgeDe: fidelity?.edge ?? printDefaults.fidelity.edge,
  };
}

function inkSaving(saving: PrintSettings['inkSaving']): InkSaving {
  return {
    enabled: saving?.enabled ?? printDefaults.inkSaving.enabled,
    mostDe: saving?.most ?? printDefaults.inkSaving.most,
    // A job that lets less pass for every colour need not say so of skin again.
    skinDe:
      saving?.skin ?? Math.min(printDefaults.inkSaving.skin, saving?.most ?? printDefaults.inkSaving.most),
    skinBlackPercent: saving?.skinBlack ?? printDefaults.inkSaving.skinBlack,
  };
}

function supportSettings(
  support: PrintSettings['support'],
  inks: PageInkNames,
  mm: (length: number) => number,
): SupportSettings {
  const [cyan, magenta, yellow] = support?.ink ?? printDefaults.support.ink;
  return {
    // Black alone has no ink to be supported with.
    enabled: !isBlackOnly({ inks }) && (support?.enabled ?? printDefaults.support.enabled),
    inkPercent: { cyan, magenta, yellow },
    chokeMm: support?.choke === undefined ? printDefaults.support.chokeMm : mm(support.choke),
    minWidthMm: support?.minWidth === undefined ? printDefaults.support.minWidthMm : mm(support.minWidth),
  };
}

/** Whether a press condition is given as a path: it has a slash in it or the extension of a profile. */
export function isProfilePath(press: string): boolean {
  return /[/\\]/.test(press) || ['.icc', '.icm'].includes(extname(press).toLowerCase());
}

/** A shipped condition's name in lower case, or a profile's absolute path, from the job folder on. */
export function pressChoice(press: string, folder: string): PressChoice {
  return isProfilePath(press)
    ? { kind: 'file', path: resolve(folder, press) }
    : { kind: 'shipped', name: press.toLowerCase() };
}
