import { type Bitmap, channelsOf, maxOf, type Raster } from '../model/raster.js';
import type { PagePart } from './dark-planes.js';
import type { Movement } from './similarity.js';

/**
 * Lays line back where it belongs. Line that is only shifted moves by whole pixels and stays what it is; turned or resized
 * line is resampled: each pixel takes the ink or paper of the pixel nearest to where it comes from. Beyond the line's own edge is
 * paper.
 * @param movement where the line lies beside its place, in pixels of the colour, about the middle of the page
 * @param ratio line pixels to a pixel of the colour
 */
export function moveBack(line: Bitmap, movement: Movement, ratio: number): Bitmap {
  const { width, height, rowBytes, bits } = line;
  const { turn, zoom } = movement;
  const moved = new Uint8Array(bits.length);
  const [middleX, middleY] = [(width - 1) / 2, (height - 1) / 2];
  for (let y = 0; y < height; y++) {
    // What belongs at (x, y) lies at (fromX, fromY); both advance by one step from pixel to pixel.
    let fromX = movement.dx * ratio - (1 + zoom) * middleX - turn * (y - middleY) + middleX;
    let fromY = movement.dy * ratio - turn * middleX + (1 + zoom) * (y - middleY) + middleY;
    const row = y * rowBytes;
    for (let x = 0; x < width; x++, fromX += 1 + zoom, fromY += turn) {
      const px = Math.round(fromX);
      const py = Math.round(fromY);
      if (px < 0 || py < 0 || px >= width || py >= height) continue;
      if (((bits[py * rowBytes + (px >> 3)] >> (px & 7)) & 1) === 1) moved[row + (x >> 3)] |= 1 << (x & 7);
    }
  }
  return { width, height, rowBytes, bits: moved };
}

/**
 * Lays a line part back before it is laid on the others, as `moveBack` does: each pixel takes what is nearest to where it comes from.
 * Beyond the part's own edge is paper, or nothing where the part may be transparent.
 * @param movement about the middle of trim plus bleed
 * @param ratio pixels of the part to one of the movement
 */
export function movePartBack({ raster, crop }: PagePart, movement: Movement, ratio: number): Raster {
  const { width, height, model, alpha, data } = raster;
  const channels = channelsOf(raster);
  const moved = data instanceof Uint8Array ? new Uint8Array(data.length) : new Uint16Array(data.length);
  if (!alpha && model !== 'cmyk') moved.fill(maxOf(raster));
  const { turn, zoom } = movement;
  const [middleX, middleY] = [crop.left + (crop.width - 1) / 2, crop.top + (crop.height - 1) / 2];
  for (let y = 0, to = 0; y < height; y++) {
    let fromX = movement.dx * ratio - (1 + zoom) * middleX - turn * (y - middleY) + middleX;
    let fromY = movement.dy * ratio - turn * middleX + (1 + zoom) * (y - middleY) + middleY;
    for (let x = 0; x < width; x++, to += channels, fromX += 1 + zoom, fromY += turn) {
      const px = Math.round(fromX);
      const py = Math.round(fromY);
      if (px < 0 || py < 0 || px >= width || py >= height) continue;
      const from = (py * width + px) * channels;
      for (let c = 0; c < channels; c++) moved[to + c] = data[from + c];
    }
  }
  return { ...raster, data: moved };
}

/** Whether laying line back moves it by whole pixels only. */
export function isShiftOnly({ turn, zoom }: Movement): boolean {
  return turn === 0 && zoom === 0;
}
