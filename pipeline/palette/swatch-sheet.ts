import type { PageArena } from '../kernels/page-arena.js';
import type { Raster } from '../model/raster.js';
import { drawOver, type RowShapes } from '../sheets/draw-over.js';
import { box, canvasOf, fill, ground, ink, line, text } from '../sheets/drawing.js';
import { severityMarks } from '../sheets/marks.js';
import { proofCaution } from '../sheets/proof-slug.js';
import { textWidth } from '../sheets/type.js';
import { hexOfRgb, type Rgb } from './oklab.js';
import { layOutSwatches, type SwatchCell, type SwatchLayout, swatchMeasures } from './swatch-layout.js';
import type { PrintedColour, PrintedSwatch } from './swatch-print.js';

/** What a swatch sheet says over its swatches. */
export interface SwatchSheet {
  /** Issue code, and title. */
  readonly issue: string;
  readonly title: string;
  /** The press condition, as people call it, with its ink limit and rendering intent. */
  readonly condition: string;
  /** From here on a colour counts as out of gamut, CIEDE2000. */
  readonly outOfGamutDe: number;
}

const { margin, cellWidth, cellHeight } = swatchMeasures;

/** Of a cell, in pixels. Our own design. */
const patch = { width: 112, height: 112, nearest: 72, gap: 10 } as const;
const wordsLeft = 2 * patch.width + patch.gap + patch.nearest + 20;

/**
 * Swatches as one press condition prints them: screen beside print, figures, and what prints nearest where that is another colour.
 * @returns rgb, 8 bit, allocated in the arena; the same input gives the same bytes
 */
export async function drawSwatchSheet(
  sheet: SwatchSheet,
  printed: readonly PrintedSwatch[],
  arena: PageArena,
): Promise<Raster> {
  const layout = layOutSwatches(printed.map(({ swatch }) => swatch));
  const canvas = canvasOf(layout.width, layout.height, ground.sheet, arena);
  const cells = layout.cells.map((cell): RowShapes => {
    const shapes = drawCell(cell, printed[cell.index], sheet).join('');
    return { shapes, top: cell.top, bottom: cell.top + cellHeight };
  });
  const headings = layout.headings.map(({ words, left, baseline }) =>
    text(words, left, baseline, { sizePx: 22, bold: true, fill: ink.strong, maxWidthPx: cellWidth }),
  );
  await drawOver(canvas, [...drawHeader(sheet, layout), ...headings, ...cells, drawFooter(layout)], arena);
  return canvas;
}

function drawHeader(sheet: SwatchSheet, { width }: SwatchLayout): string[] {
  const room = width - 2 * margin;
  const small = { sizePx: 17, fill: ink.quiet, maxWidthPx: room };
  const key =
    'left: as painted, on a screen · right: as it prints · narrow: what prints nearest, where that is another colour';
  return [
    text(`${sheet.issue} · swatches`, margin, margin + 14, small),
    text(sheet.title, margin, margin + 60, {
      sizePx: 38,
      bold: true,
      fill: ink.strong,
      maxWidthPx: room,
    }),
    text(sheet.condition, margin, margin + 94, { ...small, fill: ink.plain }),
    text(key, margin, margin + 122, { ...small, sizePx: 14 }),
    line(`M${margin} ${margin + 140}H${width - margin}`, { stroke: ink.rule }),
  ];
}

function drawFooter({ width, height }: SwatchLayout): string {
  const look = { sizePx: 14, fill: ink.plain, maxWidthPx: width - 2 * margin };
  const lab = 'Lab: CIE L*a*b* (D50), print relative to its paper · shift: CIEDE2000 from what is wanted';
  return [
    text(lab, margin, height - margin - 20, { ...look, fill: ink.quiet }),
    text(proofCaution.join(': '), margin, height - margin + 4, { ...look, bold: true }),
  ].join('');
}

function drawCell({ left, top }: SwatchCell, printed: PrintedSwatch, sheet: SwatchSheet): string[] {
  const { screen, print, nearest } = printed;
  const right = left + 2 * patch.width + patch.gap;
  const patches = [
    filled(left, top, patch.width, screen.rgb),
    filled(left + patch.width, top, patch.width, print.shown),
    ...(nearest === undefined ? [] : [filled(right, top, patch.nearest, nearest.shown)]),
  ];
  const labelled = (words: string, x: number, maxWidthPx: number) =>
    text(words, x, top + patch.height + 16, { sizePx: 12, fill: ink.quiet, maxWidthPx });
  return [
    ...patches,
    labelled('screen', left, patch.width),
    labelled('print', left + patch.width, patch.width),
    nearest === undefined ? '' : labelled('nearest', right, patch.nearest),
    ...drawWords(left + wordsLeft, top, printed, sheet),
  ];
}

