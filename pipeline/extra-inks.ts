import type { Press } from '../config/press.js';
import type { PrintSpec } from '../config/print-spec.js';
import { amountsAt, clearedBy, clearPlanes, lineBeside, planesOf } from './extra-inks/knock-out.js';
import { noticeExtraInk, noticeTotal, totalOf } from './extra-inks/total.js';
import { inkLimitOf } from './inks/separator.js';
import { coveragePercent, type InspectedPage, mostInkPercent } from './inspect.js';
import type { PageArena } from './kernels/page-arena.js';
import { inkSharePercent } from './line/ink-amount.js';
import type { ExtraInkMeasures, PageMeasures } from './model/page-result.js';
import type { ExtraPlate } from './model/separation.js';
import type { PageInks } from './separate.js';

export { showExtraInks } from './extra-inks/shown.js';

/** A page's inks with what was noticed and measured. */
interface Inked extends InspectedPage {
  readonly inks: PageInks;
}

/**
 * Lays extra inks over a finished page: beneath those that knock out its plates are cleared, in place, and all are held against the
 * ink limit. Nothing is lowered for the limit: what the picture loses beneath an ink is for those to say who drew both.
 */
export function layExtraInks(
  { inks, noticed, measures }: Inked,
  extras: readonly ExtraPlate[],
  { spec, press }: { readonly spec: PrintSpec; readonly press: Press },
  arena: PageArena,
): Inked {
  if (extras.length === 0) return { inks, noticed, measures };
  const amounts = extras.map((extra) => amountsAt(extra, inks.composite, arena));
  let { line } = inks;
  for (const [index, extra] of extras.entries()) {
    if (extra.ink.overprints) continue;
    const cleared = clearedBy(extra, amounts[index], inks.composite);
    clearPlanes(planesOf([inks.separation, inks.composite]), cleared);
    line = line && lineBeside(line, extra, cleared, arena);
  }
  const laid: PageInks = { ...inks, line, extras };
  const { inkLimitPercent: limit, inkLimitSource: source } = inkLimitOf(press, spec);
  const counted = extras.flatMap(({ ink }, index) => (ink.inTotal ? [{ ink, amounts: amounts[index] }] : []));
  const total = totalOf(
    laid.composite,
    counted.map((one) => one.amounts),
    limit,
  );
  const measured = extras.map((extra) => measuresOf(extra, arena));
  const found = [
    ...measured.flatMap(noticeExtraInk),
    ...noticeTotal(
      total,
      limit,
      source,
      counted.map(({ ink }) => ink),
    ),
  ];
  return {
    inks: laid,
    noticed: [...noticed, ...found],
    measures: { ...measuredAgain(measures, laid, arena), extraInks: { inks: measured, ...total } },
  };
}

function measuresOf(
  { ink: { id, name, overprints }, plate }: ExtraPlate,
  arena: PageArena,
): ExtraInkMeasures {
  return { id, name, overprints, coveragePercent: inkSharePercent(plate, arena) };
}

/** The figures of the plates as they are now. */
function measuredAgain(measures: PageMeasures, { separation, composite, line }: PageInks, arena: PageArena) {
  const coverage = separation.inks.map(({ name, plane }) => [name, coveragePercent(plane, arena)]);
  return {
    ...measures,
    inkAfterPercent: mostInkPercent(composite, arena),
    coveragePercent: {
      ...measures.coveragePercent,
      ...Object.fromEntries(coverage),
      line: line === undefined ? 0 : inkSharePercent(line, arena),
    },
  };
}
