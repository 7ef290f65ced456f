import { openPress } from '../../config/press.js';
import type { PrintSpec } from '../../config/print-spec.js';
import { fitPage } from '../../pipeline/fit.js';
import { type Separator, separatorFor } from '../../pipeline/inks/separator.js';
import { PageArena } from '../../pipeline/kernels/page-arena.js';
import { assemble, type PageParts } from '../../pipeline/layers/assemble.js';
import type { PageArt } from '../../pipeline/layers/page-art.js';
import { type InkedLine, lineArt } from '../../pipeline/line-art.js';
import type { Raster } from '../../pipeline/model/raster.js';
import { processPlanes, type Separation } from '../../pipeline/model/separation.js';
import type { FlatPicture, LayeredPicture } from '../../pipeline/model/working-page.js';
import { type PageInks, separatePage } from '../../pipeline/separate.js';
import { specWith } from './specs.js';

/** Trim plus bleed of these pages: 1.75 x 1.25 in, 525 x 375 px of colour and 1050 x 750 px of line. */
export const drawnSpec = specWith({
  trim: { widthMm: 1.5 * 25.4, heightMm: 25.4 },
  bleedMm: 0.125 * 25.4,
  safeMm: 1,
});
export const drawnPx = { width: 1050, height: 750 };
export const printPx = { width: 525, height: 375 };

export interface PageAsInks {
  readonly art: PageArt;
  readonly inked: InkedLine;
  readonly inks: PageInks;
  /** The inks of the page as painted, nothing else done to it. */
  readonly wanted: Separation;
  readonly separator: Separator;
}

const arena = new PageArena();

/** Takes a page from its pictures to its inks, stage by stage, in memory. */
export async function inksOf(parts: Partial<PageParts>, spec: PrintSpec = drawnSpec): Promise<PageAsInks> {
  arena.reset();
  const separator = separatorFor(await openPress(spec.press), spec);
  const words = (name: string) =>
    name === 'line' || name === 'lettering' || name === 'flats' ? name : undefined;
  const read = { colour: undefined, line: undefined, lettering: undefined, ...parts };
  const art = await assemble(read, words, spec, arena);
  const page = { id: '1', kind: 'interior', numbers: [1], spec } as never;
  const inked = lineArt(await fitPage(art, { page, units: 'mm' }, arena), art, spec, arena);
  const painted = inked.painted ?? inked.colour;
  if (painted === undefined) throw new Error('a page without colour has nothing that is wanted of it');
  const copy: Raster = { ...painted, data: painted.data.slice() };
  const inks = separatePage(inked, art, spec, separator, arena);
  return { art, inked, inks, separator, wanted: separator.separate(copy, art.profile, arena).separation };
}

/** A layered page of the size of `drawnPx`, its layers as the other builders make them. */
export function layered(root: LayeredPicture['root']): LayeredPicture {
  const ppi = { x: 600, y: 600 };
  return { kind: 'layered', format: 'openraster', ...drawnPx, ppi, profile: undefined, noticed: [], root };
}

/** A flat page without alpha. */
export function flat(raster: Raster, ppi = 600): FlatPicture {
  const { width, height } = raster;
  const facts = {
    kind: 'flat',
    format: 'png',
    width,
    height,
    ppi: { x: ppi, y: ppi },
    bitsPerSample: 8,
  } as const;
  return { ...facts, raster, profile: undefined, noticed: [] } as unknown as FlatPicture;
}

/** The inks of one pixel, in percent. */
export function percentAt(separation: Separation, x: number, y: number): number[] {
  return processPlanes(separation).map((plane) => (plane[y * separation.width + x] * 100) / 255);
}
