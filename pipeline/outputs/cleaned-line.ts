import { trimBoxPx } from '../../config/print-spec.js';
import { mmToPx, pxToMm } from '../../config/units.js';
import { type Bitmap, isSet, type Raster } from '../model/raster.js';
import type { PxBox } from '../sheets/drawing.js';
import type { MadeFile, OutputContext } from './product.js';
import { sideBySide, squareAround } from './side-by-side.js';

/** What is shown of each place, in millimetres, and half of the box around the speck. Own choice. */
const cropMm = 4;
const aroundMm = 0.25;
/** So many places are shown, the largest specks. Own choice. */
const mostShown = 8;

const cellPx = 300;

/** The largest specks that were removed from the line, before and after side by side; nothing for other pages. */
export async function cleanedLine(context: OutputContext): Promise<MadeFile[]> {
  const { request, inks } = context;
  const { linePpi } = request.page.spec;
  const { cleaned, line: after } = inks;
  if (cleaned === undefined || after === undefined) return [];
  const bySize = [...cleaned.specks].sort((a, b) => b.width * b.height - a.width * a.height);
  const rows = bySize.slice(0, mostShown).map((speck) => {
    const [x, y] = [speck.left + speck.width / 2, speck.top + speck.height / 2];
    const crop = squareAround(x, y, mmToPx(cropMm, linePpi), after);
    const [left, right] = [cleaned.before, after].map((plate) => pictureOf(plate, crop));
    const boxed = boxOf(speck, crop, mmToPx(aroundMm, linePpi));
    return { left, right, label: labelOf(speck, context, after), boxed };
  });
  const title = `${request.baseName}: specks removed, ${rows.length} of ${bySize.length}. Not for print.`;
  const words = ['as it came', 'as it prints'] as const;
  return [await sideBySide({ role: 'cleaned', title, words, cellPx, rows }, context)];
}

/** A part of the plate as black on white. */
function pictureOf(plate: Bitmap, { left, top, width, height }: PxBox): Raster {
  const data = new Uint8Array(width * height * 3).fill(255);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      if (isSet(plate, left + x, top + y)) data.fill(0, (y * width + x) * 3, (y * width + x + 1) * 3);
    }
  }
  return { width, height, model: 'rgb', alpha: false, data };
}

/** Around a speck, in pixels of its cell. */
function boxOf(speck: PxBox, crop: PxBox, aroundPx: number): PxBox {
  const scale = cellPx / crop.width;
  const at = (px: number, from: number) => (px - aroundPx - from) * scale;
  const side = (px: number) => (px + 2 * aroundPx) * scale;
  return {
    left: at(speck.left, crop.left),
    top: at(speck.top, crop.top),
    width: side(speck.width),
    height: side(speck.height),
  };
}

function labelOf(speck: PxBox, { request }: OutputContext, plate: Bitmap): string {
  const { spec } = request.page;
  const trim = trimBoxPx(plate, spec, spec.linePpi);
  const mm = (px: number) => pxToMm(px, spec.linePpi).toFixed(2);
  const where = `${mm(speck.left - trim.left)} / ${mm(speck.top - trim.top)} mm of the trim`;
  return `${where}: ${mm(speck.width)} x ${mm(speck.height)} mm`;
}
