import type { Hex } from '../ink/colour.js';
import { box, ellipse, type Outline, shape, straight } from '../ink/geometry.js';
import type { Pen } from '../ink/pen.js';
import type { Scene } from './palette.js';

export interface House {
  readonly x: number;
  /** The water line, or the ground. */
  readonly base: number;
  readonly width: number;
  readonly height: number;
  readonly seed: number;
  /** Line weight; 0 for a far silhouette in paint alone. */
  readonly ink?: number;
  /** 0 near, 1 lost in the haze. */
  readonly far?: number;
  /** Share of windows that are lit. */
  readonly lit?: number;
}

export function windows(
  pen: Pen,
  scene: Scene,
  house: House,
  eaves: number,
  random: () => number,
  lit: number,
  fade: (c: Hex) => Hex,
): void {
  const { width, height } = house;
  const rows = Math.max(1, Math.round(-eaves / (width * 0.62)));
  const columns = width > 46 ? 3 : 2;
  const w = (width / columns) * 0.42;
  for (let r = 0; r < rows; r++)
    for (let c = 0; c < columns; c++) {
      const x = (c + 0.5 - columns / 2) * (width / columns) * 0.9;
      const y = eaves * (0.16 + (r / rows) * 0.84) - w * 0.1;
      oneWindow(pen, scene, x, y, w, random() < lit, fade, random() > 0.55);
    }
  if (height > width) oneWindow(pen, scene, 0, eaves - height * 0.1, w * 0.8, random() < lit, fade, false);
}

function oneWindow(
  pen: Pen,
  scene: Scene,
  x: number,
  y: number,
  w: number,
  lit: boolean,
  fade: (c: Hex) => Hex,
  shutters: boolean,
): void {
  const h = w * 1.5;
  if (shutters)
    for (const side of [-1, 1])
      pen.form(
        box(x + side * w * 0.72 - w * 0.2, y - h * 0.95, w * 0.4, h * 0.95),
        fade(scene.cast.patina),
        0.7,
      );
  if (lit) litPane(pen, scene, x, y, w);
  else darkPane(pen, fade(scene.window), fade(scene.trim), x, y, w);
  pen.form(box(x - w * 0.65, y, w * 1.3, w * 0.16), fade(scene.trim), 0.7);
}

function paneOf(x: number, y: number, w: number): Outline {
  const h = w * 1.5;
  return shape([
    [x - w / 2, y, 1],
    [x - w / 2, y - h * 0.7, 1],
    [x, y - h],
    [x + w / 2, y - h * 0.7, 1],
    [x + w / 2, y, 1],
  ]);
}

function litPane(pen: Pen, scene: Scene, x: number, y: number, w: number): void {
  const h = w * 1.5;
  pen.form(paneOf(x, y, w), scene.lamp, 0.9);
  pen.stroke(straight(x, y, x, y - h), 0.7, { swell: 0, thin: 0 });
  const middle = pen.at(ellipse(x, y - h / 2, 0.01)).points[0];
  pen.sheet.glow(middle, w * 2.6, scene.lamp, 0.4);
}

/** A black pane with one slanting light in it. */
function darkPane(pen: Pen, under: Hex, light: Hex, x: number, y: number, w: number): void {
  const placed = pen.black(paneOf(x, y, w), under);
  const slant = straight(x - w * 0.5, y - w * 0.6, x + w * 0.5, y - w * 1.125);
  pen.within(placed, () => {
    pen.scratch(slant, w * 0.1);
    pen.colour(slant, w * 0.1, light);
  });
}
