import type { Raster } from '../model/raster.js';
import type { PageOnSheet, SheetHeading } from '../model/sheet-request.js';
import type { PxBox } from './drawing.js';
import { box, fill, ink, line, text } from './drawing.js';
import { type PageMark, pageMarks } from './marks.js';
import { type ChangedPage, drawChange } from './sheet-changes.js';
import type { SheetCell } from './sheet-layout.js';
import { textWidth, wrapText } from './type.js';

/** One page of the page list as the contact sheet shows it. */
export interface SheetPage extends PageOnSheet {
  /**
   * The page cut to its trim, rgb, 8 bit, or how to come by it; undefined shows a blank. Missing, contested and held pages are always
   * blank.
   */
  readonly thumbnail: Raster | (() => Promise<Raster>) | undefined;
}

export interface ContactSheet extends SheetHeading {
  /** In reading order. */
  readonly pages: readonly SheetPage[];
}

/** A page on the sheet with the room it got. */
export interface PlacedPage extends ChangedPage {
  readonly page: SheetPage;
  readonly cell: SheetCell;
  /** What stands under it, if anything. */
  readonly note: string | undefined;
}

/** One page on a contact sheet: the edge of its paper, its blank if there is no picture, its number and state below. */

/**
 * @param unit the sheet's measure, see SheetLayout
 * @param index the cell's place on the sheet, which keeps the names of its clip shapes apart
 */
export function drawCell(placed: PlacedPage, unit: number, index: number): string {
  const { cell, picture } = placed;
  const paper =
    picture === undefined ? drawBlank(placed, unit, index) : drawEdge(picture, unit, cell.side === 'right');
  const fold = cell.side === 'across' ? drawFoldTicks(cell.box, unit) : '';
  return paper + drawChange(placed, unit) + fold + drawLabel(placed, unit) + drawNote(placed, unit);
}

/**
 * A hairline around the picture and a soft shade below it, so that light pages end somewhere; a right-hand page also
 * gets a light line at the fold, so that two night pages stay two.
 */
function drawEdge(picture: PxBox, unit: number, isRight: boolean): string {
  const { left, top, width, height } = picture;
  const hair = Math.max(1, Math.round(unit));
  const shade = [1, 2, 3].map((step) =>
    fill(box(left + step * hair, top + height, width - step * hair, step * hair), '#000000', 0.07),
  );
  const edge = line(box(left + 0.5, top + 0.5, width - 1, height - 1), { stroke: '#000000', opacity: 0.35 });
  const fold = isRight ? line(`M${left + 0.5} ${top}v${height}`, { stroke: '#ffffff', opacity: 0.5 }) : '';
  return shade.join('') + edge + fold;
}

/** Where a spread folds: above and below it only, for the art must stay whole. */
function drawFoldTicks(area: PxBox, unit: number): string {
  const x = area.left + Math.round(area.width / 2) - 0.5;
  const length = 6 * unit;
  return line(`M${x} ${area.top - length}v${length - 1}M${x} ${area.top + area.height + 1}v${length}`, {
    stroke: ink.strong,
    width: Math.max(1, unit),
  });
}

/** Straight lines across a box, `pitch` pixels apart, leaning by `lean` (run over rise; 0 is level). */
function hatch(area: PxBox, pitch: number, lean: 1 | -1 | 0): string {
  const { left, top, width, height } = area;
  let data = '';
  if (lean === 0) {
    for (let y = top + pitch; y < top + height; y += pitch) data += `M${left} ${y}h${width}`;
    return data;
  }
  for (let x = left - height + pitch; x < left + width; x += pitch) {
    data += lean === 1 ? `M${x} ${top + height}l${height} ${-height}` : `M${x} ${top}l${height} ${height}`;
  }
  return data;
}

/** Each state has its own hatch, so that blanks are told apart without reading and without colour. */
const hatches: Readonly<Record<PageMark, (area: PxBox, unit: number) => string>> = {
  ready: () => '',
  waiting: (area, unit) => hatch(area, 22 * unit, -1),
  missing: (area, unit) => hatch(area, 22 * unit, 1),
  contested: (area, unit) => hatch(area, 18 * unit, 1) + hatch(area, 18 * unit, -1),
  held: (area, unit) => hatch(area, 13 * unit, 0),
  stopped: (area, unit) => hatch(area, 9 * unit, -1),
  attention: () => '',
  done: () => '',
};

/** White paper with a dashed edge, the state's hatch, and a label with the reason in words. */
function drawBlank(placed: PlacedPage, unit: number, index: number): string {
  const { page, cell } = placed;
  const { left, top, width, height } = cell.box;
  const hair = Math.max(1, unit);
  const clip = `<clipPath id="blank${index}"><path d="${box(left, top, width, height)}"/></clipPath>`;
  const lines = line(hatches[page.state](cell.box, unit), { stroke: '#b4b4b4', width: hair });
  return (
    fill(box(left, top, width, height), ink.paper) +
    `${clip}<g clip-path="url(#blank${index})">${lines}</g>` +
    line(box(left + 0.5, top + 0.5, width - 1, height - 1), {
      stroke: '#8a8a8a',
      width: hair,
      dash: [6 * unit, 4 * unit],
    }) +
    drawBlankLabel(placed, unit)
  );
}

