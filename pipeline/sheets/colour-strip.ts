import type { StripColour } from '../model/sheet-request.js';
import { box, fill, type PxBox } from './drawing.js';

/**
 * Colours beside or beneath each other by their shares, without a gap: a palette as a strip, or as the band of a page. Every pixel belongs
 * to one of them, and what is too little for a pixel is left out.
 * @param way `down` beneath each other, `right` beside each other
 */
export function drawStrip(colours: readonly StripColour[], area: PxBox, way: 'down' | 'right'): string {
  const { left, top, width, height } = area;
  const whole = colours.reduce((sum, { sharePercent }) => sum + sharePercent, 0);
  const room = way === 'down' ? height : width;
  let before = 0;
  const shapes = colours.map(({ colour, sharePercent }) => {
    const start = Math.round((before / whole) * room);
    before += sharePercent;
    const length = Math.round((before / whole) * room) - start;
    if (length === 0) return '';
    return fill(
      way === 'down' ? box(left, top + start, width, length) : box(left + start, top, length, height),
      colour,
    );
  });
  return shapes.join('');
}
