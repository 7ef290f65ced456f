import { noticeBlank } from './checks/blank.js';
import { noticeBleed } from './checks/bleed.js';
import { noticeBorders } from './checks/borders.js';
import { noticeColour, type PressFacts } from './checks/colour.js';
import { noticeEdges } from './checks/edges.js';
import { noticeTogether } from './checks/fall-together.js';
import { noticeLetters } from './checks/lettering.js';
import { noticeHeld, noticeLifted, noticeMostlyInk, noticeUnnamedLine } from './checks/line-checks.js';
import { noticeShift } from './checks/plate-shift.js';
import { noticeDiffering, noticeSaved } from './checks/print-differs.js';
import { noticeLinePpi } from './checks/resolution.js';
import { noticeScreens } from './checks/screens.js';
import { noticeSpecks } from './checks/specks.js';
import { noticeThinLine } from './checks/thin-line.js';
import type { FlatPage } from './flatten.js';
import type { Separator } from './inks/separator.js';
import type { KernelMemory } from './kernels/kernel-memory.js';
import type { PageArena } from './kernels/page-arena.js';
import { mostOfFour, sumOf } from './kernels/samples.js';
import type { ArtFacts } from './layers/page-art.js';
import { inkSharePercent } from './line/ink-amount.js';
import { lineStrokes } from './line/strokes.js';
import { measureLine } from './line-faults/measure-line.js';
import type { Noticed } from './model/findings.js';
import type { PageRequest } from './model/page-request.js';
import type { PageMeasures, PlateShift } from './model/page-result.js';
import { type ProcessInkName, processPlanes, type Separation } from './model/separation.js';
import type { RegisteredPage } from './register.js';
import type { PageInks } from './separate.js';
import { noticeFold } from './spreads/notice-fold.js';

/** What a finished page shows when it is looked at. */
export interface InspectedPage {
  /** What all stages noticed, in their order. */
  readonly noticed: readonly Noticed[];
  readonly measures: PageMeasures;
}

type FlatFacts = Omit<FlatPage, 'art'>;

/** What a page's inks were made from, and they. */
export interface MadeInks {
  readonly art: ArtFacts;
  readonly registered: Pick<RegisteredPage, 'register' | 'noticed' | 'lettering'>;
  readonly inks: PageInks;
  readonly plateShift: PlateShift | undefined;
  /** Where the figure of that shift comes from. */
  readonly shiftSource: string;
  /** What the page was separated by. */
  readonly separator: PressFacts & Pick<Separator, 'softProof'>;
}

/**
 * Measures a page and runs the checks that need its finished inks (checks/); what a single stage can see, that stage notices
 * itself.
 */
export function inspectPage(
  flat: FlatFacts,
  { art, registered, inks, plateShift, shiftSource, separator }: MadeInks,
  request: Pick<PageRequest, 'page' | 'units'>,
  arena: PageArena,
): InspectedPage {
  const { spec, numbers } = request.page;
  const isSpread = numbers.length > 1;
  const measures = {
    ...measure(flat, art, inks, spec.linePpi, arena),
    register: registered.register,
    plateShift,
  };
  const noticed = [
    ...flat.noticed,
    ...registered.noticed,
    ...inks.noticed,
    ...check(flat, art, inks, request, arena),
    ...noticeDiffering(inks.fidelity, spec.fidelity),
    ...noticeSaved(inks.inkSaved, spec.inkSaving),
    ...noticeShift(plateShift, shiftSource),
    ...noticeColour(inks, spec, separator),
    ...noticeTogether(inks.composite, spec, request.units, separator, arena),
    ...noticeEdges(inks.composite, spec, isSpread, request.units),
    ...noticeLetters(
      { ...inks, lettering: registered.lettering, isSpread },
      spec,
      request.units,
      separator,
      arena,
    ),
    ...noticeHeld(inks.heldPercent, flat.isLayered),
    ...noticeBlank({
      coveragePercent: measures.coveragePercent,
      hasLineFile: flat.hasLineFile,
      hasColourFile: art.colourApart,
      mostColourPercent: inks.inkBeforePercent,
      heldPercent: inks.heldPercent,
      composite: inks.composite,
    }),
  ];
  return { noticed, measures };
}

function check(
  { isLayered, colourPlan, linePlan, hasLineFile, isHalved }: FlatFacts,
  art: ArtFacts,
  inks: PageInks,
  { page: { spec }, units }: Pick<PageRequest, 'page' | 'units'>,
  memory: KernelMemory,
): Noticed[] {
  const noticed = noticeBleed(inks.composite, spec, spec.colourPpi, units);
  if (isHalved) noticed.push(...noticeFold(inks.composite, spec, units));
  if (inks.line === undefined) return noticed;
  const inkPercent = inkSharePercent(inks.line, memory);
  if (hasLineFile) noticed.push(...noticeMostlyInk(inkPercent));
  const faults = measureLine(inks.line, spec, art.lifted, memory);
  const looked = { size: inks.line, spec };
  noticed.push(...noticeThinLine(faults, looked));
  noticed.push(...noticeScreens(faults, looked, linePlan ?? colourPlan));
  noticed.push(...noticeSpecks(faults, looked));
  noticed.push(...noticeBorders(faults, looked));
  if (!art.lifted) return noticed;
  const noticeInk = isLayered ? noticeUnnamedLine : noticeLifted;
  noticed.push(...noticeInk(inks.line, spec.linePpi, inkPercent));
  if (colourPlan !== undefined) noticed.push(...noticeLinePpi(colourPlan, spec, true));
  return noticed;
}

function measure(
  flat: FlatFacts,
  art: ArtFacts,
  inks: PageInks,
  linePpi: number,
  memory: KernelMemory,
): Omit<PageMeasures, 'register' | 'plateShift'> {
  const coverage = inks.separation.inks.map(({ name, plane }) => [name, coveragePercent(plane, memory)]);
  return {
    colourPpi: flat.colourPlan?.effectivePpi,
    linePpi: !art.hasLine ? undefined : (flat.linePlan ?? flat.colourPlan)?.effectivePpi,
    inkBeforePercent: inks.inkBeforePercent,
    inkAfterPercent: mostInkPercent(inks.composite, memory),
    coveragePercent: {
      ...(Object.fromEntries(coverage) as Record<ProcessInkName, number>),
      line: inks.line === undefined ? 0 : inkSharePercent(inks.line, memory),
    },
    strokes: inks.line && lineStrokes(inks.line, linePpi),
    lineHeldPercent: inks.heldPercent,
    lifted: art.lifted,
    fidelity: inks.fidelity,
    inkSaved: inks.inkSaved,
    palette: inks.palette,
  };
}

/** Mean ink coverage of a plate, in percent. */
export function coveragePercent(plate: Uint8Array, memory: KernelMemory): number {
  return plate.length === 0 ? 0 : (sumOf(plate, memory) / plate.length / 255) * 100;
}

/** The most C+M+Y+K on any pixel, in percent: 100 x (C+M+Y+K) / 255. */
export function mostInkPercent(separation: Separation, memory: KernelMemory): number {
  return (mostOfFour(processPlanes(separation), memory) / 255) * 100;
}
