import type { ExtraInk } from '../../config/extra-ink.js';
import { figureBeside } from '../../config/figures.js';
import { bleedBoxPx, type PrintSpec } from '../../config/print-spec.js';
import type { LengthUnit, SizePx } from '../../config/units.js';
import type { PageArena } from '../kernels/page-arena.js';
import { bitmapOf } from '../line/bitmap.js';
import { inkAmount, isNeutral, thresholdOf } from '../line/ink-amount.js';
import type { Noticed } from '../model/findings.js';
import { channelsOf, maxOf, type Plate, type Raster } from '../model/raster.js';
import type { ExtraPlate } from '../model/separation.js';
import type { FlatPicture, WorkingPicture } from '../model/working-page.js';
import { type FitPlan, planBeside, planFit, ppiTolerance } from '../sizes/plan-fit.js';
import { fitPlate } from '../sizes/resample.js';

/** A picture of the same page, beside which the plate is cut. */
export interface BesidePicture {
  readonly picture: SizePx;
  readonly plan: FitPlan;
}

/** The plate, and what making it brought to light. */
export interface ReadPlate {
  /** undefined where it cannot be made; why is among what was noticed, and stops the page. */
  readonly plate: ExtraPlate['plate'] | undefined;
  readonly noticed: readonly Noticed[];
}

/**
 * The plate of an extra ink from the picture of its file, at the size of the page's own plates. A picture with transparency has
 * ink where it is opaque, whatever its colour; any other where it is dark, black is full ink.
 * @param beside the page's colour: a plate from its canvas is cut where the colour is; undefined for a page without colour
 * @returns the plate, in memory of its own
 */
export async function plateOf(
  picture: WorkingPicture,
  ink: ExtraInk,
  beside: BesidePicture | undefined,
  { spec, units }: { readonly spec: PrintSpec; readonly units: LengthUnit },
  arena: PageArena,
): Promise<ReadPlate> {
  if (picture.kind === 'layered') return { plate: undefined, noticed: [layered(ink)] };
  const { plan: own, noticed } = planFit(picture, spec, units);
  if (own === undefined) return { plate: undefined, noticed };
  const plan = beside === undefined ? own : planBeside(picture, own, beside);
  const ppi = ink.bits === 1 ? spec.linePpi : spec.colourPpi;
  const size = bleedBoxPx(spec, ppi);
  const { amount, isOpacity } = amountOf(picture, arena);
  const fitted = await fitPlate(amount, plan, size);
  const plate =
    ink.bits === 1
      ? bitmapOf(fitted.data, size, thresholdOf(spec.line), arena)
      : { ...size, data: fitted.data.slice() };
  const isColoured = !isOpacity && !isNeutral(picture.raster, spec.line);
  return {
    plate,
    noticed: [
      ...noticed,
      ...(isColoured ? [coloured(ink)] : []),
      ...(own.effectivePpi < ppi * (1 - ppiTolerance) ? [tooFewPixels(own, ppi, ink)] : []),
    ],
  };
}

/** How much ink each pixel has, 0 to 255, and whether its opacity tells that. */
function amountOf({ raster }: FlatPicture, arena: PageArena): { amount: Plate; isOpacity: boolean } {
  const amount = raster.alpha ? opacityOf(raster) : undefined;
  const isOpacity = amount?.data.some((value) => value < 255) ?? false;
  if (amount !== undefined && isOpacity) return { amount, isOpacity };
  return { amount: inkAmount(raster, arena), isOpacity };
}

function opacityOf(raster: Raster): Plate {
  const { width, height, data } = raster;
  const channels = channelsOf(raster);
  const opacity = new Uint8Array(width * height);
  const most = maxOf(raster);
  for (let i = 0, j = channels - 1; i < opacity.length; i++, j += channels) {
    opacity[i] = Math.round((data[j] * 255) / most);
  }
  return { width, height, data: opacity };
}

function layered({ id, name }: ExtraInk): Noticed {
  return {
    code: 'extra-ink-layers',
    severity: 'stop',
    message: `The plate of ${name} came in layers`,
    remedy: `Export it as one picture: black, or opaque, where ${id} is to print.`,
  };
}

function coloured({ name }: ExtraInk): Noticed {
  return {
    code: 'extra-ink-coloured',
    severity: 'warn',
    message: `The plate of ${name} came in colour; how dark it is was taken for the amount of ink`,
    remedy: 'Export it in grey, black for full ink, and look at the proof.',
  };
}

function tooFewPixels({ effectivePpi }: FitPlan, ppi: number, { name, bits }: ExtraInk): Noticed {
  return {
    code: 'extra-ink-ppi-low',
    severity: 'warn',
    message: `The plate of ${name} has fewer pixels than it prints in; its edges are less crisp than they could be`,
    measured: `${figureBeside(effectivePpi, ppi, 0)} ppi`,
    limit: `${ppi} ppi`,
    source: `print spec: ${bits === 1 ? 'linePpi' : 'colourPpi'}`,
    remedy: `Drop it at ${ppi} ppi.`,
  };
}
