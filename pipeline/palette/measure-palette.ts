import type { PrintSpec } from '../../config/print-spec.js';
import type { Separator } from '../inks/separator.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { FineColour, PagePalette } from '../model/palette.js';
import { lightOfCells } from './cell-colours.js';
import { cellsOf } from './cell-mixes.js';
import { binned } from './colour-bins.js';
import { rounded } from './common-palette.js';
import { type Cluster, fineColours } from './fine-colours.js';
import type { PageCells, PaintedColour } from './page-cells.js';

/**
 * What colours a page was painted in: its trim in cells, their colours as a screen shows them gathered in OKLab by area. Line and
 * lettering that came apart are left out, and so is what was lifted as line.
 * @param page of its print size
 */
export function measurePalette(
  page: PaintedColour,
  spec: PrintSpec,
  separator: Pick<Separator, 'screenOf'>,
  arena: PageArena,
): PagePalette {
  const cells = cellsOf(page, spec);
  const bins = binned(cells, lightOfCells(page, cells, separator, arena));
  const most = cells.weights.length * cells.fullWeight;
  const clusters = bins.area === 0 ? [] : fineColours(bins);
  return {
    colourPercent: rounded((bins.area * 100) / most, 2),
    colours: clusters.map((cluster) => fineColour(cluster, bins.area, cells, page, spec)),
  };
}

function fineColour(
  { oklab, area, cell }: Cluster,
  whole: number,
  { columns, step, left, top }: PageCells,
  { colour }: PaintedColour,
  spec: PrintSpec,
): FineColour {
  // From the middle of the cell, in pixels, to millimetres from the trim.
  const mmAt = (cellAt: number, from: number, pixels: number, lengthMm: number) =>
    ((from + (cellAt + 0.5) * step) / pixels) * (lengthMm + 2 * spec.bleedMm) - spec.bleedMm;
  const { widthMm, heightMm } = spec.trim;
  return {
    oklab: [rounded(oklab[0], 4), rounded(oklab[1], 4), rounded(oklab[2], 4)],
    sharePercent: rounded((area * 100) / whole, 3),
    xMm: rounded(mmAt(cell % columns, left, colour.width, widthMm), 1),
    yMm: rounded(mmAt(Math.floor(cell / columns), top, colour.height, heightMm), 1),
  };
}
