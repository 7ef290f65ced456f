import type { PageBox } from '../../config/print-spec.js';
import type { FlatPicture, Layer, LayerGroup, WorkingPicture } from '../model/working-page.js';
import { type FitPlan, planBeside, planFit } from '../sizes/plan-fit.js';
import { cutRaster } from '../sizes/resample.js';

/** Parts of one page that come from canvases of different sizes. */

const partsInOrder = ['colour', 'line', 'lettering'] as const;

type PagePictures = Record<(typeof partsInOrder)[number], WorkingPicture | undefined>;

/**
 * Cuts flat parts to trim plus bleed, so that they lie on each other pixel by pixel where they have one resolution. Parts of one
 * canvas do so already and stay as they are, and so do parts beside layers, which are cut once they are flattened.
 * @param parts flat ones are replaced
 */
export function cutToPage(parts: PagePictures, spec: PageBox): void {
  const [first, ...others] = partsInOrder.flatMap((name) => parts[name] ?? []);
  if (first === undefined || others.every((one) => isSameSize(one, first))) return;
  if ([first, ...others].some(({ kind }) => kind === 'layered')) return;
  const plan = planFit(first, spec, 'mm').plan;
  for (const name of partsInOrder) {
    const part = parts[name];
    if (part?.kind !== 'flat' || part.isFitted) continue;
    const own = planFit(part, spec, 'mm').plan;
    if (own === undefined) continue;
    const isOther = plan !== undefined && part !== first;
    parts[name] = cutPart(part, isOther ? planBeside(part, own, { picture: first, plan }) : own);
  }
}

function isSameSize(one: WorkingPicture, other: WorkingPicture): boolean {
  return one.width === other.width && one.height === other.height;
}

function cutPart(part: FlatPicture, { crop, effectivePpi }: FitPlan): FlatPicture {
  const raster = cutRaster(part.raster, crop);
  if (raster === part.raster) return part;
  const { width, height } = raster;
  return { ...part, width, height, raster, ppi: { x: effectivePpi, y: effectivePpi } };
}

/** The same layers further right and further down, in pixels. */
export function movedBy<Entry extends Layer | LayerGroup>(entry: Entry, x: number, y: number): Entry {
  if (x === 0 && y === 0) return entry;
  if (entry.kind === 'layer') return { ...entry, x: entry.x + x, y: entry.y + y };
  return { ...entry, children: entry.children.map((child) => movedBy(child, x, y)) };
}
