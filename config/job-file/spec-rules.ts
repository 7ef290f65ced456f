import { formatLength } from '../figures.js';
import { shippedPressNames } from '../press/press-conditions.js';
import { type LengthUnit, mmPerInch, toMm } from '../units.js';
import { closest, type FoundProblem, type JobPath } from './job-problem.js';
import { printDefaults, printLimitsMm } from './print-defaults.js';
import type { PrintSettings } from './print-schema.js';
import { isProfilePath, mergeSettings } from './resolve-spec.js';

/** Settings of one level and where they stand. */
export interface PlacedSettings {
  /** Where they stand in job.yaml, for instance `print` or `kinds.cover`. */
  readonly at: JobPath;
  /** As they are written, lengths in the job's unit. */
  readonly settings: PrintSettings;
}

/** What a rule looks at. */
interface Checked {
  /** All levels laid over one another. */
  readonly settings: PrintSettings;
  /** The job's unit of lengths. */
  readonly unit: LengthUnit;
  /** Where the setting stands that decides: the last level that has one of these keys, the first such key in it. */
  readonly blame: (...keys: (keyof PrintSettings)[]) => JobPath;
}

/** What is wrong, and where; undefined where the rule is kept. */
type Rule = (checked: Checked) => FoundProblem | undefined;

/** Rules about lengths, for which the job's unit must be known. */
const lengthRules: readonly Rule[] = [
  trimIsAPageSize,
  bleedIsABleed,
  foldBleedIsABleed,
  safeLeavesRoom,
  chokeIsSmall,
  minWidthIsSmall,
  supportSurvivesItsChoke,
];

const otherRules: readonly Rule[] = [
  lineIsNoCoarserThanColour,
  proofIsNoFinerThanColour,
  compensationGoesWithRelative,
  fidelityWarnsBeforeItStops,
  skinMovesNoMoreThanTheRest,
  pressIsKnown,
];

/**
 * Checks what the settings of one page say together, the more particular levels last. Settings that are missing are
 * skipped, and so are lengths in an unknown unit: that has been reported already.
 */
export function specProblems(
  levels: readonly PlacedSettings[],
  unit: LengthUnit | undefined,
): FoundProblem[] {
  const settings = mergeSettings(levels.map((level) => level.settings));
  const blame = (...keys: (keyof PrintSettings)[]): JobPath => {
    for (const level of levels.toReversed()) {
      const key = keys.find((name) => level.settings[name] !== undefined);
      if (key !== undefined) return [...level.at, key];
    }
    return levels.at(0)?.at ?? [];
  };
  const rules = unit === undefined ? otherRules : [...lengthRules, ...otherRules];
  return rules.flatMap((rule) => rule({ settings, unit: unit ?? 'mm', blame }) ?? []);
}

function found(at: JobPath, message: string, expected: string, example: string): FoundProblem {
  return { at, on: 'value', message, expected, example };
}

function isPageSize(sides: readonly number[], unit: LengthUnit): boolean {
  const { trimMin, trimMax } = printLimitsMm;
  return sides.every((side) => toMm(side, unit) >= trimMin && toMm(side, unit) <= trimMax);
}

function trimIsAPageSize({ settings, unit, blame }: Checked): FoundProblem | undefined {
  if (settings.trim === undefined || isPageSize(settings.trim, unit)) return undefined;
  const { trimMin, trimMax } = printLimitsMm;
  const otherUnit = unit === 'in' ? 'mm' : 'in';
  const slip = isPageSize(settings.trim, otherUnit) ? ` (did you mean units: ${otherUnit}?)` : '';
  const size = settings.trim.join(' x ');
  const expected = `sides from ${formatLength(trimMin, unit)} to ${formatLength(trimMax, unit)}`;
  const example = unit === 'in' ? 'trim: [6.625, 10.25]' : 'trim: [168, 260]';
  return found(blame('trim'), `a trim of ${size} ${unit} is no page size${slip}`, expected, example);
}

function bleedIsABleed(checked: Checked): FoundProblem | undefined {
  return noTooWide(checked, 'bleed', 'a bleed');
}

function foldBleedIsABleed(checked: Checked): FoundProblem | undefined {
  return noTooWide(checked, 'foldBleed', 'a bleed at the fold');
}

function noTooWide(
  { settings, unit, blame }: Checked,
  key: 'bleed' | 'foldBleed',
  called: string,
): FoundProblem | undefined {
  const bleed = settings[key] ?? 0;
  if (toMm(bleed, unit) <= printLimitsMm.bleedMax) return undefined;
  const expected = `0 to ${formatLength(printLimitsMm.bleedMax, unit)}`;
  const example = unit === 'in' ? `${key}: 0.125` : `${key}: 3`;
  return found(blame(key), `${called} of ${bleed} ${unit} is too wide`, expected, example);
}

function safeLeavesRoom({ settings, unit, blame }: Checked): FoundProblem | undefined {
  if (settings.safe === undefined || settings.trim === undefined || !isPageSize(settings.trim, unit))
    return undefined;
  const half = Math.min(...settings.trim) / 2;
  if (settings.safe < half) return undefined;
  const message = `a safe margin of ${settings.safe} ${unit} leaves nothing of the page`;
  const example = unit === 'in' ? 'safe: 0.25' : 'safe: 6';
  return found(blame('safe', 'trim'), message, `less than half the trim, ${half} ${unit}`, example);
}

