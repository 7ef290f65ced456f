import type { SizePx } from '../../config/units.js';

/** Where a plate is moved to: one of eight directions. */
export interface Move {
  /** How far to the right and down, in pixels and parts of a pixel. */
  readonly right: number;
  readonly down: number;
  /** The nearest whole pixel in that direction, at least one. */
  readonly dx: number;
  readonly dy: number;
}

/** To the right, down and right, down, down and left; the other four are opposite. */
const directions = [
  [1, 0],
  [Math.SQRT1_2, Math.SQRT1_2],
  [0, 1],
  [-Math.SQRT1_2, Math.SQRT1_2],
] as const;

/** Four moves by so many pixels, one of each opposite pair. */
export function movesBy(shiftPx: number): Move[] {
  const whole = (part: number) => Math.sign(part) * Math.max(1, Math.round(Math.abs(part) * shiftPx));
  return directions.map(([right, down]) => ({
    right: right * shiftPx,
    down: down * shiftPx,
    dx: right === 0 ? 0 : whole(right),
    dy: down === 0 ? 0 : whole(down),
  }));
}

/**
 * A plate at a place between its pixels: linear, over the four around it; beyond its edge it goes on as it ends. A plate that is moved
 * by less than a pixel, or by one and a part, covers its pixels in that measure.
 */
export function inkAt(plane: Uint8Array, { width, height }: SizePx, x: number, y: number): number {
  const [left, top] = [Math.floor(x), Math.floor(y)];
  const [right, down] = [x - left, y - top];
  const [x0, x1] = [within(left, width), within(left + 1, width)];
  const [y0, y1] = [within(top, height) * width, within(top + 1, height) * width];
  const above = plane[y0 + x0] * (1 - right) + plane[y0 + x1] * right;
  const below = plane[y1 + x0] * (1 - right) + plane[y1 + x1] * right;
  return above * (1 - down) + below * down;
}

function within(at: number, length: number): number {
  return at < 0 ? 0 : at >= length ? length - 1 : at;
}

/** A whole plate, or a part of one, moved: what prints at each pixel came from where the move began. */
export function movedPlane(plane: Uint8Array, size: SizePx, right: number, down: number): Uint8Array {
  const moved = new Uint8Array(plane.length);
  for (let y = 0, at = 0; y < size.height; y++) {
    for (let x = 0; x < size.width; x++) moved[at++] = Math.round(inkAt(plane, size, x - right, y - down));
  }
  return moved;
}
