import type { Hex } from './colour.js';
import { boundsOf, box, type Knot, type Outline, shape } from './geometry.js';
import type { Sheet } from './sheet.js';

/** Size of an interior page with bleed, in page units: 6.875 x 10.5 in. */
export const pageWidth = 687.5;
export const pageHeight = 1050;

export interface Panel {
  readonly frame: Outline;
  readonly x0: number;
  readonly y0: number;
  readonly x1: number;
  readonly y1: number;
}

export function panel(x0: number, y0: number, x1: number, y1: number): Panel {
  return { frame: box(x0, y0, x1 - x0, y1 - y0), x0, y0, x1, y1 };
}

/** A panel with leaning sides, from its four corners. */
export function leaning(corners: readonly Knot[]): Panel {
  const frame = shape(corners.map(([x, y]) => [x, y, 1] as const));
  return { frame, ...boundsOf(frame) };
}

/** Draws a panel's picture inside its frame, then the frame, ruled by hand. */
export function drawPanel(
  sheet: Sheet,
  at: Panel,
  ground: Hex,
  draw: (panel: Panel) => void,
  border = 3.2,
): void {
  sheet.form(at.frame, { fill: ground, ink: 0 });
  sheet.within(at.frame, () => draw(at));
  if (border > 0) sheet.contour(at.frame, border);
}

/** A small panel set into a large one, with a slip of paper around it. */
export function drawInset(
  sheet: Sheet,
  at: Panel,
  ground: Hex,
  draw: (panel: Panel) => void,
  rim: Hex = '#ffffff',
): void {
  sheet.form(box(at.x0 - 6, at.y0 - 6, at.x1 - at.x0 + 12, at.y1 - at.y0 + 12), { fill: rim, ink: 0 });
  drawPanel(sheet, at, ground, draw);
}
