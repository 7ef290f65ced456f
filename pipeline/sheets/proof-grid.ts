import type { SizeMm } from '../../config/units.js';
import { columnLetter, noteGrid } from '../model/note-grid.js';
import { ink, line, type PxBox, text } from './drawing.js';

/** The grid by which editors name places, at the edge of a proof: outside the bleed, never over the art. */

/** What it is drawn around, in pixels of the proof. */
export interface GridEdges {
  /** Trim plus bleed. */
  readonly page: PxBox;
  readonly trim: PxBox;
  /** Height of the slug's text. */
  readonly em: number;
  /** Width of guide lines. */
  readonly hair: number;
}

/** In heights of the text: ticks begin at the bleed, letters stand clear of them, so that no tick is taken for an I. */
const tick = 0.45;
const gap = 0.75;

/** Letters above and below the page, numbers at both sides, ticks between: a ruler finds a cell from any edge. */
export function drawGridEdges({ page, trim, em, hair }: GridEdges, size: SizeMm): string {
  const { columns, rows } = noteGrid(size);
  const sizePx = Math.min(0.8 * em, (0.8 * trim.width) / columns, (0.8 * trim.height) / rows);
  const right = page.left + page.width;
  const bottom = page.top + page.height;
  const across = (column: number) => trim.left + (column * trim.width) / columns;
  const down = (row: number) => trim.top + (row * trim.height) / rows;
  const upright = inner(columns).map((column) => {
    const x = across(column);
    return `M${x} ${page.top}v${-tick * em}M${x} ${bottom}v${tick * em}`;
  });
  const flat = inner(rows).map((row) => {
    const y = down(row);
    return `M${page.left} ${y}h${-tick * em}M${right} ${y}h${tick * em}`;
  });
  const middle = { sizePx, fill: ink.plain, anchor: 'middle' } as const;
  const letters = Array.from({ length: columns }, (_, column) => {
    const x = across(column + 0.5);
    const letter = columnLetter(column);
    return (
      text(letter, x, page.top - gap * em, middle) +
      text(letter, x, bottom + gap * em + capitals * sizePx, middle)
    );
  });
  const numbers = Array.from({ length: rows }, (_, row) => {
    const y = down(row + 0.5) + (capitals / 2) * sizePx;
    const number = String(row + 1);
    const side = text(number, page.left - gap * em, y, { ...middle, anchor: 'end' });
    return side + text(number, right + gap * em, y, { ...middle, anchor: 'start' });
  });
  const ticks = line([...upright, ...flat].join(''), { stroke: ink.quiet, width: hair });
  return [ticks, ...letters, ...numbers].join('');
}

/** Height of capitals and figures in the packaged font, of its em square. */
const capitals = 0.73;

/** Lines between cells; those at the trim have corner marks. */
function inner(cells: number): number[] {
  return Array.from({ length: cells - 1 }, (_, at) => at + 1);
}
