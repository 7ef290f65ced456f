import { type PrintSpec, trimBoxPx } from '../config/print-spec.js';
import { mmToPx, type PixelBox, type SizePx } from '../config/units.js';
import { type FlatsPixels, flatsPixels } from './flats/flats-pixels.js';
import { busiestCorner, flatsDetail, paleFlats } from './flats/report-pictures.js';
import type { InspectedFlats } from './inspect-flats.js';
import type { PageArena } from './kernels/page-arena.js';
import type { Noticed, Place } from './model/findings.js';
import type { Raster } from './model/raster.js';
import { drawOver } from './sheets/draw-over.js';
import { box, canvasOf, fill, ground, ink, line, place, text } from './sheets/drawing.js';
import { drawFindingList } from './sheets/finding-list.js';
import { textWidth } from './sheets/type.js';
import { wrapWhole } from './sheets/wrap.js';

/** What the picture for a helper says besides what was found. */
export interface FlatsReportWords {
  /** Such as `INK04, page 7`. */
  readonly title: string;
  /** Name of the file, relative to incoming/. */
  readonly file: string;
  /** Where the trim lies, and how many pixels an inch the picture has. */
  readonly spec: Pick<PrintSpec, 'trim' | 'proofPpi'>;
}

/** A box on the picture. */
interface NumberedBox {
  readonly number: number;
  readonly place: Place;
  readonly colour: string;
}

/** Something found, with its boxes. */
interface NumberedFinding {
  readonly finding: Noticed;
  readonly colour: string;
  readonly boxes: readonly NumberedBox[];
}

/** Colours of boxes, one a finding; their numbers say the same. Own choice. */
const boxColours = ['#b02a1f', '#0b5fa5', '#6b3fa0', '#8a5a00', '#00695f'] as const;

/** Boxes of a finding that are drawn; of more there is a count. Own choice: the gravest are a day's work. */
const mostBoxes = 12;

/** Details that are shown pixel by pixel: so many side by side, so many in all, and of each finding at least these. Own choice. */
const detailsAcross = 4;
const detailsInAll = 8;
const leastOfOne = 2;

/** Pixels of the flats around a box that a detail shows, and the most along its side. */
const aroundPx = 8;
const mostDetailPx = 44;

/** No box is drawn smaller, in heights of the text: a stray pixel would have none. */
const leastBoxEm = 0.9;

/** Everything that is drawn, in pixels of the picture. */
interface ReportPlan {
  readonly em: number;
  readonly width: number;
  readonly margin: number;
  /** Size of the page on it. */
  readonly page: SizePx;
  /** What of the flats is shown, and their pixels an inch. */
  readonly crop: PixelBox;
  readonly flatsPpi: number;
  readonly words: FlatsReportWords;
}

/**
 * The picture that goes back to the helper: the flats, pale, with a numbered box wherever something is to be put right; below it what that
 * is, and the gravest places pixel by pixel.
 * @param flats as they were inspected
 * @returns rgb, 8 bit, allocated in the arena; the same input gives the same bytes
 */
export async function drawFlatsReport(
  flats: Raster,
  inspected: InspectedFlats,
  words: FlatsReportWords,
  arena: PageArena,
): Promise<Raster> {
  const plan = planReport(flats, inspected, words);
  const { em, margin, page } = plan;
  const findings = numberedFindings(inspected.noticed);
  const head = drawHead(plan);
  const list = drawFindingList(
    findings.map(({ finding, colour, boxes }) => ({ finding, colour, numbers: numbersOf(boxes, finding) })),
    { left: margin, right: plan.width - margin, top: head.bottom + page.height + 2.2 * em, em },
  );
  const ofOne = Math.max(leastOfOne, Math.floor(detailsInAll / Math.max(1, findings.length)));
  const details = findings.flatMap(({ boxes }) => boxes.slice(0, ofOne));
  const side = Math.floor((plan.width - 2 * margin - (detailsAcross - 1) * em) / detailsAcross);
  const pitch = side + 2.2 * em;
  const height = list.bottom + em + Math.ceil(details.length / detailsAcross) * pitch + em;
  const canvas = canvasOf(plan.width, Math.ceil(height), ground.proof, arena);
  const pixels = flatsPixels(flats);
  const lay = (shown: Pick<Raster, 'width' | 'height' | 'data'>, left: number, top: number) =>
    place(canvas, { ...shown, model: 'rgb', alpha: false }, Math.round(left), Math.round(top));
  lay(paleFlats(pixels, inspected.ink, plan.crop, page), margin, head.bottom);
  const captions = details.map((one, at) => {
    const left = margin + (at % detailsAcross) * (side + em);
    const top = list.bottom + em + Math.floor(at / detailsAcross) * pitch;
    const { from, times } = detailOf(one.place, side, plan, pixels);
    lay(flatsDetail(pixels, inspected.ink, from, times), left, top);
    return (
      tag(one, left, top + from.height * times + 1.2 * em, em) +
      measuredText(one, left, top + from.height * times, em)
    );
  });
  const boxes = findings.flatMap(({ boxes: own }) => own.map((one) => drawBox(one, head.bottom, plan)));
  await drawOver(canvas, [...head.shapes, ...boxes, ...list.shapes, ...captions], arena);
  return canvas;
}

