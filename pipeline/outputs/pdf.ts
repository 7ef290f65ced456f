import { isBlackOnly } from '../../config/print-spec.js';
import { visible } from '../../config/visible-text.js';
import { type DeliveredPage, deliveredPages } from './delivered-pages.js';
import { extraLayers } from './extra-plates.js';
import type { MadeFile, OutputContext, PageProduct } from './product.js';
import { inkSettings } from './settings.js';

/** The page as PDF/X: the process inks without line, and over them the line at its own resolution and extra inks, overprinting. */
export const pdf: PageProduct = {
  name: 'pdf',
  roles: ['page'],
  suffixOf: () => '.pdf',
  folder: 'pdf',
  deliveredWith: () => ['pdf'],
  comesAlong: false,
  forStoppedPage: false,
  phase: 'press',
  dependsOn: [...inkSettings, 'condition', 'baseName', 'spreads', 'issue', 'page', 'pdf', 'marks'],
  make: pdfFiles,
};

async function pdfFiles(context: OutputContext): Promise<MadeFile[]> {
  const { checkProfileVersion } = await import('../pdf/output-intent.js');
  const { press, request, inks } = context;
  const { colourPpi: ppi, pdf: form } = request.page.spec;
  checkProfileVersion(press, form);
  return deliveredPages(request).map((page): MadeFile => {
    const size = page.sizeOf(inks.separation, ppi);
    return { role: 'page', of: page.of, size, ppi, encode: () => encodePage(page, context) };
  });
}

async function encodePage(page: DeliveredPage, context: OutputContext): Promise<Uint8Array[]> {
  const { joined } = await import('../files/joined-deflate.js');
  const { blackInk } = await import('../pdf/ink-layers.js');
  const { pagePdf } = await import('../pdf/page-file.js');
  const { outputIntentOf } = await import('../pdf/output-intent.js');
  const { pageBoxes } = await import('../pdf/page-boxes.js');
  const { marksOf, marksRoomMm } = await import('../pdf/marks.js');
  const { press, request, inks, packed, statedDay } = context;
  const { spec, id } = request.page;
  const { colourPpi, linePpi, pdf: form } = spec;
  const line = inks.line === undefined ? undefined : await packed.line(page, inks.line);
  const label = page.of === undefined ? id : String(page.of.half);
  const boxes = pageBoxes(spec, page.side, spec.marks ? marksRoomMm : 0);
  return pagePdf({
    form,
    title: visible(`${request.title} (${request.issue}), page ${label}`),
    label,
    day: statedDay,
    intent: outputIntentOf(press),
    boxes,
    picture: {
      size: page.sizeOf(inks.separation, colourPpi),
      channels: isBlackOnly(spec) ? 1 : 4,
      pieces: joined(await packed.picture(page)),
    },
    layers: [
      ...(line === undefined ? [] : [{ ...blackInk, ...line, ppi: linePpi }]),
      ...(await extraLayers(context, page)),
    ],
    marks: spec.marks ? marksOf(boxes, slugOf(label, context)) : undefined,
  });
}

/** What stands beside the page on the sheet: which page of what it is, for whom, and of which day. */
function slugOf(label: string, { request, press, statedDay }: OutputContext): string {
  const day = statedDay === undefined ? '' : `, ${statedDay}`;
  return `${request.issue}, page ${label}${day}, ${press.id}, ${request.title}`;
}
