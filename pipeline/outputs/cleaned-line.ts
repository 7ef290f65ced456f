import { trimBoxPx } from '../../config/print-spec.js';
import { mmToPx, pxToMm } from '../../config/units.js';
import { type Bitmap, isSet, type Raster } from '../model/raster.js';
import { drawOver } from '../sheets/draw-over.js';
import { box, canvasOf, ground, ink, line, type PxBox, place, scaled, text } from '../sheets/drawing.js';
import { type MadeFile, type OutputContext, picture } from './product.js';

/** What is shown of each place, in millimetres, and half of the box around the speck. Own choice. */
const cropMm = 4;
const aroundMm = 0.25;
/** So many places are shown, the largest specks. Own choice. */
const mostShown = 8;

const cellPx = 300;
const marginPx = 24;
const headPx = 58;
const labelPx = 34;
const typePx = 15;

/** The largest specks that were removed from the line, before and after side by side; nothing for other pages. */
export async function cleanedLine(context: OutputContext): Promise<MadeFile[]> {
  const { request, inks, arena } = context;
  const { cleaned, line: after } = inks;
  if (cleaned === undefined || after === undefined) return [];
  const bySize = [...cleaned.specks].sort((a, b) => b.width * b.height - a.width * a.height);
  const shown = bySize.slice(0, mostShown);
  const width = 3 * marginPx + 2 * cellPx;
  const canvas = canvasOf(width, headPx + shown.length * (cellPx + labelPx) + marginPx, ground.proof, arena);
  const right = 2 * marginPx + cellPx;
  const look = { sizePx: typePx, fill: ink.plain };
  const title = `${request.baseName}: specks removed, ${shown.length} of ${bySize.length}. Not for print.`;
  const shapes = [
    text(title, marginPx, 24, { ...look, fill: ink.strong }),
    text('as it came', marginPx, headPx - 10, look),
    text('as it prints', right, headPx - 10, look),
  ];
  for (const [row, speck] of shown.entries()) {
    const top = headPx + row * (cellPx + labelPx);
    const crop = cropAround(speck, context, after);
    place(canvas, await enlarged(cleaned.before, crop), marginPx, top);
    place(canvas, await enlarged(after, crop), right, top);
    for (const left of [marginPx, right]) shapes.push(...boxed(speck, crop, context, left, top));
    shapes.push(text(labelOf(speck, context, after), marginPx, top + cellPx + 22, { sizePx: typePx }));
  }
  await drawOver(canvas, shapes, arena);
  return [picture('cleaned', canvas, request.page.spec.proofPpi)];
}

function cropAround(speck: PxBox, { request }: OutputContext, plate: Bitmap): PxBox {
  const side = Math.min(plate.width, plate.height, Math.round(mmToPx(cropMm, request.page.spec.linePpi)));
  const from = (middle: number, length: number) =>
    Math.min(length - side, Math.max(0, Math.round(middle - side / 2)));
  return {
    left: from(speck.left + speck.width / 2, plate.width),
    top: from(speck.top + speck.height / 2, plate.height),
    width: side,
    height: side,
  };
}

/** A part of the plate as black on white. */
function enlarged(plate: Bitmap, { left, top, width, height }: PxBox): Promise<Raster> {
  const data = new Uint8Array(width * height * 3).fill(255);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      if (isSet(plate, left + x, top + y)) data.fill(0, (y * width + x) * 3, (y * width + x + 1) * 3);
    }
  }
  return scaled({ width, height, model: 'rgb', alpha: false, data }, cellPx, cellPx);
}

function boxed(speck: PxBox, crop: PxBox, { request }: OutputContext, left: number, top: number): string[] {
  const scale = cellPx / crop.width;
  const around = mmToPx(aroundMm, request.page.spec.linePpi);
  const at = (px: number, from: number) => (px - around - from) * scale;
  const side = (px: number) => (px + 2 * around) * scale;
  const path = box(
    left + at(speck.left, crop.left),
    top + at(speck.top, crop.top),
    side(speck.width),
    side(speck.height),
  );
  return [line(path, { stroke: '#fff', width: 3 }), line(path, { stroke: '#d00000', width: 1.5 })];
}

function labelOf(speck: PxBox, { request }: OutputContext, plate: Bitmap): string {
  const { spec } = request.page;
  const trim = trimBoxPx(plate, spec, spec.linePpi);
  const mm = (px: number) => pxToMm(px, spec.linePpi).toFixed(2);
  const where = `${mm(speck.left - trim.left)} / ${mm(speck.top - trim.top)} mm of the trim`;
  return `${where}: ${mm(speck.width)} x ${mm(speck.height)} mm`;
}