function planReport(flats: Raster, { placed }: InspectedFlats, words: FlatsReportWords): ReportPlan {
  const { proofPpi, trim } = words.spec;
  const em = Math.max(12, Math.round((9 / 72) * proofPpi));
  const crop = placed?.crop ?? { left: 0, top: 0, width: flats.width, height: flats.height };
  // Flats of another shape are shown as wide as the trim.
  const flatsPpi = placed?.ppi ?? (crop.width * proofPpi) / mmToPx(trim.widthMm, proofPpi);
  const scale = proofPpi / flatsPpi;
  const page = { width: Math.round(crop.width * scale), height: Math.round(crop.height * scale) };
  const margin = 2 * em;
  return {
    em,
    margin,
    width: Math.max(page.width, leastWidthEm * em) + 2 * margin,
    page,
    crop,
    flatsPpi,
    words,
  };
}

/** The words are never narrower than this, in heights of the text. */
const leastWidthEm = 40;

function numberedFindings(noticed: readonly Noticed[]): NumberedFinding[] {
  let number = 0;
  return noticed.map((finding, at) => {
    const colour = boxColours[at % boxColours.length];
    const shown = finding.places?.shown.slice(0, mostBoxes) ?? [];
    return { finding, colour, boxes: shown.map((each) => ({ number: ++number, place: each, colour })) };
  });
}

/** Such as `4 to 15 of 31`. */
function numbersOf(boxes: readonly NumberedBox[], { places }: Noticed): string {
  const [first, last] = [boxes[0], boxes[boxes.length - 1]];
  if (first === undefined) return '';
  const range = first === last ? `${first.number}` : `${first.number} to ${last.number}`;
  const inAll = places?.inAll ?? 0;
  return inAll > boxes.length ? `${range}, the gravest of ${inAll}` : range;
}

function drawHead({ words, em, margin, width }: ReportPlan): {
  readonly shapes: string[];
  readonly bottom: number;
} {
  const bold = { sizePx: 1.35 * em, bold: true, fill: ink.strong };
  const look = { sizePx: em, fill: ink.plain };
  const pitch = 1.5 * em;
  const room = width - 2 * margin;
  const titles = wrapWhole(`Flats, ${words.title}`, room, bold);
  const files = wrapWhole(words.file, room, look);
  const top = margin + em;
  const shapes = [
    ...titles.map((each, at) => text(each, margin, top + at * 1.3 * pitch, bold)),
    ...files.map((each, at) => text(each, margin, top + titles.length * 1.3 * pitch + at * pitch, look)),
  ];
  return { shapes, bottom: Math.ceil(top + titles.length * 1.3 * pitch + files.length * pitch) };
}

/** Draws a box on the page, light and dark at once so that it shows on every flat, and its number beside it. */
function drawBox(
  one: NumberedBox,
  pageTop: number,
  { em, margin, page, words: { spec } }: ReportPlan,
): string {
  const trim = trimBoxPx(page, spec, spec.proofPpi);
  const px = (mm: number) => mmToPx(mm, spec.proofPpi);
  const [width, height] = [one.place.widthMm, one.place.heightMm].map((mm) =>
    Math.max(px(mm), leastBoxEm * em),
  );
  const left = margin + trim.left + px(one.place.xMm + one.place.widthMm / 2) - width / 2;
  const top = pageTop + trim.top + px(one.place.yMm + one.place.heightMm / 2) - height / 2;
  const hair = Math.max(1, em / 9);
  const around = box(left - hair, top - hair, width + 2 * hair, height + 2 * hair);
  const outline =
    line(around, { stroke: '#ffffff', width: 3 * hair }) +
    line(around, { stroke: one.colour, width: 1.5 * hair });
  const isAtTop = top - pageTop < 1.2 * em;
  return outline + tag(one, left - hair, isAtTop ? top + height + 1.25 * em : top - 2 * hair, em);
}

/** The number of a box, white on its colour; `y` is the lower edge. */
function tag({ number, colour }: NumberedBox, x: number, y: number, em: number): string {
  const look = { sizePx: 0.85 * em, bold: true, fill: '#ffffff' };
  const width = textWidth(`${number}`, look) + 0.5 * em;
  return (
    fill(box(x, y - 1.05 * em, width, 1.05 * em), colour) +
    text(`${number}`, x + 0.25 * em, y - 0.23 * em, look)
  );
}

function measuredText(
  { number, place: { measured = '' } }: NumberedBox,
  x: number,
  y: number,
  em: number,
): string {
  const beside = x + textWidth(`${number}`, { sizePx: 0.85 * em, bold: true }) + 0.9 * em;
  return text(measured, beside, y + 0.95 * em, { sizePx: 0.85 * em, fill: ink.plain });
}

/** What a detail shows, in pixels of the flats, and how many times as large each of them is. */
function detailOf(
  { xMm, yMm, widthMm, heightMm }: Place,
  side: number,
  plan: ReportPlan,
  pixels: FlatsPixels,
) {
  const { crop, flatsPpi, words } = plan;
  const trim = trimBoxPx(crop, words.spec, flatsPpi);
  const px = (mm: number) => Math.round(mmToPx(mm, flatsPpi));
  const [left, top] = [crop.left + trim.left + px(xMm), crop.top + trim.top + px(yMm)];
  const area = { left, top, width: px(widthMm), height: px(heightMm) };
  const wanted = Math.max(area.width, area.height) + 2 * aroundPx;
  const times = Math.floor(side / Math.min(mostDetailPx, wanted, side));
  const size = Math.floor(side / times);
  const corner = busiestCorner(pixels, area, size);
  return { from: { left: corner.left, top: corner.top, width: size, height: size }, times };
}
