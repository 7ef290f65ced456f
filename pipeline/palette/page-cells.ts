import { bleedBoxPx, type PrintSpec } from '../../config/print-spec.js';
import { mmToPx } from '../../config/units.js';
import { channelsOf, type Plate, type Raster } from '../model/raster.js';
import { lightOf } from './oklab.js';

/** A page reduced to cells that an eye hardly parts at reading distance; what colours meeting in a cell come to is in cell-mixes.ts. */

/** What is looked at: the colour as it is beneath the line, and what covers it. */
export interface PaintedColour {
  /** Without alpha; trim plus bleed. */
  readonly colour: Raster;
  readonly profile: Uint8Array | undefined;
  /** Share of each pixel that line covers; undefined without line. */
  readonly coverage: Plate | undefined;
  /** 255 where lettering shows, for every second pixel; undefined where none came apart. */
  readonly lettering?: Plate | undefined;
}

/** Side of a cell in millimetres: five minutes of arc at 350 mm, in which the dots of a screen of 60 lines an inch are one tint. Own choice. */
const cellMm = 0.5;

/** Larger pages have larger cells: no more than these. Own choice. */
const mostCells = 300_000;

/** Levels of 255 within which the pixels of a cell are one colour with some noise. Own choice. */
const steadyLevels = 24;

/** What a cell is: covered by line or lettering, of one colour, of several, or where such a one meets another. */
export const cellKinds = { empty: 0, steady: 1, mixed: 2, edge: 3 } as const;

/** The cells of a page's trim, row by row. */
export interface PageCells {
  readonly columns: number;
  readonly rows: number;
  /** Side of a cell in pixels, and where the first begins. */
  readonly step: number;
  readonly left: number;
  readonly top: number;
  /** One of `cellKinds` each. */
  readonly kinds: Uint8Array;
  /** How many of the few pixels that are asked first are colour: 0 to `fullWeight`. */
  readonly weights: Uint8Array;
  readonly fullWeight: number;
  /** Channels of the colour, and amounts of light or ink in each, 0 to 1, interleaved: their mean; at an edge those of one pixel. */
  readonly channels: number;
  readonly amounts: Float32Array;
}

/** Lays cells over a page's trim, which have nothing in them yet. */
export function layOutCells(colour: Raster, { colourPpi: ppi, bleedMm, ...spec }: PrintSpec): PageCells {
  const whole = bleedBoxPx({ ...spec, bleedMm, colourPpi: ppi }, ppi);
  const inFrom = (pixels: number, wholePx: number) =>
    Math.min((pixels - 1) >> 1, Math.round((mmToPx(bleedMm, ppi) * pixels) / wholePx));
  const left = inFrom(colour.width, whole.width);
  const top = inFrom(colour.height, whole.height);
  const [width, height] = [colour.width - 2 * left, colour.height - 2 * top];
  const leastStep = Math.sqrt((width * height) / mostCells);
  const step = Math.max(1, Math.round(mmToPx(cellMm, ppi)), Math.ceil(leastStep));
  const [columns, rows] = [Math.max(1, Math.floor(width / step)), Math.max(1, Math.floor(height / step))];
  const channels = channelsOf(colour);
  return {
    ...{ columns, rows, step, left, top, channels, fullWeight: fewIn(step).length },
    kinds: new Uint8Array(columns * rows),
    weights: new Uint8Array(columns * rows),
    amounts: new Float32Array(columns * rows * channels),
  };
}

/** Pixels of a cell, from its first. */
type Places = readonly (readonly [right: number, down: number])[];

/** A few pixels of a cell, as on a five of dice; all of a small one. */
function fewIn(step: number): Places {
  const far = step - 1;
  const middle = far >> 1;
  if (step === 1) return [[0, 0]];
  const corners: Places = [
    [0, 0],
    [far, far],
    [far, 0],
    [0, far],
  ];
  return step === 2 ? corners : [[middle, middle], ...corners];
}

