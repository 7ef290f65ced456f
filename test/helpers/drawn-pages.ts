import type { Bitmap, Raster } from '../../pipeline/model/raster.js';
import { paint } from './drawn-colour.js';
import { ink, type Laid } from './drawn-line.js';
import { type Style, sceneOf } from './drawn-scene.js';

/** Pages of several styles, drawn by code: colour at its ppi and line at twice as many, the line moved as it is asked for. */

export type { Laid } from './drawn-line.js';
export { type FittingStyle, fittingStyles, type Style, tellingNothing } from './drawn-scene.js';

export interface DrawnPage {
  readonly colour: Raster;
  readonly line: Bitmap;
}

/** What may be told of a page. */
export interface PageWish {
  /** Size of the colour in pixels; default 825 x 1260, four tenths of a comic page at 300 ppi. */
  readonly width?: number;
  readonly height?: number;
  /** What is on the page; pages of one `grid` share their panels. */
  readonly seed: number;
  readonly grid?: number;
  readonly laid?: Laid;
  /** Seed of the inks where they are another page's. */
  readonly inksOf?: number;
}

/** Colour that was painted already: tests lay many lines on the same. The latest of so many are kept, some 3 MB each. */
const painted = new Map<string, Raster>();
const maxPainted = 12;

/** A page. Both pictures are the caller's own. */
export function drawPage(style: Style, wish: PageWish): DrawnPage {
  const { width = 825, height = 1260, seed, grid = seed, inksOf = seed } = wish;
  const scene = sceneOf(style, { width, height }, seed, grid);
  const inked =
    inksOf === seed
      ? scene
      : sceneOf(style, { width, height }, inksOf, inksOf === seed ? grid : (wish.grid ?? inksOf));
  return {
    colour: colourOf(`${style} ${width} ${height} ${seed} ${grid}`, () => paint(style, scene, seed)),
    line: ink(style, inked, inksOf, wish.laid ?? {}),
  };
}

function colourOf(name: string, paintAnew: () => Raster): Raster {
  const colour = painted.get(name) ?? paintAnew();
  painted.delete(name);
  painted.set(name, colour);
  if (painted.size > maxPainted) painted.delete([...painted.keys()][0]);
  return { ...colour, data: colour.data.slice() };
}
