import type { Separator } from '../inks/separator.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Plate, Raster } from '../model/raster.js';
import { processPlanes, type Separation } from '../model/separation.js';

/**
 * Relative luminance of a colour in sRGB, 0 black to 1 white: WCAG 2.2, 'relative luminance'.
 * Channels of 0 to 255.
 */
export function relativeLuminance(red: number, green: number, blue: number): number {
  return 0.2126 * linear[red] + 0.7152 * linear[green] + 0.0722 * linear[blue];
}

/** Contrast of two relative luminances, 1 to 21: WCAG 2.2, 'contrast ratio'. */
export function contrastRatio(one: number, other: number): number {
  return (Math.max(one, other) + 0.05) / (Math.min(one, other) + 0.05);
}

/** Channels of 8 bit without their gamma: IEC 61966-2-1, with the threshold that WCAG 2.2 gives. */
const linear = Float64Array.from({ length: 256 }, (_, level) => {
  const share = level / 255;
  return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
});

/** Side of the squares in which lettering and what is around it is looked at, in pixels of the page; lettering reaches into the next. */
export const squarePx = 16;

/** How bright a page prints, in and around its lettering. */
export interface LetteredPage {
  readonly width: number;
  readonly height: number;
  /** Relative luminance of each pixel, 1 black to 65535 white; 0 where nobody looked. */
  readonly luminance: Uint16Array;
  /** Red less green of each pixel as it is seen, half of it and 128: tells hues of one luminance apart. */
  readonly hue: Uint8Array;
  /** Upper left corners of the squares that have lettering in them or beside them, as pixel indices. */
  readonly squares: readonly number[];
}

/** The luminance that a value of `LetteredPage` stands for. */
export function luminanceOf(value: number): number {
  return (value - 1) / 65534;
}

/** So many squares are looked at together. */
const squaresAtOnce = 512;

/**
 * Looks at a page as it prints wherever there is lettering, and around it.
 * @param lettering 255 where lettering is, for every second pixel of the page
 */
export function letteredPage(
  composite: Separation,
  lettering: Plate,
  separator: Pick<Separator, 'softProof'>,
  arena: PageArena,
): LetteredPage {
  const { width, height } = composite;
  const squares = lettered(composite, lettering);
  const luminance = new Uint16Array(width * height);
  const hue = new Uint8Array(width * height);
  const [c, m, y, k] = processPlanes(composite);
  const inks = new Uint8Array(squaresAtOnce * squarePx * squarePx * 4);
  for (let first = 0; first < squares.length; first += squaresAtOnce) {
    const some = squares.slice(first, first + squaresAtOnce);
    let to = 0;
    inRows(some, width, height, (from, length) => {
      for (let i = from; i < from + length; i++) {
        inks[to++] = c[i];
        inks[to++] = m[i];
        inks[to++] = y[i];
        inks[to++] = k[i];
      }
    });
    const { data } = seen(inks.subarray(0, to), separator, arena);
    let at = 0;
    inRows(some, width, height, (from, length) => {
      for (let i = from; i < from + length; i++, at += 3) {
        luminance[i] = 1.5 + 65534 * relativeLuminance(data[at], data[at + 1], data[at + 2]);
        hue[i] = 128 + ((data[at] - data[at + 1]) >> 1);
      }
    });
    arena.free(data);
  }
  return { width, height, luminance, hue, squares };
}

/** Inks as they look in print, in sRGB. */
function seen(inks: Uint8Array, separator: Pick<Separator, 'softProof'>, arena: PageArena): Raster {
  const row: Raster = { width: inks.length / 4, height: 1, model: 'cmyk', alpha: false, data: inks };
  return separator.softProof(row, { paperWhite: false }, arena);
}

/** Calls `work` for the rows of squares, each as its first pixel and its length. */
function inRows(
  squares: readonly number[],
  width: number,
  height: number,
  work: (from: number, length: number) => void,
): void {
  for (const corner of squares) {
    const length = Math.min(squarePx, width - (corner % width));
    const rows = Math.min(squarePx, height - Math.floor(corner / width));
    for (let row = 0; row < rows; row++) work(corner + row * width, length);
  }
}

/** The squares with lettering, and all around them. */
function lettered({ width, height }: Separation, lettering: Plate): number[] {
  const [columns, rows] = [Math.ceil(width / squarePx), Math.ceil(height / squarePx)];
  const marks = new Uint8Array(columns * rows);
  const half = squarePx / 2;
  for (let i = lettering.data.indexOf(255); i >= 0; i = lettering.data.indexOf(255, i + 1)) {
    const column = Math.floor((i % lettering.width) / half);
    const row = Math.floor(Math.floor(i / lettering.width) / half);
    if (column < columns && row < rows) marks[row * columns + column] = 1;
  }
  const corners: number[] = [];
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      if (isNear(marks, columns, rows, column, row)) corners.push((row * width + column) * squarePx);
    }
  }
  return corners;
}

function isNear(marks: Uint8Array, columns: number, rows: number, column: number, row: number): boolean {
  for (let y = Math.max(0, row - 1); y <= Math.min(rows - 1, row + 1); y++) {
    for (let x = Math.max(0, column - 1); x <= Math.min(columns - 1, column + 1); x++) {
      if (marks[y * columns + x] === 1) return true;
    }
  }
  return false;
}
