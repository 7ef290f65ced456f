import { bleedBoxPx, type PrintSpec } from '../config/print-spec.js';
import type { LengthUnit, SizePx } from '../config/units.js';
import type { KernelMemory } from './kernels/kernel-memory.js';
import type { PageArena } from './kernels/page-arena.js';
import type { PageArt } from './layers/page-art.js';
import { samplesOf } from './line/bitmap.js';
import { cutBits } from './line/cut-bits.js';
import { linePlate } from './line/ink-amount.js';
import type { PageRequest } from './model/page-request.js';
import type { Bitmap, Plate, Raster } from './model/raster.js';
import { type FitPlan, planBeside, planFit } from './sizes/plan-fit.js';
import { fitPlate, fitRaster } from './sizes/resample.js';

/** Colour and line at their print sizes. */
export interface FittedPage {
  /** trim plus bleed at the colour ppi; undefined for a page without colour. */
  readonly colour: Raster | undefined;
  /** Ink or paper: trim plus bleed at the line ppi; undefined without line. */
  readonly line: Bitmap | undefined;
  /** The page as painted, line included, like the colour; undefined where it is the colour with the line over it. */
  readonly painted: Raster | undefined;
  /** How bright whatever lies above the line makes it, at the size of the colour; undefined where nothing does. */
  readonly light: Plate | undefined;
  /** 255 where lettering shows, for every second pixel of the colour; undefined where none came apart. */
  readonly lettering?: Plate | undefined;
}

/**
 * Brings colour and line to trim plus bleed, in the pixels of the print spec. What has that size already is handed on number
 * for number. Line is decided to ink or paper.
 * @param art its pictures are used up: line and light are free in the arena, and the colour where it had another size
 */
export async function fitPage(
  art: PageArt,
  { page, units }: Pick<PageRequest, 'page' | 'units'>,
  arena: PageArena,
): Promise<FittedPage> {
  const { spec } = page;
  const { colour, line } = art;
  // Shapes were checked file by file before.
  const unfit = () => new Error(`page ${page.id}: assembled at a size that does not fit`);
  const colourPlan = colour && planOf(colour, spec, units, unfit);
  const ownPlan = line && planOf(line, spec, units, unfit);
  // Line from the canvas of its colour is cut where the colour is.
  const beside = colour && colourPlan && { picture: canvasOf(colour), plan: colourPlan };
  const linePlan = line && ownPlan && (beside ? planBeside(line.pixels, ownPlan, beside) : ownPlan);
  const fittedLine =
    line && linePlan && (await fitInk(line.pixels, linePlan, bleedBoxPx(spec, spec.linePpi), arena));
  const decided = fittedLine && linePlate(fittedLine, spec.line, arena);
  const size = bleedBoxPx(spec, spec.colourPpi);
  // Side by side, since the library has threads of its own. All have the size of the colour, and are resampled like it: where
  // there is no line, colour and page as painted stay one.
  const [fitted, painted, light] = await Promise.all([
    colour && colourPlan && fitColour(colour, colourPlan, size),
    art.painted && colourPlan && fitColour(art.painted, colourPlan, size),
    art.light && colourPlan && fitPlate(art.light.pixels, colourPlan, size),
  ]);
  freeArt(art, { colour: fitted, light }, arena);
  const lettering =
    art.lettering && colour && colourPlan && fitMarks(art.lettering, colourPlan, canvasOf(colour), size);
  return { colour: fitted, line: decided, painted, light, lettering };
}

/** Frees what was brought to another size, or decided. */
function freeArt(
  { colour, line, light }: PageArt,
  now: Pick<FittedPage, 'colour' | 'light'>,
  arena: PageArena,
): void {
  if (line !== undefined && 'data' in line.pixels) arena.free(line.pixels.data);
  if (light !== undefined && light.pixels.data !== now.light?.data) arena.free(light.pixels.data);
  if (colour !== undefined && colour.pixels !== now.colour) arena.free(colour.pixels.data);
}

/** Marks of every second pixel of a picture, as they lie on every second pixel of the page. */
function fitMarks(marks: Plate, { crop }: FitPlan, picture: SizePx, page: SizePx): Plate {
  const [width, height] = [Math.ceil(page.width / 2), Math.ceil(page.height / 2)];
  const nearest = (at: number, from: number, length: number, whole: number, pixels: number, most: number) =>
    Math.max(0, Math.min(most - 1, Math.floor(((from + ((at + 0.5) * length) / whole) * most) / pixels)));
  const columnAt = Int32Array.from({ length: width }, (_, x) =>
    nearest(x, crop.left, crop.width, width, picture.width, marks.width),
  );
  const data = new Uint8Array(width * height);
  for (let y = 0, i = 0; y < height; y++) {
    const row = nearest(y, crop.top, crop.height, height, picture.height, marks.height) * marks.width;
    for (let x = 0; x < width; x++, i++) data[i] = marks.data[row + columnAt[x]];
  }
  return { width, height, data };
}

type AnyPlane = NonNullable<PageArt['colour'] | PageArt['line']>;

/** The size of a plane as it was drawn. */
function canvasOf({ canvas, pixels }: AnyPlane): SizePx {
  return canvas ?? pixels;
}

function planOf(plane: AnyPlane, spec: PrintSpec, units: LengthUnit, unfit: () => Error): FitPlan {
  const { width, height } = canvasOf(plane);
  const { plan } = planFit({ width, height, ppi: plane.ppi }, spec, units);
  if (plan === undefined) throw unfit();
  return plan;
}

/**
 * Brings line art to an exact pixel size. Ink and paper of that size stay what they are, bit for bit, edges repeated or left out;
 * other sizes are resampled as tone, which is decided afterwards.
 * @param ink width x height x 1, 0 paper to 255 ink; a bitmap where it is decided already
 */
export async function fitInk(
  ink: Plate | Bitmap,
  plan: FitPlan,
  size: SizePx,
  memory: KernelMemory,
): Promise<Plate | Bitmap> {
  if (!('bits' in ink)) return fitPlate(ink, plan, size);
  const { left, top, width, height } = plan.crop;
  if (width === size.width && height === size.height) {
    const isWhole = left === 0 && top === 0 && width === ink.width && height === ink.height;
    return isWhole ? ink : cutBits(ink, plan.crop);
  }
  return fitPlate({ ...ink, data: samplesOf(ink, 255, memory) }, plan, size);
}

async function fitColour(
  colour: NonNullable<PageArt['colour']>,
  plan: FitPlan,
  size: SizePx,
): Promise<Raster> {
  return colour.isFitted ? colour.pixels : fitRaster(colour.pixels, plan, size);
}
