import { mmToPx } from '../../config/units.js';
import { reducedInks } from '../inks/reduced-inks.js';
import { cutOut } from '../kernels/edges.js';
import type { DifferingPlace } from '../model/fidelity.js';
import { channelsOf, type Raster } from '../model/raster.js';
import { processPlanes, type Separation, separationOf } from '../model/separation.js';
import { drawOver } from '../sheets/draw-over.js';
import { canvasOf, ground, ink, type PxBox, place, scaled, text } from '../sheets/drawing.js';
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
  const { painted, fidelity } = inks;
  if (!isTold || painted === undefined || fidelity === undefined) return [];
  const { places } = fidelity;
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
    place(canvas, await scaled(await wantedOf(crop, painted, context), cellPx, cellPx), marginPx, top);
    place(canvas, await scaled(await printedOf(crop, context), cellPx, cellPx), right, top);
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
function wantedOf(crop: PxBox, painted: Raster, context: OutputContext): Promise<Raster> {
  const { width, height } = crop;
  const data = cutOut(painted.data, channelsOf(painted), painted, crop);
  const { separator, inks, arena } = context;
  return shown(
    separator.separate({ ...painted, width, height, data }, inks.profile, arena).separation,
    context,
  );
}

function printedOf(crop: PxBox, context: OutputContext): Promise<Raster> {
  const { composite } = context.inks;
  const [cyan, magenta, yellow, black] = processPlanes(composite).map((plane) =>
    cutOut(plane, 1, composite, crop),
  );
  const planes = { cyan, magenta, yellow, black };
  return shown(
    separationOf(crop, (name) => planes[name]),
    context,
  );
}

/** Inks as they look on a screen. */
async function shown(separation: Separation, { separator, arena, request }: OutputContext): Promise<Raster> {
  const joined = await reducedInks(separation, separation, arena);
  return separator.softProof(joined, { paperWhite: request.page.spec.proofPaperWhite }, arena);
}
