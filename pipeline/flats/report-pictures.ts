import type { PixelBox, SizePx } from '../../config/units.js';
import { type Bitmap, isSet } from '../model/raster.js';
import { type FlatsPixels, keyAt, transparentKey, whiteKey } from './flats-pixels.js';

/** What a helper is shown of flats: the whole of them, pale, and places of them pixel by pixel. */

/** A picture in rgb, 8 bit: width x height x 3. */
export interface Shown extends SizePx {
  readonly data: Uint8Array;
}

/** How much of a colour's depth is left where boxes lie over it. Own choice. */
const paleShare = 0.5;

/** How dark the line is laid over flats: 0 black to 1 not at all. */
const inkOverPale = 0.72;
const inkOverDetail = 0.6;

/** Samples along each side of what a pixel of the smaller picture stands for. */
const samplesAcross = 3;

/** Side of a square of the pattern that stands for bare ground, in pixels of what is shown, and its greys. */
const patternPx = 6;
const patternGreys = [255, 218] as const;

/** Flats in another size, pale, so that boxes stand out; the line over them where there is one. */
export function paleFlats(pixels: FlatsPixels, ink: Bitmap | undefined, crop: PixelBox, size: SizePx): Shown {
  const data = new Uint8Array(size.width * size.height * 3);
  const [across, down] = [crop.width / size.width / samplesAcross, crop.height / size.height / samplesAcross];
  const sum = [0, 0, 0];
  for (let y = 0, to = 0; y < size.height; y++) {
    for (let x = 0; x < size.width; x++, to += 3) {
      sum.fill(0);
      for (let sample = 0; sample < samplesAcross ** 2; sample++) {
        const [column, row] = [sample % samplesAcross, Math.floor(sample / samplesAcross)];
        const fromX = within(crop.left + (x * samplesAcross + column + 0.5) * across, pixels.width);
        const fromY = within(crop.top + (y * samplesAcross + row + 0.5) * down, pixels.height);
        const key = keyAt(pixels, fromX, fromY);
        const darker = ink !== undefined && isSet(ink, fromX, fromY) ? inkOverPale : 1;
        for (let c = 0; c < 3; c++)
          sum[c] += darker * paled(key === transparentKey ? 255 : (key >>> (8 * c)) & 255);
      }
      for (let c = 0; c < 3; c++) data[to + c] = Math.round(sum[c] / samplesAcross ** 2);
    }
  }
  return { ...size, data };
}

function paled(level: number): number {
  return 255 - paleShare * (255 - level);
}

function within(place: number, length: number): number {
  return Math.max(0, Math.min(length - 1, Math.floor(place)));
}

/**
 * The corner of a square within a box that has the most edges: of a large box, what there is to see.
 * @param side of the square, in pixels; a box that is smaller has it about its middle
 */
export function busiestCorner(
  pixels: FlatsPixels,
  area: PixelBox,
  side: number,
): { left: number; top: number } {
  const starts = (start: number, length: number) => {
    if (length <= side) return [start + Math.floor((length - side) / 2)];
    const steps = Math.ceil((2 * (length - side)) / side);
    return Array.from(
      { length: steps + 1 },
      (_, step) => start + Math.round((step * (length - side)) / steps),
    );
  };
  let best = { left: area.left, top: area.top, edges: -1 };
  for (const top of starts(area.top, area.height)) {
    for (const left of starts(area.left, area.width)) {
      const edges = edgesIn(pixels, left, top, side);
      if (edges > best.edges) best = { left, top, edges };
    }
  }
  return best;
}

function edgesIn(pixels: FlatsPixels, left: number, top: number, side: number): number {
  const [right, bottom] = [Math.min(left + side, pixels.width - 1), Math.min(top + side, pixels.height - 1)];
  let edges = 0;
  for (let y = Math.max(0, top); y < bottom; y += 2) {
    for (let x = Math.max(0, left); x < right; x += 2) {
      const key = keyAt(pixels, x, y);
      if (key !== keyAt(pixels, x + 1, y) || key !== keyAt(pixels, x, y + 1)) edges++;
    }
  }
  return edges;
}

/**
 * A place of the flats pixel by pixel, each so many times as large; bare ground as a pattern, the line dark over what lies beneath.
 * @param from may reach past the flats: there is nothing but the pattern
 */
export function flatsDetail(
  pixels: FlatsPixels,
  ink: Bitmap | undefined,
  from: PixelBox,
  times: number,
): Shown {
  const size = { width: from.width * times, height: from.height * times };
  const data = new Uint8Array(size.width * size.height * 3);
  for (let y = 0, to = 0; y < size.height; y++) {
    const fromY = from.top + Math.floor(y / times);
    for (let x = 0; x < size.width; x++, to += 3) {
      const fromX = from.left + Math.floor(x / times);
      const isInside = fromX >= 0 && fromY >= 0 && fromX < pixels.width && fromY < pixels.height;
      const key = isInside ? keyAt(pixels, fromX, fromY) : transparentKey;
      const isBare = key === transparentKey || (key === whiteKey && !pixels.hasAlpha);
      const grey = patternGreys[(Math.floor(x / patternPx) + Math.floor(y / patternPx)) % 2];
      const darker = isInside && ink !== undefined && isSet(ink, fromX, fromY) ? inkOverDetail : 1;
      for (let c = 0; c < 3; c++) data[to + c] = darker * (isBare ? grey : (key >>> (8 * c)) & 255);
    }
  }
  return { ...size, data };
}
