import type { PageArena } from '../kernels/page-arena.js';
import { type Canvas, drawWithin } from './drawing.js';

/** A pixel as it is drawn, and as it is handed over. */
const drawnBytes = 8;

/** Pixels of a drawing that is made at once: a contact sheet of 100 pages. */
const mostDrawnPixels = 8_400_000;

/** Shapes of which it is known that they stay within some rows of the canvas. */
export interface RowShapes {
  readonly shapes: string;
  /** First row that they may touch, and the first below them. */
  readonly top: number;
  readonly bottom: number;
}

/**
 * Lays shapes over a whole canvas, in place; untouched pixels stay exact.
 * @param shapes where it is known which rows they touch, a large canvas takes them for these rows only: the outlines of a thousand notes
 * are hundreds of megabytes while they are drawn
 */
export async function drawOver(
  canvas: Canvas,
  shapes: readonly (string | RowShapes)[],
  arena: PageArena,
): Promise<void> {
  const { width, height } = canvas;
  // A drawing has four bytes a pixel beside the canvas's three: a large one is made in parts.
  const rows = width * height <= mostDrawnPixels ? height : Math.ceil(mostDrawnPixels / width);
  for (let top = 0; top < height; top += rows) {
    const window = { left: 0, top, width, height: Math.min(rows, height - top) };
    const touching = shapes.flatMap((one) => {
      if (typeof one === 'string') return [one];
      return one.top < top + window.height && one.bottom > top ? [one.shapes] : [];
    });
    await drawWithin(canvas, [{ shapes: touching, window }], arena);
    if (rows < height) await arena.reclaim.pictures(width * rows * drawnBytes);
  }
}