/** Pixels of a cell that are asked at most, along each side. */
const mostAlong = 4;

/** Every pixel of a cell; of a large one, some all over it. */
function manyIn(step: number): Places {
  const many = Math.min(step, mostAlong);
  const along = Array.from({ length: many }, (_, i) => Math.floor(((i + 0.5) * step) / many));
  return along.flatMap((down) => along.map((right) => [right, down] as const));
}

/** Reads cells of one page. */
export interface CellReader {
  /** Its few pixels tell what it is; a steady one's amounts are final. */
  readFew(cell: number): void;
  /** All of its pixels, for one in which colours meet. */
  readMany(cell: number): void;
  /** The amounts of one of its pixels, from cell to cell another. */
  takeOne(cell: number): void;
}

/** Light is added, not levels; inks lie beside each other in a screen, and their amounts are added. */
function curveOf({ model }: Raster): Float64Array {
  return Float64Array.from({ length: 256 }, (_, level) => (model === 'cmyk' ? level / 255 : lightOf(level)));
}

/** Opens a page for reading into its cells. */
export function cellReader(page: PaintedColour, cells: PageCells): CellReader {
  const { width } = page.colour;
  const { columns, step, left, top, weights, kinds } = cells;
  const offsetsOf = (places: Places) => Int32Array.from(places, ([right, down]) => down * width + right);
  const [few, many] = [offsetsOf(fewIn(step)), offsetsOf(manyIn(step))];
  const open = new Int32Array(many.length + few.length);
  const firstOf = (n: number) => (top + Math.floor(n / columns) * step) * width + left + (n % columns) * step;
  const openAmong = openPixels(page, open);
  const read = sampleReader(page.colour, open, cells);
  return {
    readFew(n) {
      weights[n] = openAmong(firstOf(n), few);
      if (weights[n] > 0) read(n, weights[n]);
    },
    readMany(n) {
      const count = openAmong(firstOf(n), many);
      if (count > 0) read(n, count);
    },
    takeOne(n) {
      const count = openAmong(firstOf(n), few);
      if (count === 0) return;
      open[0] = open[n % count];
      const kind = kinds[n];
      read(n, 1);
      kinds[n] = kind;
    },
  };
}

/** Finds those of some pixels that neither line nor lettering covers: their samples' places into `open`, and how many. */
function openPixels({ colour, coverage, lettering }: PaintedColour, open: Int32Array) {
  const { width } = colour;
  const channels = channelsOf(colour);
  const covered = coverage?.data;
  const isLettered =
    lettering &&
    ((pixel: number) =>
      lettering.data[(Math.floor(pixel / width) >> 1) * lettering.width + ((pixel % width) >> 1)] !== 0);
  return (first: number, offsets: Int32Array): number => {
    let count = 0;
    for (let k = 0; k < offsets.length; k++) {
      const pixel = first + offsets[k];
      if (covered !== undefined && covered[pixel] !== 0) continue;
      if (isLettered?.(pixel)) continue;
      open[count++] = pixel * channels;
    }
    return count;
  };
}

/** What the samples at some places come to, as a cell: their mean, and whether they are alike. */
function sampleReader(colour: Raster, open: Int32Array, { kinds, amounts, channels }: PageCells) {
  const { data } = colour;
  const curve = curveOf(colour);
  const shift = data instanceof Uint8Array ? 0 : 8;
  return (n: number, count: number): void => {
    let spread = 0;
    for (let c = 0; c < channels; c++) {
      let least = 255;
      let most = 0;
      let sum = 0;
      for (let k = 0; k < count; k++) {
        const level = data[open[k] + c] >> shift;
        if (level < least) least = level;
        if (level > most) most = level;
        sum += curve[level];
      }
      spread = Math.max(spread, most - least);
      amounts[n * channels + c] = sum / count;
    }
    kinds[n] = spread <= steadyLevels ? cellKinds.steady : cellKinds.mixed;
  };
}
