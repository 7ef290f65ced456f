import { mmToPx } from '../../config/units.js';
import type { ShiftedPlace } from '../model/page-result.js';
import { type Separation, withPlane } from '../model/separation.js';
import { movedPlane } from '../plate-shift/moves.js';
import type { PxBox } from '../sheets/drawing.js';
import type { MadeFile, OutputContext } from './product.js';
import { inksWithin, onScreen, type ShownPlace, sideBySide, squareAround } from './side-by-side.js';

/** What is shown of each place, in millimetres: a shift of a tenth is then some pixels. Own choice. */
const cropMm = 6;
/** Side of the square around a place within it that is boxed. Own choice. */
const boxMm = 2.4;
/** So many places are shown, the longest. Own choice. */
const mostShown = 6;

const cellPx = 300;

/** The worst places of a page whose plates are out of register: in register and out of it, side by side; nothing for other pages. */
export async function platesMoved(context: OutputContext): Promise<MadeFile[]> {
  const { request, findings } = context;
  const { colourPpi } = request.page.spec;
  const isTold = findings.some(({ code }) => code === 'plates-open' || code === 'plates-fringe');
  const places = context.plateShift?.places.slice(0, mostShown) ?? [];
  if (!isTold || places.length === 0) return [];
  const rows: ShownPlace[] = [];
  for (const one of places) {
    const { x, y } = pixelOf(one, context);
    const crop = squareAround(x, y, mmToPx(cropMm, colourPpi), context.inks.composite);
    const inks = inksWithin(crop, context);
    const out = moved(inks, one, colourPpi);
    const [left, right] = [await onScreen(inks, context), await onScreen(out, context)];
    rows.push({ left, right, label: labelOf(one), boxed: boxOf(x, y, crop) });
  }
  const title = `${request.baseName}: plates out of register, in sRGB. Not for print.`;
  const words = ['in register', 'one plate moved'] as const;
  return [await sideBySide({ role: 'register', title, words, cellPx, rows }, context)];
}

function labelOf({ xMm, yMm, kind, plate, lengthMm, rightMm, downMm }: ShiftedPlace): string {
  const what = kind === 'open' ? 'opens' : 'fringe';
  return `${xMm} / ${yMm} mm of the trim: ${plate} ${rightMm} / ${downMm} mm, ${what} over ${lengthMm} mm`;
}

/** Where a place lies on the page, in pixels of the colour. */
function pixelOf({ xMm, yMm }: ShiftedPlace, { request }: OutputContext) {
  const { colourPpi, bleedMm } = request.page.spec;
  return { x: mmToPx(xMm + bleedMm, colourPpi), y: mmToPx(yMm + bleedMm, colourPpi) };
}

function boxOf(x: number, y: number, crop: PxBox): PxBox {
  const scale = cellPx / crop.width;
  const side = (boxMm / cropMm) * cellPx;
  const at = (px: number, from: number) =>
    Math.min(cellPx - side, Math.max(0, (px - from) * scale - side / 2));
  return { left: at(x, crop.left), top: at(y, crop.top), width: side, height: side };
}

function moved(inks: Separation, { plate, rightMm, downMm }: ShiftedPlace, ppi: number): Separation {
  const plane = inks.inks.find(({ name }) => name === plate)?.plane;
  if (plane === undefined) return inks;
  return withPlane(inks, plate, movedPlane(plane, inks, mmToPx(rightMm, ppi), mmToPx(downMm, ppi)));
}
