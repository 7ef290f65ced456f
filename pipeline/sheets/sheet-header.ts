import { ink, line, text } from './drawing.js';
import { type PageMark, pageMarks } from './marks.js';
import { proofCaution } from './proof-slug.js';
import type { ContactSheet } from './sheet-cells.js';
import type { SheetLayout } from './sheet-layout.js';
import { fitText, textWidth } from './type.js';

/** What stands above and below the pages of a contact sheet. */

const months = [
  'January',
  'February',
  'March',
  'April',
  'May',
  'June',
  'July',
  'August',
  'September',
  'October',
  'November',
  'December',
] as const;

/** `2031-03-14T17:00:00+01:00` as people read it, in the zone it was given in; anything else as it stands. */
export function dueInWords(due: string): string {
  const parts = /^(\d{4})-(\d\d)-(\d\d)(?:T(\d\d:\d\d)(?::\d\d(?:\.\d+)?)?(Z|[+-]\d\d:?\d\d)?)?$/.exec(due);
  const month = months[Number(parts?.[2]) - 1];
  if (parts === null || month === undefined) return `due ${due}`;
  const [, year, , day, clock, zone] = parts;
  const zoneWords = zone === undefined ? '' : zone === 'Z' ? ' UTC' : ` UTC${zone}`;
  return `due ${Number(day)} ${month} ${year}${clock === undefined ? '' : `, ${clock}${zoneWords}`}`;
}

/** Issue, title, number, condition and due date, and how many pages are in which state. */
export function drawHeader(sheet: ContactSheet, layout: SheetLayout): string[] {
  const { unit, margin } = layout;
  const right = layout.width - margin;
  const small = { sizePx: 17 * unit, fill: ink.plain };
  const due = sheet.due === undefined ? '' : dueInWords(sheet.due);
  const half = (right - margin) / 2 - 10 * unit;
  const dueWidth = Math.min(textWidth(due, { ...small, bold: true }), half);
  const y = margin + 12 * unit;
  return [
    text(`${sheet.issue} \u00b7 ${sheet.name ?? 'contact sheet'}`, margin, y, {
      ...small,
      fill: ink.quiet,
      maxWidthPx: right - margin - dueWidth - 20 * unit,
    }),
    text(due, right, y, { ...small, bold: true, fill: ink.strong, anchor: 'end', maxWidthPx: half }),
    ...drawTitle(sheet, layout, y + 54 * unit),
    text(sheet.condition, margin, y + 92 * unit, { ...small, maxWidthPx: half }),
    text(sheet.summary, right, y + 92 * unit, { ...small, anchor: 'end', maxWidthPx: half }),
    line(`M${margin} ${y + 112 * unit}H${right}`, { stroke: ink.rule, width: Math.max(1, unit) }),
    ...drawCounts(sheet, layout, y + 142 * unit),
  ];
}

function drawTitle(sheet: ContactSheet, layout: SheetLayout, y: number): string[] {
  const { unit, margin } = layout;
  const number = sheet.number === undefined ? '' : `no. ${sheet.number}`;
  const look = { sizePx: 44 * unit, bold: true, fill: ink.strong };
  const numberLook = { sizePx: 44 * unit, fill: ink.quiet };
  const room = layout.width - 2 * margin - textWidth(number, numberLook) - 20 * unit;
  const title = fitText(sheet.title, room, look);
  const numberX = title === '' ? margin : margin + textWidth(title, look) + 18 * unit;
  return [text(title, margin, y, look), text(number, numberX, y, numberLook)];
}

/** These are always told, even when there is none; the other states only when there are some. */
const alwaysCounted: ReadonlySet<PageMark> = new Set<PageMark>(['done', 'stopped', 'missing', 'held']);

function drawCounts(sheet: ContactSheet, layout: SheetLayout, y: number): string[] {
  const { unit, margin } = layout;
  const shapes: string[] = [];
  let x = margin;
  for (const state of Object.keys(pageMarks) as PageMark[]) {
    const count = sheet.pages.filter((page) => page.state === state).length;
    if (count === 0 && !alwaysCounted.has(state)) continue;
    const mark = pageMarks[state];
    const colour = count === 0 ? '#8f8f8f' : mark.colour;
    const look = { sizePx: 17 * unit, bold: count > 0, fill: colour };
    const words = `${count} ${mark.word}`;
    shapes.push(
      mark.shape(x + 8 * unit, y - 6.2 * unit, 15 * unit, colour),
      text(words, x + 24 * unit, y, look),
    );
    x += 24 * unit + textWidth(words, look) + 30 * unit;
  }
  const spreads = sheet.pages.some((page) => page.isSpread) ? '; a spread counts once' : '';
  const total = `${sheet.pages.length} in the page list${spreads}`;
  const right = layout.width - margin;
  const look = {
    sizePx: 15 * unit,
    fill: ink.quiet,
    anchor: 'end' as const,
    maxWidthPx: Math.max(0, right - x),
  };
  return [...shapes, text(total, right, y, look)];
}

/** The headings over covers and pages, where there are both. */
export function drawHeadings(sheet: ContactSheet, layout: SheetLayout): string[] {
  const unnumbered = sheet.pages.filter((page) => page.numbers.length === 0);
  const isAllCovers = unnumbered.every((page) => page.kind === 'cover');
  const heading = (words: string, y: number | undefined): string =>
    y === undefined ? '' : text(words, layout.margin, y, { sizePx: 20 * layout.unit, fill: ink.quiet });
  return [
    heading(isAllCovers ? 'Covers' : 'Covers and pages without number', layout.coversY),
    heading('Pages, as the book opens', layout.pagesY),
  ];
}

export function drawFooter(layout: SheetLayout): string[] {
  const { unit, margin, footerY } = layout;
  const [head, rest] = proofCaution;
  const bold = { sizePx: 15 * unit, bold: true, fill: ink.strong };
  const x = margin + textWidth(head, bold) + 12 * unit;
  return [
    line(`M${margin} ${footerY - 26 * unit}H${layout.width - margin}`, {
      stroke: ink.rule,
      width: Math.max(1, unit),
    }),
    text(head, margin, footerY, bold),
    text(rest, x, footerY, { sizePx: 15 * unit, maxWidthPx: layout.width - margin - x }),
  ];
}
