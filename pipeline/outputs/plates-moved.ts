import { mmToPx } from '../../config/units.js';
import { reducedInks } from '../inks/reduced-inks.js';
import { cutOut } from '../kernels/edges.js';
import type { ShiftedPlace } from '../model/page-result.js';
import type { Raster } from '../model/raster.js';
import { processPlanes, type Separation, separationOf, withPlane } from '../model/separation.js';
import { movedPlane } from '../plate-shift/moves.js';
import { drawOver } from '../sheets/draw-over.js';
import { box, canvasOf, ground, ink, line, type PxBox, place, scaled, text } from '../sheets/drawing.js';
import { type MadeFile, type OutputContext, picture } from './product.js';

/** What is shown of each place, in millimetres: a shift of a tenth is then some pixels. Own choice. */
const cropMm = 6;
/** Side of the square around a place within it that is boxed. Own choice. */
const boxMm = 2.4;
/** So many places are shown, the longest. Own choice. */
const mostShown = 6;

const cellPx = 300;
const marginPx = 24;
const headPx = 58;
const labelPx = 34;
const typePx = 15;

/** The worst places of a page whose plates are out of register: in register and out of it, side by side; nothing for other pages. */
export async function platesMoved(context: OutputContext): Promise<MadeFile[]> {
  const { request, findings, arena } = context;
  const isTold = findings.some(({ code }) => code === 'plates-open' || code === 'plates-fringe');
  const places = context.plateShift?.places.slice(0, mostShown) ?? [];
  if (!isTold || places.length === 0) return [];
  const width = 3 * marginPx + 2 * cellPx;
  const canvas = canvasOf(width, headPx + places.length * (cellPx + labelPx) + marginPx, ground.proof, arena);
  const right = 2 * marginPx + cellPx;
  const look = { sizePx: typePx, fill: ink.plain };
  const shapes = [
    text(`${request.baseName}: plates out of register, in sRGB. Not for print.`, marginPx, 24, {
      ...look,
      fill: ink.strong,
    }),
    text('in register', marginPx, headPx - 10, look),
    text('one plate moved', right, headPx - 10, look),
  ];
  for (const [row, one] of places.entries()) {
    const top = headPx + row * (cellPx + labelPx);
    const crop = cropAt(one, context);
    const inks = inksOf(crop, context);
    const out = moved(inks, one, request.page.spec.colourPpi);
    place(canvas, await shown(inks, context), marginPx, top);
    place(canvas, await shown(out, context), right, top);
    for (const left of [marginPx, right]) shapes.push(boxed(one, crop, context, left, top));
    shapes.push(text(labelOf(one), marginPx, top + cellPx + 22, { sizePx: typePx }));
  }
  await drawOver(canvas, shapes, arena);
  return [picture('register', canvas, request.page.spec.proofPpi)];
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

function cropAt(one: ShiftedPlace, context: OutputContext): PxBox {
  const { width, height } = context.inks.composite;
  const { x, y } = pixelOf(one, context);
  const side = Math.min(width, height, Math.round(mmToPx(cropMm, context.request.page.spec.colourPpi)));
  const from = (at: number, length: number) =>
    Math.min(length - side, Math.max(0, Math.round(at - side / 2)));
  return { left: from(x, width), top: from(y, height), width: side, height: side };
}

function boxed(one: ShiftedPlace, crop: PxBox, context: OutputContext, left: number, top: number): string {
  const scale = cellPx / crop.width;
  const { x, y } = pixelOf(one, context);
  const side = (boxMm / cropMm) * cellPx;
  const at = (px: number, from: number) =>
    Math.min(cellPx - side, Math.max(0, (px - from) * scale - side / 2));
  const around = box(left + at(x, crop.left), top + at(y, crop.top), side, side);
  return line(around, { stroke: '#fff', width: 3 }) + line(around, { stroke: '#d00000', width: 1.5 });
}

function inksOf(crop: PxBox, { inks: { composite } }: OutputContext): Separation {
  const [cyan, magenta, yellow, black] = processPlanes(composite).map((plane) =>
    cutOut(plane, 1, composite, crop),
  );
  const planes = { cyan, magenta, yellow, black };
  return separationOf(crop, (name) => planes[name]);
}

function moved(inks: Separation, { plate, rightMm, downMm }: ShiftedPlace, ppi: number): Separation {
  const plane = inks.inks.find(({ name }) => name === plate)?.plane;
  if (plane === undefined) return inks;
  return withPlane(inks, plate, movedPlane(plane, inks, mmToPx(rightMm, ppi), mmToPx(downMm, ppi)));
}

/** Inks as they look on a screen, enlarged. */
async function shown(inks: Separation, { separator, arena, request }: OutputContext): Promise<Raster> {
  const joined = await reducedInks(inks, inks, arena);
  const seen = separator.softProof(joined, { paperWhite: request.page.spec.proofPaperWhite }, arena);
  return scaled(seen, cellPx, cellPx);
}
