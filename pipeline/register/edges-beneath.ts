import { type Bitmap, channelsOf, isSet, maxOf, type Raster } from '../model/raster.js';
import { displacement, type Movement, still } from './similarity.js';

/**
 * Whether the edges of the colour lie beneath the line as it is. A heavy rule has two edges, and colour ends in its middle: windows
 * then see the line to one side or the other, and may agree on a movement that nobody made.
 */

/** Every so many rows and columns are asked. */
const everyPx = 3;

/** Two pixels of the colour so far apart differ by this much of 255 at least, where it has an edge. */
const acrossPx = 2;
const leastStep = 32;

/** As many edges beneath the line in its place, within this share of those beneath the moved line: it need not be moved. */
const asMany = 0.95;

/**
 * @param colour at its print size
 * @param line over the same area, at any resolution from the colour's on
 * @param movement where windows say that the line lies beside its place, in pixels of the colour
 */
export function liesOnEdges(colour: Raster, line: Bitmap, movement: Movement): boolean {
  const { width, height } = colour;
  const ratio = { x: line.width / width, y: line.height / height };
  const counts = { inPlace: 0, moved: 0 };
  const hasLine = (x: number, y: number, by: Movement) => {
    const [dx, dy] = displacement(by, x - width / 2, y - height / 2);
    const [column, row] = [Math.round((x + dx) * ratio.x), Math.round((y + dy) * ratio.y)];
    const isWithin = column >= 0 && row >= 0 && column < line.width && row < line.height;
    return isWithin && isSet(line, column, row);
  };
  for (let y = acrossPx; y < height - acrossPx; y += everyPx) {
    for (let x = acrossPx; x < width - acrossPx; x += everyPx) {
      if (!isEdge(colour, y * width + x)) continue;
      if (hasLine(x, y, still)) counts.inPlace++;
      if (hasLine(x, y, movement)) counts.moved++;
    }
  }
  return counts.inPlace > 0 && counts.inPlace >= asMany * counts.moved;
}

function isEdge(colour: Raster, i: number): boolean {
  const { data, width } = colour;
  const channels = channelsOf(colour);
  const least = (leastStep / 255) * maxOf(colour);
  for (const step of [acrossPx * channels, acrossPx * channels * width]) {
    for (let at = i * channels; at < (i + 1) * channels; at++) {
      if (Math.abs(data[at + step] - data[at - step]) >= least) return true;
    }
  }
  return false;
}
