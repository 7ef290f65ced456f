import type { PrintSpec } from '../config/print-spec.js';
import type { LengthUnit, PixelBox } from '../config/units.js';
import { noticeFlats } from './checks/flats.js';
import type { FoundBoxes } from './flats/found-boxes.js';
import { inkOver } from './flats/ink-beneath.js';
import { type FlatsMeasures, measureFlats } from './flats/measure-flats.js';
import type { KernelMemory } from './kernels/kernel-memory.js';
import type { PageArena } from './kernels/page-arena.js';
import { bitmapOf } from './line/bitmap.js';
import { inkAmount, thresholdOf } from './line/ink-amount.js';
import type { Noticed } from './model/findings.js';
import { placesOf } from './model/places.js';
import type { Bitmap, Raster, StatedPpi } from './model/raster.js';
import type { FlatPicture } from './model/working-page.js';
import { type FitPlan, planBeside, planFit, printPpi } from './sizes/plan-fit.js';

/** A part as its file brought it: at any resolution, with or without a margin around the bleed. */
export interface ArrivedPart<Pixels> {
  readonly pixels: Pixels;
  /** Resolution that its file states; undefined where it states none. */
  readonly ppi: StatedPpi | undefined;
}

/** What was found on flats. */
export interface InspectedFlats {
  /** At most a finding a kind; sound flats have none. */
  readonly noticed: readonly Noticed[];
  readonly measures: FlatsMeasures;
  /** Trim plus bleed in the pixels of the flats, and their pixels per inch; undefined for flats of another shape than the page. */
  readonly placed: { readonly crop: PixelBox; readonly ppi: number } | undefined;
  /** The line in the pixels of the flats; undefined without one that fits. */
  readonly ink: Bitmap | undefined;
}

/**
 * Looks at flats, by themselves and, where there is one, beneath the line of their page.
 * @param flats of any model and depth
 * @param line ink and paper, as the file of the inks brought it or as it prints; undefined where none has come yet: then nothing is said
 *   of what lies beneath it
 * @param on the print spec of the page, and the unit in which lengths are told
 */
export function inspectFlats(
  flats: ArrivedPart<Raster>,
  line: ArrivedPart<Bitmap> | undefined,
  on: { readonly spec: PrintSpec; readonly units: LengthUnit },
  memory: KernelMemory,
): InspectedFlats {
  const { spec, units } = on;
  const sized = sizedOf(flats);
  const { plan, noticed } = planFit(sized, spec, units);
  const ppi = plan?.effectivePpi ?? printPpi(sized, spec);
  const ink = line && plan && inkOf(flats.pixels, plan, line, on);
  const { checks: limits } = spec;
  const look = {
    islandPx: limits.flatsIslandPx,
    gapMm: limits.flatsGapMm,
    shortMm: limits.flatsShortMm,
    nearLevels: limits.flatsNearLevels,
  };
  const measures = measureFlats(flats.pixels, { ink, ppi, ...look }, memory);
  const placed = plan && { crop: plan.crop, ppi };
  const found = noticeFlats(measures, {
    limits,
    ppi,
    units,
    placesOf: (boxes) => pagePlaces(boxes, placed, spec),
  });
  // Another shape would stop a page that prints.
  const ofShape = plan === undefined ? noticed.map((one): Noticed => ({ ...one, severity: 'warn' })) : [];
  return { noticed: [...ofShape, ...found], measures, placed, ink };
}

/** The ink of a line file, wherever it holds at least the coverage that counts as ink. */
export function lineOf({ raster }: FlatPicture, spec: Pick<PrintSpec, 'line'>, arena: PageArena): Bitmap {
  const { data, width, height } = inkAmount(raster, arena);
  return bitmapOf(data, { width, height }, thresholdOf(spec.line), arena);
}

function sizedOf({ pixels: { width, height }, ppi }: ArrivedPart<Raster | Bitmap>) {
  return { width, height, ppi };
}

/** The line over the flats; undefined where it is of another shape than the page. */
function inkOf(
  flats: Raster,
  plan: FitPlan,
  line: ArrivedPart<Bitmap>,
  { spec, units }: { readonly spec: PrintSpec; readonly units: LengthUnit },
): Bitmap | undefined {
  const { plan: own } = planFit(sizedOf(line), spec, units);
  if (own === undefined) return undefined;
  const { crop } = planBeside(line.pixels, own, { picture: flats, plan });
  return inkOver({ line: line.pixels, inLine: crop, inFlats: plan.crop }, flats);
}

/** Boxes as places: they count from the picture's corner, places from that of the trim within its bleed. */
function pagePlaces({ boxes, inAll }: FoundBoxes, placed: InspectedFlats['placed'], spec: PrintSpec) {
  if (placed === undefined) return undefined;
  const { crop, ppi } = placed;
  const shifted = boxes.map((box) => ({ ...box, left: box.left - crop.left, top: box.top - crop.top }));
  return placesOf(shifted, { size: crop, spec, ppi }, inAll);
}