function lineIsNoCoarserThanColour({ settings, blame }: Checked): FoundProblem | undefined {
  const colour = settings.colourPpi ?? printDefaults.colourPpi;
  const line = settings.linePpi ?? printDefaults.linePpi;
  if (line >= colour) return undefined;
  const at = blame('linePpi', 'colourPpi');
  return found(
    at,
    `linePpi ${line} is below colourPpi ${colour}`,
    'a linePpi of at least colourPpi',
    `linePpi: ${Math.max(600, colour)}`,
  );
}

function proofIsNoFinerThanColour({ settings, blame }: Checked): FoundProblem | undefined {
  const colour = settings.colourPpi ?? printDefaults.colourPpi;
  if (settings.proofPpi === undefined || settings.proofPpi <= colour) return undefined;
  const message = `proofPpi ${settings.proofPpi} is above colourPpi ${colour}`;
  const example = `proofPpi: ${Math.min(printDefaults.proofPpi, colour)}`;
  return found(blame('proofPpi', 'colourPpi'), message, 'a proofPpi of at most colourPpi', example);
}

function fidelityWarnsBeforeItStops({ settings, blame }: Checked): FoundProblem | undefined {
  const warn = settings.fidelity?.warn ?? printDefaults.fidelity.warn;
  const stop = settings.fidelity?.stop ?? printDefaults.fidelity.stop;
  if (stop >= warn) return undefined;
  const key = settings.fidelity?.stop === undefined ? 'warn' : 'stop';
  const message = `fidelity stops at ${stop} before it warns at ${warn}`;
  return found(
    [...blame('fidelity'), key],
    message,
    'a stop of at least warn',
    `stop: ${Math.max(warn, 10)}`,
  );
}

function skinMovesNoMoreThanTheRest({ settings, blame }: Checked): FoundProblem | undefined {
  const most = settings.inkSaving?.most ?? printDefaults.inkSaving.most;
  const skin = settings.inkSaving?.skin;
  if (skin === undefined || skin <= most) return undefined;
  const message = `light skin may move by ${skin}, more than any colour may, ${most}`;
  return found([...blame('inkSaving'), 'skin'], message, 'a skin of at most most', `skin: ${most}`);
}

/** The colour engine compensates with the relative intent alone; asked for with another it would silently do nothing. */
function compensationGoesWithRelative({ settings, blame }: Checked): FoundProblem | undefined {
  const intent = settings.intent ?? printDefaults.intent;
  if (settings.blackPointCompensation !== true || intent === 'relative') return undefined;
  return found(
    blame('blackPointCompensation', 'intent'),
    `black point compensation does not work with the ${intent} intent`,
    'intent: relative, or no compensation',
    'blackPointCompensation: false',
  );
}

function pressIsKnown({ settings, blame }: Checked): FoundProblem | undefined {
  const press = settings.press;
  const names: readonly string[] = shippedPressNames;
  if (press === undefined || isProfilePath(press) || names.includes(press.toLowerCase())) return undefined;
  const close = closest(press, names);
  const meant = close === undefined ? '' : ` (did you mean ${close}?)`;
  return found(
    blame('press'),
    `no press condition called "${press}" ships with platehand${meant}`,
    `one of ${names.join(', ')}, or a path to an ICC profile with a slash or .icc in it`,
    `press: ${close ?? names[3]}`,
  );
}

function chokeIsSmall({ settings, unit, blame }: Checked): FoundProblem | undefined {
  const choke = settings.support?.choke ?? 0;
  if (toMm(choke, unit) <= printLimitsMm.chokeMax) return undefined;
  const expected = `0 to ${formatLength(printLimitsMm.chokeMax, unit)}`;
  return found(
    supportKey(blame, 'choke'),
    `a choke of ${choke} ${unit} is too wide`,
    expected,
    unit === 'in' ? 'choke: 0.01' : 'choke: 0.25',
  );
}

function minWidthIsSmall({ settings, unit, blame }: Checked): FoundProblem | undefined {
  const width = settings.support?.minWidth ?? 0;
  if (toMm(width, unit) <= printLimitsMm.minWidthMax) return undefined;
  const expected = `0 to ${formatLength(printLimitsMm.minWidthMax, unit)}`;
  const example = unit === 'in' ? 'minWidth: 0.08' : 'minWidth: 2';
  return found(
    supportKey(blame, 'minWidth'),
    `a minWidth of ${width} ${unit} is too wide`,
    expected,
    example,
  );
}

/** A black as narrow as twice the choke has no room left for support. */
function supportSurvivesItsChoke({ settings, unit, blame }: Checked): FoundProblem | undefined {
  const { choke, minWidth } = settings.support ?? {};
  if (choke === undefined && minWidth === undefined) return undefined;
  const defaults = printDefaults.support;
  const chokeMm = choke === undefined ? defaults.chokeMm : toMm(choke, unit);
  const minWidthMm = minWidth === undefined ? defaults.minWidthMm : toMm(minWidth, unit);
  if (minWidthMm > 2 * chokeMm) return undefined;
  const key = minWidth === undefined ? 'choke' : 'minWidth';
  const enough = Number(((2.5 * chokeMm) / (unit === 'in' ? mmPerInch : 1)).toPrecision(3));
  const message = `blacks of minWidth ${formatLength(minWidthMm, unit)} have no room for support choked by ${formatLength(chokeMm, unit)}`;
  return found(
    supportKey(blame, key),
    message,
    'a minWidth of more than twice the choke',
    `minWidth: ${enough}`,
  );
}

function supportKey(blame: Checked['blame'], key: string): JobPath {
  return [...blame('support'), key];
}