function drawBlankLabel(placed: PlacedPage, unit: number): string {
  const { page, cell } = placed;
  const mark = pageMarks[page.state];
  const span = labelSpan(placed);
  const room = Math.min(span.right - span.left - 24 * unit, 300 * unit);
  const words = { sizePx: 17 * unit, bold: true, fill: mark.colour };
  const small = { sizePx: 13 * unit, fill: ink.plain };
  const why = page.note ?? (page.thumbnail === undefined ? 'no picture' : '');
  const lines = Math.min(5, Math.floor((cell.box.height / unit - 50) / 18));
  const reason = lines < 1 ? [] : wrapText(why, room - 24 * unit, lines, small);
  const height = (38 + 18 * reason.length + (reason.length > 0 ? 6 : 0)) * unit;
  const middle = (span.left + span.right) / 2;
  const top = cell.box.top + Math.max(2, cell.box.height * 0.42 - height / 2);
  const wordWidth = textWidth(mark.word, words);
  const start = middle - (wordWidth + 22 * unit) / 2;
  const plate = box(middle - room / 2, top, room, height);
  return [
    fill(plate, ink.paper) + line(plate, { stroke: '#c8c8c8', width: Math.max(1, unit) }),
    mark.shape(start + 7 * unit, top + 19.5 * unit, 15 * unit, mark.colour),
    text(mark.word, start + 22 * unit, top + 25.5 * unit, words),
    ...reason.map((each, row) =>
      text(each, middle, top + (47 + 18 * row) * unit, { ...small, anchor: 'middle' }),
    ),
  ].join('');
}

/** What the words under a page keep to: the page, or its slot where the page is too narrow for words. */
function labelSpan(placed: PlacedPage): { left: number; right: number } {
  const { box: page, slot } = placed.cell;
  const span = page.width >= 0.6 * slot.width ? page : slot;
  return { left: span.left, right: span.left + span.width };
}

/** Page numbers at the outer edges, as folios stand in a book, and the state towards the fold. */
function drawLabel(placed: PlacedPage, unit: number): string {
  const { page, cell } = placed;
  const { left, right } = labelSpan(placed);
  const y = cell.slot.top + cell.slot.height + 23 * unit;
  const folio = { sizePx: 18 * unit, bold: true, fill: ink.strong, maxWidthPx: (right - left) * 0.6 };
  const mark = pageMarks[page.state];
  const word = { sizePx: 13.5 * unit, fill: mark.colour };
  const stateWidth = 18 * unit + textWidth(mark.word, word);
  const state = (x: number): string =>
    mark.shape(x + 6 * unit, y - 5 * unit, 12 * unit, mark.colour) +
    text(mark.word, x + 18 * unit, y - 0.5 * unit, word);
  const inset = 10 * unit;
  switch (cell.side) {
    case 'left':
      return text(page.label, left, y, folio) + state(right - stateWidth - inset);
    case 'right':
      return text(page.label, right, y, { ...folio, anchor: 'end' }) + state(left + inset);
    case 'apart':
      return (
        drawCoverName(placed, { left, right: right - stateWidth - 8 * unit, y }, folio) +
        state(right - stateWidth)
      );
    case 'across':
      return drawSpreadFolios(placed, { left, right, y }, folio) + state((left + right - stateWidth) / 2);
  }
}

/** Covers have names instead of numbers; a name that is a little too long is set smaller before it is cut. */
function drawCoverName(
  placed: PlacedPage,
  span: { left: number; right: number; y: number },
  look: { sizePx: number; bold: boolean; fill: string },
): string {
  const room = Math.max(0, span.right - span.left);
  const shrink = Math.min(1, Math.max(0.7, room / Math.max(1, textWidth(placed.page.label, look))));
  return text(placed.page.label, span.left, span.y, {
    ...look,
    sizePx: look.sizePx * shrink,
    maxWidthPx: room,
  });
}

/** A spread shows both its numbers, each at its own outer edge. */
function drawSpreadFolios(
  placed: PlacedPage,
  span: { left: number; right: number; y: number },
  look: { sizePx: number; bold: boolean; fill: string },
): string {
  const { page } = placed;
  const [first, last] = [page.numbers[0], page.numbers.at(-1)];
  if (first === undefined || last === undefined || first === last)
    return text(page.label, span.left, span.y, look);
  return (
    text(String(first), span.left, span.y, look) +
    text(String(last), span.right, span.y, { ...look, anchor: 'end' })
  );
}

function drawNote(placed: PlacedPage, unit: number): string {
  const { cell, note } = placed;
  if (note === undefined) return '';
  const { left, right } = labelSpan(placed);
  const look = { sizePx: 12.5 * unit, fill: ink.plain };
  const x = cell.side === 'right' ? left + 10 * unit : left;
  const y = cell.slot.top + cell.slot.height + 44 * unit;
  return wrapText(note, right - left - 10 * unit, 2, look)
    .map((each, row) => text(each, x, y + 16.5 * row * unit, look))
    .join('');
}
