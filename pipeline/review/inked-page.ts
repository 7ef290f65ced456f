import type { SizePx } from '../../config/units.js';
import { reducedInks } from '../inks/reduced-inks.js';
import { cutOut } from '../kernels/edges.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Raster } from '../model/raster.js';
import { separationOf } from '../model/separation.js';
import type { PictureState } from '../rounds/compare-pictures.js';
import type { LineFile } from '../rounds/line-file.js';
import { type PxBox, scaled } from '../sheets/drawing.js';

/** The inks of a page read back, to be looked at: whole and reduced, or a part of it enlarged. */

const processInks = 4;

/** A page's composite in memory, with its line at hand. */
export class InkedPage implements SizePx {
  private constructor(
    readonly width: number,
    readonly height: number,
    /** C, M, Y and K of each pixel. */
    private readonly inks: Uint8Array,
    private readonly line: LineFile | undefined,
  ) {}

  /** @throws PlatehandError `picture-unreadable` */
  static async open({ composite, line }: PictureState): Promise<InkedPage> {
    const { width, height, samples, strips, rowsPerStrip } = composite;
    const inks = new Uint8Array(width * height * processInks);
    for (let strip = 0; strip < strips; strip++) {
      const from = strip * rowsPerStrip * width * processInks;
      const read = await composite.inks(strip);
      if (samples === processInks) inks.set(read, from);
      else for (let i = 0; i < read.length; i++) inks[from + i * processInks + 3] = read[i];
    }
    return new InkedPage(width, height, inks, line);
  }

  /** The whole of it at another size: cmyk, 8 bit. */
  reduced(size: SizePx, arena: PageArena): Promise<Raster> {
    const names = ['cyan', 'magenta', 'yellow', 'black'] as const;
    const separation = separationOf(this, (name) => {
      const plane = new Uint8Array(this.width * this.height);
      const ink = names.indexOf(name);
      for (let i = 0; i < plane.length; i++) plane[i] = this.inks[i * processInks + ink];
      return plane;
    });
    return reducedInks(separation, size, arena);
  }

  /** Part of it as it is: cmyk, 8 bit. */
  part(crop: PxBox): Raster {
    const data = cutOut(this.inks, processInks, this, crop);
    return { width: crop.width, height: crop.height, model: 'cmyk', alpha: false, data };
  }

  /** The line over a part of it: a byte a pixel of the line plate, 0 ink; undefined for a page without line. */
  async lineOver({ left, top, width, height }: PxBox): Promise<Raster | undefined> {
    const { line } = this;
    if (line === undefined) return undefined;
    const [across, down] = [line.width / this.width, line.height / this.height];
    const from = { left: Math.round(left * across), top: Math.round(top * down) };
    const size = {
      width: Math.min(line.width - from.left, Math.round(width * across)),
      height: Math.min(line.height - from.top, Math.round(height * down)),
    };
    const rows = await line.rows(from.top, size.height);
    const data = cutOut(rows, 1, line, { ...size, left: from.left, top: 0 });
    return { ...size, model: 'grey', alpha: false, data };
  }
}

/** Ink of a line on a screen: dark, and still told from what is beneath it. */
const lineRgb = 28;

/**
 * A square of a page at the size of a cell, on a screen. Pixels stay squares where it is enlarged, and the line is drawn as its own plate
 * has it, which is finer.
 * @returns the picture, and pixels of it for one of the composite
 */
export async function enlarged(
  page: InkedPage,
  crop: PxBox,
  cellPx: number,
  show: (inks: Raster) => Raster,
): Promise<{ readonly picture: Raster; readonly scale: number }> {
  const seen = show(page.part(crop));
  const scale = cellPx / crop.width;
  if (scale <= 1) return { picture: await scaled(seen, cellPx, cellPx), scale };
  const line = await page.lineOver(crop);
  const data = new Uint8Array(cellPx * cellPx * 3);
  for (let y = 0, to = 0; y < cellPx; y++) {
    const row = Math.floor(y / scale) * crop.width;
    const lineRow = line === undefined ? 0 : Math.floor((y * line.height) / cellPx) * line.width;
    for (let x = 0; x < cellPx; x++, to += 3) {
      if (line !== undefined && line.data[lineRow + Math.floor((x * line.width) / cellPx)] === 0) {
        data.fill(lineRgb, to, to + 3);
        continue;
      }
      const from = (row + Math.floor(x / scale)) * 3;
      data.set(seen.data.subarray(from, from + 3), to);
    }
  }
  return { picture: { width: cellPx, height: cellPx, model: 'rgb', alpha: false, data }, scale };
}
