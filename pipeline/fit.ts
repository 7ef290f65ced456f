import { bleedBoxPx, type PrintSpec } from '../config/print-spec.js';
import type { SizePx } from '../config/units.js';
import type { KernelMemory } from './kernels/kernel-memory.js';
import type { PageArena } from './kernels/page-arena.js';
import type { PageArt } from './layers/assemble.js';
import { samplesOf } from './line/bitmap.js';
import type { PageRequest } from './model/page-request.js';
import type { Bitmap, Plate, Raster } from './model/raster.js';
import { type FitPlan, planFit } from './sizes/plan-fit.js';
import { fitPlate, fitRaster } from './sizes/resample.js';

/** Colour and line at their print sizes. */
export interface FittedPage {
  /** trim plus bleed at the colour ppi; undefined for a page without colour. */
  readonly colour: Raster | undefined;
  /** Ink amount, or ink and paper where that is decided: trim plus bleed at the line ppi; undefined without line. */
  readonly line: Plate | Bitmap | undefined;
  /** The page as painted, line included, like the colour; undefined where it is the colour with the line over it. */
  readonly painted: Raster | undefined;
  /** How bright whatever lies above the line makes it, at the size of the colour; undefined where nothing does. */
  readonly light: Plate | undefined;
}

/**
 * Brings colour and line to trim plus bleed, in the pixels of the print spec. What has that size already is handed on number
 * for number.
 * @param art its colour is used up, and free in the arena where it had another size
 */
export async function fitPage(
  art: PageArt,
  { page, units }: Pick<PageRequest, 'page' | 'units'>,
  arena: PageArena,
): Promise<FittedPage> {
  const { spec } = page;
  const size = bleedBoxPx(spec, spec.colourPpi);
  const planOf = (plane: PageArt['colour'] | PageArt['line']) => {
    if (plane === undefined || plane.isFitted) return undefined;
    const { width, height } = plane.pixels;
    const { plan } = planFit({ width, height, ppi: plane.ppi }, spec, units);
    // Shapes were checked file by file before.
    if (plan === undefined) throw new Error(`page ${page.id}: assembled at a size that does not fit`);
    return plan;
  };
  const line = await fitLine(art, planOf(art.line), spec, arena);
  const plan = planOf(art.colour);
  const colour = await fitColour(art.colour, plan, size);
  const whole = art.colour?.pixels;
  if (whole !== undefined && whole !== colour) arena.free(whole.data);
  // Both have the size of the colour, and are resampled like it: where there is no line, the two stay one.
  const painted = await fitColour(art.painted, plan, size);
  const light =
    art.light === undefined || plan === undefined ? undefined : await fitPlate(art.light.pixels, plan, size);
  return { colour, line, painted, light };
}

async function fitLine(
  { line }: PageArt,
  plan: FitPlan | undefined,
  spec: PrintSpec,
  memory: KernelMemory,
): Promise<Plate | Bitmap | undefined> {
  if (line === undefined || plan === undefined) return undefined;
  return fitInk(line.pixels, plan, bleedBoxPx(spec, spec.linePpi), memory);
}

/**
 * Brings line art to an exact pixel size. Ink and paper of that size stay what they are, bit for bit; other sizes are resampled
 * as tone, which is decided afterwards.
 * @param ink width x height x 1, 0 paper to 255 ink; a bitmap where it is decided already
 */
export async function fitInk(
  ink: Plate | Bitmap,
  plan: FitPlan,
  size: SizePx,
  memory: KernelMemory,
): Promise<Plate | Bitmap> {
  if (!('bits' in ink)) return fitPlate(ink, plan, size);
  const { width, height } = plan.crop;
  const isWhole = width === ink.width && height === ink.height;
  if (isWhole && width === size.width && height === size.height) return ink;
  return fitPlate({ ...ink, data: samplesOf(ink, 255, memory) }, plan, size);
}

async function fitColour(
  colour: PageArt['colour'],
  plan: FitPlan | undefined,
  size: SizePx,
): Promise<Raster | undefined> {
  if (colour?.isFitted) return colour.pixels;
  if (colour === undefined || plan === undefined) return undefined;
  return fitRaster(colour.pixels, plan, size);
}
