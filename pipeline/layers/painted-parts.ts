import type { PageBox, PrintSpec } from '../../config/print-spec.js';
import type { PixelBox, SizePx } from '../../config/units.js';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import type { PageArena } from '../kernels/page-arena.js';
import { invertInto } from '../kernels/samples.js';
import { fillDepthPx } from '../line/fill-beneath.js';
import { inkAmount, inkSharePercent, isBlackLine, thresholdOf } from '../line/ink-amount.js';
import { withoutMasked } from '../line/masks.js';
import { findPaintedLine } from '../line/painted-line.js';
import type { Plate } from '../model/raster.js';
import type { FlatPicture, WorkingPicture } from '../model/working-page.js';
import { planFit, printPpi } from '../sizes/plan-fit.js';
import { cutRaster, fitPlate } from '../sizes/resample.js';
import { ontoPaper } from './paper.js';

/**
 * Takes the line out of a flat colour part that shows it painted in, before the two are laid on each other: black line over
 * a coloured hold would hide it. Parts that do not show trim plus bleed from edge to edge are left as they are.
 * @param parts colour and line are replaced where line is painted in, and the colour's pixels change in place
 * @returns share of the line that the colour prints instead, in percent of its area; undefined where none is painted in
 */
export async function unpaint(
  parts: { colour: WorkingPicture | undefined; line: WorkingPicture | undefined },
  spec: PageBox & Pick<PrintSpec, 'line' | 'support'>,
  arena: PageArena,
): Promise<number | undefined> {
  const { colour, line } = parts;
  if (colour?.kind !== 'flat' || line === undefined || !isBlackLine(line, spec.line)) return undefined;
  const amount = inkAmount(line.raster, arena);
  const coverage = await sameSize(amount, line, colour, spec);
  if (coverage === undefined || colour.raster.model === 'cmyk') return undefined;
  const raster = ontoPaper(colour.raster);
  const depthPx = fillDepthPx(spec.support, printPpi(colour, spec));
  const painted = findPaintedLine(raster, decided(coverage, spec), spec.line, depthPx, arena);
  if (!painted.painted) return undefined;
  const whole = inkSharePercent(amount, arena);
  const kept = painted.held === undefined ? amount : withoutMasked(amount, painted.held);
  const heldPercent = whole === 0 ? 0 : ((whole - inkSharePercent(kept, arena)) / whole) * 100;
  parts.colour = { ...colour, raster: painted.colour };
  parts.line = { ...line, raster: asPaper(kept, arena) };
  return heldPercent;
}

/**
 * Brings the ink of one part to the pixels of another; undefined where either shows more than trim plus bleed, or
 * another shape.
 */
export async function sameSize(
  ink: Plate,
  from: FlatPicture,
  to: FlatPicture,
  spec: PageBox,
): Promise<Plate | undefined> {
  const { width, height } = to.raster;
  if (ink.width === width && ink.height === height) return ink;
  const plan = planFit(from, spec, 'mm').plan;
  const onto = planFit(to, spec, 'mm').plan;
  if (plan === undefined || onto === undefined) return undefined;
  const { crop } = onto;
  if (!isNearlyWhole(crop, to.raster)) return undefined;
  const fitted = await fitPlate(ink, plan, crop);
  const { data } = cutRaster(
    { ...fitted, model: 'grey', alpha: false },
    { left: -crop.left, top: -crop.top, width, height },
  );
  return { width, height, data: data as Uint8Array };
}

/** Whether trim plus bleed ends within a pixel of the picture's edges. */
function isNearlyWhole({ left, top, width, height }: PixelBox, picture: SizePx): boolean {
  const margins = [left, top, picture.width - left - width, picture.height - top - height];
  return margins.every((px) => Math.abs(px) <= 1);
}

/** Soft edges decided to ink or paper where they are mostly paper, so that what lies beside a line is found. */
function decided({ width, height, data }: Plate, spec: Pick<PrintSpec, 'line'>): Plate {
  const least = thresholdOf(spec.line) / 2;
  const clear = new Uint8Array(data.length);
  for (let i = 0; i < data.length; i++) if (data[i] >= least) clear[i] = data[i];
  return { width, height, data: clear };
}

/** Ink amounts as a grey picture; the amounts are used up. */
function asPaper({ width, height, data }: Plate, memory: KernelMemory): FlatPicture['raster'] {
  return { width, height, model: 'grey', alpha: false, data: invertInto(data, data, memory) };
}
