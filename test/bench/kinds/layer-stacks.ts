import type { SizePx } from '../../../config/units.js';
import { drawPage, randomOf } from '../draw-page.js';
import {
  cropped,
  type DrawnLayer,
  drawGrain,
  drawInks,
  drawPatches,
  drawWash,
  type Patches,
  type Random,
} from './draw-layers.js';
import type { LayeredKind } from './page-kind.js';

/** Blend modes that pages for measuring use, by OpenRaster's names without `svg:`. */
export type Blend = 'src-over' | 'multiply' | 'screen' | 'overlay' | 'plus' | 'dst-in';

/** A layer, drawn when it is asked for: all at once would take gigabytes. */
export interface StackLayer {
  readonly kind: 'layer';
  readonly name: string;
  readonly blend: Blend;
  readonly opacity: number;
  readonly draw: () => DrawnLayer;
}

export interface StackGroup {
  readonly kind: 'group';
  readonly name: string;
  readonly blend: Blend;
  readonly opacity: number;
  /** The first is the topmost. */
  readonly children: readonly StackEntry[];
}

export type StackEntry = StackLayer | StackGroup;

/** The name by which the ink layer is known as line. */
export const inksName = 'inks';

/** The layers of a page, the topmost first. */
export function stackOf(kind: LayeredKind, size: SizePx, seed: number): StackEntry[] {
  const page = drawPage(size, seed);
  const brush = brushOf(size, randomOf(seed + 1000));
  const flats = layer('flats', 'src-over', () => {
    return { ...size, x: 0, y: 0, channels: 3, data: page.colour };
  });
  const inks = layer(inksName, 'src-over', () => drawInks(size, page.line));
  return stacks[kind](brush, flats, inks);
}

/** Ways to make a layer on a page of one size, from numbers of one seed. */
interface Brush {
  readonly patches: (patches: Patches) => () => DrawnLayer;
  readonly croppedPatches: (patches: Patches) => () => DrawnLayer;
  readonly wash: () => DrawnLayer;
  readonly grain: () => DrawnLayer;
}

function brushOf(size: SizePx, random: Random): Brush {
  return {
    patches: (patches) => () => drawPatches(size, random, patches),
    croppedPatches: (patches) => () => cropped(drawPatches(size, random, patches)),
    wash: () => drawWash(size, random),
    grain: () => drawGrain(size, random),
  };
}

function layer(name: string, blend: Blend, draw: () => DrawnLayer, opacity = 1): StackLayer {
  return { kind: 'layer', name, blend, opacity, draw };
}

type Stack = (brush: Brush, flats: StackLayer, inks: StackLayer) => StackEntry[];

const stacks: Readonly<Record<LayeredKind, Stack>> = { layers6, layers12, sparse6, groups6 };

/** What colourists lay over flats; shares of the page that are covered are of what was drawn. */
const shadow: Patches = {
  ...{ count: 70, least: 0.04, most: 0.16, alpha: 190, soft: true },
  colours: [
    [74, 66, 120],
    [60, 80, 128],
    [96, 70, 104],
  ],
};
const castShadow: Patches = { ...shadow, count: 36, least: 0.02, most: 0.1, alpha: 150, soft: false };
const light: Patches = {
  ...{ count: 40, least: 0.03, most: 0.14, alpha: 200, soft: true },
  colours: [
    [255, 214, 140],
    [250, 236, 190],
    [150, 190, 255],
  ],
};
const glow: Patches = { ...light, count: 9, least: 0.04, most: 0.12, alpha: 150 };
const blush: Patches = {
  ...light,
  count: 26,
  least: 0.01,
  most: 0.03,
  alpha: 140,
  colours: [[226, 104, 96]],
};
const highlight: Patches = {
  ...blush,
  count: 60,
  least: 0.003,
  most: 0.014,
  alpha: 235,
  colours: [[255, 252, 240]],
};
const spark: Patches = { ...highlight, count: 45, soft: true, colours: [[255, 220, 150]] };
const fewShadows: Patches = { ...castShadow, count: 16, least: 0.02, most: 0.06 };
const fewLights: Patches = { ...light, count: 9, least: 0.03, most: 0.08 };
const figure: Patches = {
  ...castShadow,
  count: 30,
  least: 0.05,
  most: 0.14,
  alpha: 255,
  colours: [[0, 0, 0]],
};
const fog: Patches = { ...light, count: 24, least: 0.15, most: 0.4, alpha: 120, colours: [[206, 214, 226]] };

/** Six layers, four of them over much of the page. */
function layers6(brush: Brush, flats: StackLayer, inks: StackLayer): StackEntry[] {
  return [
    layer('glow', 'plus', brush.patches(glow)),
    inks,
    layer('light', 'screen', brush.patches(light)),
    layer('shadows', 'multiply', brush.patches(shadow)),
    layer('rendering', 'multiply', brush.wash),
    flats,
  ];
}

/** Twelve layers: dense and sparse ones, half of them below full opacity. */
function layers12(brush: Brush, flats: StackLayer, inks: StackLayer): StackEntry[] {
  return [
    layer('sparks', 'plus', brush.patches(spark), 0.8),
    layer('glow', 'plus', brush.croppedPatches(glow)),
    inks,
    layer('haze', 'src-over', brush.patches(fog), 0.5),
    layer('highlights', 'src-over', brush.patches(highlight), 0.9),
    layer('light', 'screen', brush.patches(light)),
    layer('paper grain', 'overlay', brush.grain, 0.35),
    layer('cast shadows', 'multiply', brush.patches(castShadow), 0.7),
    layer('shadows', 'multiply', brush.patches(shadow)),
    layer('blush', 'src-over', brush.croppedPatches(blush), 0.6),
    layer('rendering', 'multiply', brush.wash),
    flats,
  ];
}

/** Six layers of which all but flats and inks hold little, as large as the page nevertheless. */
function sparse6(brush: Brush, flats: StackLayer, inks: StackLayer): StackEntry[] {
  return [
    layer('sparks', 'plus', brush.patches(spark)),
    inks,
    layer('light', 'screen', brush.patches(fewLights)),
    layer('highlights', 'src-over', brush.patches(highlight)),
    layer('shadows', 'multiply', brush.patches(fewShadows)),
    flats,
  ];
}

/** Six layers in groups: shading clipped to the figures, multiplied as one at 80 %; small layers with a place of their own. */
function groups6(brush: Brush, flats: StackLayer, inks: StackLayer): StackEntry[] {
  const clip = layer('figures', 'dst-in', brush.patches(figure));
  const shading = layer('shading', 'src-over', brush.patches({ ...shadow, count: 160 }));
  const lamp = layer('lamp', 'screen', brush.croppedPatches({ ...light, count: 2, most: 0.2 }));
  return [
    layer('glow', 'plus', brush.croppedPatches({ ...glow, count: 3 })),
    inks,
    { kind: 'group', name: 'shading', blend: 'multiply', opacity: 0.8, children: [clip, shading] },
    { kind: 'group', name: 'colour', blend: 'src-over', opacity: 1, children: [lamp, flats] },
  ];
}