function filled(x: number, y: number, width: number, colour: Rgb): string {
  return fill(box(x, y, width, patch.height), hexOfRgb(colour));
}

/** Figures to a tenth; Lab as `64.8, 19.0, 25.8`, without a negative nought. */
const tenth = (value: number) => (Math.round(value * 10) / 10 + 0).toFixed(1);
const labWords = (lab: readonly number[]) => `Lab ${lab.map(tenth).join(', ')}`;

/** `C 25 M 48 Y 57 K 0`, whole percents. */
export function inkWords({ inksPercent }: Pick<PrintedColour, 'inksPercent'>): string {
  return inksPercent.map((percent, ink) => `${'CMYK'[ink]} ${Math.round(percent)}`).join(' ');
}

/** A screen that comes as near as this shows the colour itself, CIEDE2000: half of what is just seen. Own choice. */
const shownDe = 0.5;

function drawWords(x: number, top: number, printed: PrintedSwatch, sheet: SwatchSheet): string[] {
  const { swatch, screen, print, nearest } = printed;
  const maxWidthPx = cellWidth - wordsLeft;
  const plain = { sizePx: 14, fill: ink.plain, maxWidthPx };
  const isShown = screen.missedDe <= shownDe;
  const wanted = isShown
    ? `screen ${hexOfRgb(screen.rgb)} · ${labWords(screen.lab)}`
    : `wanted ${labWords(screen.lab)} · nearest on screen ${hexOfRgb(screen.rgb)}`;
  const shift = `shift ${tenth(print.shiftDe)}`;
  const bold = { ...plain, bold: true, fill: ink.strong };
  return [
    text(swatch.name, x, top + 17, { ...bold, sizePx: 18 }),
    text(wanted, x, top + 42, plain),
    text(`print ${inkWords(print)} · ${labWords(print.lab)}`, x, top + 64, plain),
    text(shift, x, top + 88, bold),
    ...drawGamut(x + textWidth(shift, bold) + 26, top + 88, printed, sheet),
    text(nearestWords(nearest), x, top + 111, {
      ...plain,
      fill: nearest === undefined ? ink.quiet : ink.plain,
    }),
  ];
}

function nearestWords(nearest: PrintedColour | undefined): string {
  if (nearest === undefined) return 'nothing prints clearly nearer';
  return `nearest: paint ${hexOfRgb(nearest.rgb)}, ${inkWords(nearest)}, shift ${tenth(nearest.shiftDe)}`;
}

function drawGamut(x: number, y: number, printed: PrintedSwatch, sheet: SwatchSheet): string[] {
  const trouble = gamutTrouble(printed, sheet);
  const isOut = trouble !== undefined;
  const isFar = !isOut && sheet.outOfGamutDe > 0 && printed.print.shiftDe > sheet.outOfGamutDe;
  const mark = severityMarks[isOut ? 'warn' : isFar ? 'note' : 'none'];
  return [
    mark.shape(x, y - 5, 14, mark.colour),
    text(trouble ?? (isFar ? lessDeep : 'in gamut'), x + 14, y, {
      sizePx: 14,
      bold: isOut,
      fill: isOut ? mark.colour : ink.quiet,
    }),
  ];
}

/** A colour may be in gamut and still shift: paper and black of the press lie closer together than those of a screen. */
const lessDeep = 'in gamut, less deep: paper and black hold less contrast';

/** What keeps a swatch from being seen as it is wanted; undefined for nothing. */
function gamutTrouble(
  { missedDe, screen }: PrintedSwatch,
  { outOfGamutDe }: SwatchSheet,
): string | undefined {
  if (outOfGamutDe > 0 && missedDe > outOfGamutDe)
    return `out of gamut: the press misses it by ${tenth(missedDe)}`;
  if (outOfGamutDe > 0 && screen.missedDe > outOfGamutDe)
    return `no screen shows it: ${tenth(screen.missedDe)} off`;
  return undefined;
}
