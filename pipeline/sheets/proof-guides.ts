import { box, fill, ground, ink, line, text } from './drawing.js';
import { textWidth } from './type.js';

/** The lines that are drawn over a page on its proof, and the legend that says what they mean. */

/** Lies over the bleed, so that the eye sees the cut page first; the art beneath can still be judged. */
export const veil = {
  colour: `rgb(${ground.proof},${ground.proof},${ground.proof})`,
  opacity: 0.42,
} as const;

/** The dark line runs just outside the trim and the light one outside that: no pixel of the cut page is covered. */
export function trimLine(dark: string, light: string, hair: number): string {
  return (
    line(light, { stroke: '#ffffff', width: hair, opacity: 0.8 }) +
    line(dark, { stroke: '#000000', width: hair, opacity: 0.8 })
  );
}

/** Dark and light dashes by turns. */
export function safeLine(data: string, hair: number): string {
  const dash = [5 * hair, 5 * hair];
  return (
    line(data, { stroke: '#000000', width: hair, opacity: 0.6, dash }) +
    line(data, { stroke: '#ffffff', width: hair, opacity: 0.7, dash, dashOffset: 5 * hair })
  );
}

/** Long dark and short light dashes by turns. */
export function foldLine(data: string, hair: number): string {
  return (
    line(data, { stroke: '#000000', width: hair, opacity: 0.5, dash: [16 * hair, 6 * hair] }) +
    line(data, {
      stroke: '#ffffff',
      width: hair,
      opacity: 0.8,
      dash: [6 * hair, 16 * hair],
      dashOffset: 6 * hair,
    })
  );
}

/** A piece of art beneath the veil. */
export function veilSample(x: number, y: number, em: number): string {
  return (
    fill(box(x, y - 0.72 * em, 2.4 * em, 0.8 * em), '#8c8c8c') +
    fill(box(x, y - 0.72 * em, 2.4 * em, 0.8 * em), veil.colour, veil.opacity)
  );
}

/** An ink that a page prints in beside the process inks. */
export interface LegendInk {
  /** Its name, and what it does to what is beneath it. */
  readonly words: string;
  /** What stands for it: red, green and blue, 0 to 255. */
  readonly rgb: readonly [number, number, number];
}

/** A patch of an ink, framed: a varnish is hardly seen. */
export function inkSample(rgb: LegendInk['rgb'], x: number, y: number, em: number): string {
  const patch = box(x, y - 0.72 * em, 2.4 * em, 0.8 * em);
  return fill(patch, `rgb(${rgb.join(',')})`) + line(patch, { stroke: ink.quiet, width: em / 12 });
}

/** Of the legend's lines, in heights of the slug's text. */
export const legendPitch = 1.4;

/** Something that is drawn around the page, and what it means. */
export interface LegendEntry {
  readonly words: string;
  /** Draws a sample of it that begins there; `y` is the baseline of its words. */
  readonly draw: (x: number, y: number) => string;
}

/** Above the page, side by side as far as they fit. */
export interface Legend {
  readonly placed: readonly { readonly entry: LegendEntry; readonly x: number; readonly row: number }[];
  readonly rows: number;
}

const legendType = (em: number) => ({ sizePx: 0.86 * em, fill: ink.quiet });

/** Finds a place for each entry between two edges, in pixels; what does not fit beside the others stands below. */
export function planLegend(entries: readonly LegendEntry[], left: number, right: number, em: number): Legend {
  let [x, row] = [left, 0];
  const placed = entries.map((entry) => {
    const room = 3 * em + textWidth(entry.words, legendType(em));
    if (x > left && x + room > right) [x, row] = [left, row + 1];
    const at = { entry, x, row };
    x += room + 1.8 * em;
    return at;
  });
  return { placed, rows: row + 1 };
}

/** @param em height of the slug's text, in pixels */
export function drawLegend({ placed }: Legend, em: number): string {
  return placed
    .map(({ entry, x, row }) => {
      const y = (1.9 + legendPitch * row) * em;
      return entry.draw(x, y) + text(entry.words, x + 3 * em, y, legendType(em));
    })
    .join('');
}
