import type { PixelBox } from '../../config/units.js';
import type { Raster } from '../model/raster.js';
import type { Layer, LayeredPicture, LayerGroup, WorkingPicture } from '../model/working-page.js';
import { cutRaster } from '../sizes/resample.js';
import type { Fold } from './half-layout.js';

/** Joining halves that came in layers: each half stays a group of its own, cut off at the fold. */

type Entry = Layer | LayerGroup;

/** Where a half lies on the spread, and how far it may reach. */
interface Ground {
  /** Place of its picture's top left corner. */
  readonly x: number;
  readonly y: number;
  /** Columns of the spread that are its own. */
  readonly from: number;
  readonly to: number;
  readonly height: number;
}

/** What shows nothing: a layer that lies on the other half altogether. */
const nothing: Raster = { width: 1, height: 1, model: 'rgb', alpha: true, data: new Uint8Array(4) };

/**
 * Joins two halves of which one at least came in layers; a flat one becomes a layer.
 * @param left with the names of files, as `right`; its facts about format and profile hold for both
 */
export function joinLayers(left: WorkingPicture, right: WorkingPicture, fold: Fold): LayeredPicture {
  const { width, height, foldX, rightX, rightY } = fold;
  const leftGround = { x: 0, y: 0, from: 0, to: foldX, height };
  const rightGround = { x: rightX, y: rightY, from: foldX, to: width, height };
  const children = [halfGroup(left, leftGround), halfGroup(right, rightGround)];
  return {
    kind: 'layered',
    format: 'openraster',
    width,
    height,
    ppi: left.ppi ?? right.ppi,
    profile: left.profile ?? right.profile,
    noticed: [...left.noticed, ...right.noticed],
    root: group('', children),
  };
}

function group(name: string, children: readonly Entry[]): LayerGroup {
  return { kind: 'group', name, opacity: 1, visible: true, blend: 'src-over', isolated: true, children };
}

function halfGroup(half: WorkingPicture, ground: Ground): LayerGroup {
  if (half.kind === 'layered')
    return group(
      '',
      half.root.children.map((child) => cutOff(child, ground)),
    );
  const { raster } = half;
  const flat: Layer = {
    ...{ kind: 'layer', name: '', opacity: 1, visible: true, blend: 'src-over' },
    ...{ x: 0, y: 0, pixels: async () => raster },
  };
  return group('', [cutOff(flat, ground)]);
}

/** A layer or group at its place on the spread; what reaches past the half is cut away once it is decoded. */
function cutOff(entry: Entry, ground: Ground): Entry {
  if (entry.kind === 'group')
    return { ...entry, children: entry.children.map((child) => cutOff(child, ground)) };
  const { pieces: _, ...layer } = entry;
  const [x, y] = [entry.x + ground.x, entry.y + ground.y];
  const [left, top] = [Math.max(x, ground.from), Math.max(y, 0)];
  const pixels = async () => {
    const raster = await entry.pixels();
    const box: PixelBox = {
      left: left - x,
      top: top - y,
      width: Math.min(x + raster.width, ground.to) - left,
      height: Math.min(y + raster.height, ground.height) - top,
    };
    return box.width < 1 || box.height < 1 ? nothing : cutRaster(raster, box);
  };
  return { ...layer, x: left, y: top, pixels };
}
