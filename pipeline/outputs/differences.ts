import { mmToPx } from '../../config/units.js';
import { cutOut } from '../kernels/edges.js';
import type { DifferingPlace } from '../model/fidelity.js';
import { channelsOf, type Raster } from '../model/raster.js';
import type { PxBox } from '../sheets/drawing.js';
import type { MadeFile, OutputContext } from './product.js';
import { inksWithin, onScreen, type ShownPlace, sideBySide, squareAround } from './side-by-side.js';

/** What is shown of each place, in millimetres: enough to find it again on the proof. Own choice. */
const cropMm = 14;

/** Side of a picture of it, in pixels of the sheet; edges are judged at a multiple of their size. */
const cellPx = 360;

/** The worst places of a page that does not print as painted, as painted and as printed side by side; nothing for other pages. */
export async function differences(context: OutputContext): Promise<MadeFile[]> {
  const { request, inks, findings } = context;
  const isTold = findings.some(({ code }) => code === 'print-differs');
  const { painted, fidelity } = inks;
  if (!isTold || painted === undefined || fidelity === undefined) return [];
  const rows: ShownPlace[] = [];
  for (const one of fidelity.places) {
    const crop = cropAt(one, context);
    const left = await wantedOf(crop, painted, context);
    const right = await onScreen(inksWithin(crop, context), context);
    rows.push({ left, right, label: labelOf(one), boxed: undefined });
  }
  const title = `${request.baseName}: where print differs, in sRGB. Not for print.`;
  const words = ['as painted, on this press', 'as it prints'] as const;
  return [await sideBySide({ role: 'differences', title, words, cellPx, rows }, context)];
}

function labelOf({ xMm, yMm, mostDe }: DifferingPlace): string {
  return `${xMm} mm from the left, ${yMm} mm from the top of the trim: CIEDE2000 up to ${mostDe}`;
}

/** A square around a place, within the page. */
function cropAt({ xMm, yMm }: DifferingPlace, { request, inks }: OutputContext): PxBox {
  const { colourPpi, bleedMm } = request.page.spec;
  const px = (mm: number) => mmToPx(mm + bleedMm, colourPpi);
  return squareAround(px(xMm), px(yMm), mmToPx(cropMm, colourPpi), inks.composite);
}

/** The page as painted, through the press condition and back to the screen. */
function wantedOf(crop: PxBox, painted: Raster, context: OutputContext): Promise<Raster> {
  const { width, height } = crop;
  const data = cutOut(painted.data, channelsOf(painted), painted, crop);
  const { separator, inks, arena } = context;
  const { separation } = separator.separate({ ...painted, width, height, data }, inks.profile, arena);
  return onScreen(separation, context);
}
