import { bleedBoxPx, type PageBox, type PrintSpec } from '../../config/print-spec.js';
import type { PixelBox, SizePx } from '../../config/units.js';
import type { Edges } from '../kernels/edges.js';
import { planFit, type SizedPicture } from './plan-fit.js';

/** How a part of a picture comes to its size without anything being made up but repeated edges. */
export interface FitSteps {
  /** What is resampled: a box within the picture. */
  readonly crop: PixelBox;
  /** What it is resampled to. */
  readonly size: SizePx;
  /** What is then repeated, in pixels of the result; undefined where nothing is. */
  readonly edges: Edges | undefined;
}

/**
 * The steps for a box that may reach past its picture. At a whole ratio, such as 600 ppi to 300, every pixel of the result keeps
 * the pixels that it is made of: where a row or column of them is not complete, the result's own neighbour is repeated.
 * @param size what the box is to have, in pixels
 * @returns undefined where the box reaches past the picture and the ratio is not whole: the picture's edges have to be repeated
 *   before it is resampled (cutOut)
 */
export function fitSteps(picture: SizePx, box: PixelBox, size: SizePx): FitSteps | undefined {
  const across = alongAxis(picture.width, box.left, box.width, size.width);
  const down = alongAxis(picture.height, box.top, box.height, size.height);
  if (across === undefined || down === undefined) return undefined;
  const edges = { left: across.before, right: across.after, top: down.before, bottom: down.after };
  return {
    crop: { left: across.start, top: down.start, width: across.length, height: down.length },
    size: { width: across.result, height: down.result },
    edges: Object.values(edges).some((count) => count > 0) ? edges : undefined,
  };
}

/** The steps of a picture whose print size has half of its pixels each way; undefined for any other. */
export function halvingSteps(
  picture: SizedPicture,
  spec: PageBox & Pick<PrintSpec, 'colourPpi'>,
): FitSteps | undefined {
  const { plan } = planFit(picture, spec, 'mm');
  const steps = plan && fitSteps(picture, plan.crop, bleedBoxPx(spec, spec.colourPpi));
  if (steps === undefined) return undefined;
  const { crop, size } = steps;
  return crop.width === 2 * size.width && crop.height === 2 * size.height ? steps : undefined;
}

function alongAxis(whole: number, start: number, length: number, wanted: number) {
  const [missingBefore, missingAfter] = [Math.max(0, -start), Math.max(0, start + length - whole)];
  if (missingBefore + missingAfter === 0) return { start, length, result: wanted, before: 0, after: 0 };
  const ratio = length / wanted;
  if (!Number.isInteger(ratio)) return undefined;
  const [before, after] = [Math.ceil(missingBefore / ratio), Math.ceil(missingAfter / ratio)];
  const result = wanted - before - after;
  if (result < 1) return undefined;
  return { start: start + before * ratio, length: result * ratio, result, before, after };
}
