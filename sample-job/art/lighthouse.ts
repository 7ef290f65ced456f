import {
  box,
  ellipse,
  type Knot,
  knots,
  type Outline,
  type Pt,
  polygon,
  shape,
  straight,
} from '../ink/geometry.js';
import { Pen } from '../ink/pen.js';
import { randomFrom } from '../ink/random.js';
import type { Sheet } from '../ink/sheet.js';
import type { Scene } from './palette.js';

export interface TowerPlace {
  readonly x: number;
  readonly base: number;
  /** Page units for one unit of the tower, which is 300 high. */
  readonly scale: number;
  readonly weight?: number;
}

/** Odda's lighthouse: banded, with a gallery and a lamp room. Returns the middle of the lamp on the page. */
export function drawLighthouse(sheet: Sheet, scene: Scene, { x, base, scale, weight = 1 }: TowerPlace): Pt {
  const pen = new Pen(sheet, { x, y: base, scale }, weight);
  const shaft = pen.solid(knots('-38,6* -30,-110 -24,-218* 24,-218* 30,-110 38,6*'), scene.trim, 2);
  pen.within(shaft, () => {
    for (const [top, bottom] of [
      [-200, -150],
      [-100, -50],
    ])
      pen.tint(
        shape([
          [-44, bottom, 1],
          [-44, top, 1],
          [0, top + 7],
          [44, top, 1],
          [44, bottom, 1],
          [0, bottom + 7],
        ]),
        scene.cast.scarf,
      );
    for (const y of [-200, -150, -100, -50])
      pen.stroke(
        [
          [-44, y],
          [0, y + 7],
          [44, y],
        ],
        1,
        { swell: 0.1, thin: 0.1, ends: 0.6 },
      );
    sheet.shade(shaft, scene.shadow, [x - 40 * scale, 0], [x + 6 * scale, 0], 0.95, 0);
    hatchSide(pen);
    for (const y of [-170, -118, -70, -24]) slit(pen, scene, y);
  });
  gallery(pen, scene);
  lampRoom(pen, scene);
  return pen.at(ellipse(0, -250, 0.01)).points[0];
}

/** Courses of hatching that give the shaft its roundness. */
function hatchSide(pen: Pen): void {
  for (let y = -212; y < 0; y += 5) {
    const reach = 12 + 6 * Math.sin(y * 0.7);
    pen.stroke(
      [
        [-44, y - 1],
        [-44 + 12 + reach, y + 1.5],
      ],
      0.9,
      { swell: 0, thin: 0.8 },
    );
  }
}

function slit(pen: Pen, scene: Scene, y: number): void {
  pen.black(
    shape([
      [6, y, 1],
      [6, y - 13, 1],
      [10.5, y - 18],
      [15, y - 13, 1],
      [15, y, 1],
    ]),
    scene.window,
  );
}

function gallery(pen: Pen, scene: Scene): void {
  pen.solid(knots('-24,-216* -40,-228* 40,-228* 24,-216*'), scene.stone, 1.6);
  pen.solid(knots('-42,-234* 42,-234* 42,-227* -42,-227*'), scene.trim, 1.5);
}

function lampRoom(pen: Pen, scene: Scene): void {
  const glass = pen.form(box(-19, -272, 38, 39), scene.lamp, 1.6);
  pen.within(glass, () => {
    pen.tint(ellipse(0, -252, 9, 14), '#fffbe8');
    for (const x of [-9, 0, 9]) pen.stroke(straight(x - 10, -232, x + 10, -273), 0.8, { swell: 0, thin: 0 });
    for (const x of [-9, 0, 9]) pen.stroke(straight(x + 10, -232, x - 10, -273), 0.8, { swell: 0, thin: 0 });
  });
  const dome = pen.solid(knots('-23,-270* -18,-288 0,-300 18,-288 23,-270*'), scene.cast.scarf, 1.7);
  pen.within(dome, () => pen.ink(shape(knots('-26,-268* -20,-296 -8,-304 -12,-284 -12,-266*'))));
  pen.form(ellipse(0, -304, 4), scene.cast.brass, 1.2);
  pen.stroke(straight(0, -307, 0, -322), 1.4, { swell: 0, thin: 0.4 });
  for (let i = 0; i <= 10; i++)
    pen.stroke(straight(-41 + i * 8.2, -234, -41 + i * 8.2, -248), 1, { swell: 0, thin: 0 });
  pen.stroke(straight(-43, -248, 43, -248), 1.5, { swell: 0, thin: 0 });
}

/** Rocks with lit tops and black flanks, from left to right along a water line. */
export function drawRocks(
  sheet: Sheet,
  scene: Scene,
  x0: number,
  x1: number,
  base: number,
  height: number,
  seed: number,
): void {
  const random = randomFrom(seed);
  const middle = (x0 + x1) / 2;
  for (let i = 0; i < 9; i++) {
    const t = random();
    const w = height * (0.7 + random() * 0.8);
    const x = x0 + (x1 - x0) * t;
    const lift = 1 - Math.abs(x - middle) / ((x1 - x0) * 0.62);
    const h = height * Math.max(0.25, lift) * (0.6 + 0.5 * random());
    drawRock(sheet, scene, x, base, w, h);
  }
}

function drawRock(sheet: Sheet, scene: Scene, x: number, base: number, w: number, h: number): void {
  const pen = new Pen(sheet, { x, y: base });
  const at = (rows: readonly Pt[]): Outline => polygon(rows.map(([u, v]): Pt => [u * w, v * h]));
  const rock = pen.form(shape(outlineOfRock.map(([u, v]): Knot => [u * w, v * h, 1])), scene.rock, 1.7);
  sheet.within(rock, () => {
    pen.tint(at(rockLight), scene.stone);
    pen.black(at(rockFlank), scene.deep);
    for (let k = 0; k < 4; k++)
      pen.stroke(straight(w * (0.1 + k * 0.08), -h * 0.5, w * (0.06 + k * 0.09), 0), 1, {
        thin: 0.8,
        swell: 0,
      });
  });
}

/** A rock in shares of its width and height: its outline, the plane that has the light, the flank that has none. */
const outlineOfRock: readonly Pt[] = [
  [-0.5, 0.03],
  [-0.36, -0.6],
  [-0.06, -1],
  [0.26, -0.82],
  [0.5, 0.03],
];
const rockLight: readonly Pt[] = [
  [-0.06, -1],
  [0.26, -0.82],
  [0.36, -0.4],
  [0.05, -0.5],
];
const rockFlank: readonly Pt[] = [
  [-0.52, 0.06],
  [-0.36, -0.6],
  [-0.1, -0.9],
  [-0.16, -0.4],
  [-0.02, 0.06],
];
