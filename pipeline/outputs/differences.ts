import { mmToPx } from '../../config/units.js';
import type { DifferingPlace } from '../model/fidelity.js';
import type { Raster } from '../model/raster.js';
import { processPlanes } from '../model/separation.js';
import { canvasOf, drawOver, ground, ink, type PxBox, place, scaled, text } from '../sheets/drawing.js';
import { type MadeFile, type OutputContext, picture } from './product.js';

/** What is shown of each place, in millimetres: enough to find it again on the proof. Own choice. */
const cropMm = 14;

/** Side of a picture of it, in pixels of the sheet; edges are judged at a multiple of their size. */
const cellPx = 360;
const marginPx = 24;
const headPx = 58;
const labelPx = 34;
const typePx = 15;

/** The worst places of a page that does not print as painted, as painted and as printed side by side; nothing for other pages. */
export async function differences(context: OutputContext): Promise<MadeFile[]> {
  const { request, inks, findings } = context;
  const isTold = findings.some(({ code }) => code === 'print-differs');
  if (!isTold || inks.painted === undefined || inks.fidelity === undefined) return [];
  const { places } = inks.fidelity;
  const width = 3 * marginPx + 2 * cellPx;
  const canvas = canvasOf(
    width,
    headPx + places.length * (cellPx + labelPx) + marginPx,
    ground.proof,
    context.arena,
  );
  const look = { sizePx: typePx, fill: ink.strong };
  const right = 2 * marginPx + cellPx;
  const shapes = [
    text(`${request.baseName}: where print differs, in sRGB. Not for print.`, marginPx, 24, look),
    text('as painted, on this press', marginPx, headPx - 10, { ...look, fill: ink.plain }),
    text('as it prints', right, headPx - 10, { ...look, fill: ink.plain }),
  ];
  for (const [row, one] of places.entries()) {
    const top = headPx + row * (cellPx + labelPx);
    const crop = cropAt(one, context);
    place(canvas, await scaled(wantedOf(crop, context), cellPx, cellPx), marginPx, top);
    place(canvas, await scaled(printedOf(crop, context), cellPx, cellPx), right, top);
    shapes.push(text(labelOf(one), marginPx, top + cellPx + 22, { sizePx: typePx }));
  }
  await drawOver(canvas, shapes, context.arena);
  return [picture('differences', canvas, request.page.spec.proofPpi)];
}

function labelOf({ xMm, yMm, mostDe }: DifferingPlace): string {
  return `${xMm} mm from the left, ${yMm} mm from the top of the trim: CIEDE2000 up to ${mostDe}`;
}

/** A square around a place, within the page. */
function cropAt({ xMm, yMm }: DifferingPlace, { request, inks }: OutputContext): PxBox {
  const { colourPpi, bleedMm } = request.page.spec;
  const { width, height } = inks.composite;
  const side = Math.min(width, height, Math.round(mmToPx(cropMm, colourPpi)));
  const from = (mm: number, length: number) =>
    Math.min(length - side, Math.max(0, Math.round(mmToPx(mm + bleedMm, colourPpi) - side / 2)));
  return { left: from(xMm, width), top: from(yMm, height), width: side, height: side };
}

/** The page as painted, through the press condition and back to the screen. */
function wantedOf(crop: PxBox, { inks, separator, arena, request }: OutputContext): Raster {
  if (inks.painted === undefined)
    throw new Error('a page that nothing is known of as painted has no differences');
  const { separation } = separator.separate(cut(inks.painted, crop), inks.profile, arena);
  const whole = { left: 0, top: 0, width: crop.width, height: crop.height };
  const joined = joinedAt(processPlanes(separation), crop.width, whole);
  return separator.softProof(joined, { paperWhite: request.page.spec.proofPaperWhite }, arena);
}

function printedOf(crop: PxBox, { inks, separator, arena, request }: OutputContext): Raster {
  const joined = joinedAt(processPlanes(inks.composite), inks.composite.width, crop);
  return separator.softProof(joined, { paperWhite: request.page.spec.proofPaperWhite }, arena);
}

/** A part of a picture without alpha. */
function cut(raster: Raster, { left, top, width, height }: PxBox): Raster {
  const channels = raster.model === 'grey' ? 1 : 3;
  const data = raster.data.slice(0, width * height * channels);
  for (let y = 0; y < height; y++) {
    const from = ((top + y) * raster.width + left) * channels;
    data.set(raster.data.subarray(from, from + width * channels), y * width * channels);
  }
  return { ...raster, width, height, data };
}

/** The inks of a part of a page, interleaved. */
function joinedAt(
  planes: readonly Uint8Array[],
  pageWidth: number,
  { left, top, width, height }: PxBox,
): Raster {
  const data = new Uint8Array(width * height * 4);
  for (let y = 0, to = 0; y < height; y++) {
    for (let x = 0, from = (top + y) * pageWidth + left; x < width; x++, from++) {
      for (const plane of planes) data[to++] = plane[from];
    }
  }
  return { width, height, model: 'cmyk', alpha: false, data };
}
