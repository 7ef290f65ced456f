import { between, type Hex } from '../ink/colour.js';
import { box, type Knot, line, type Outline, polygon, straight } from '../ink/geometry.js';
import { Pen } from '../ink/pen.js';
import { randomFrom } from '../ink/random.js';
import type { Sheet } from '../ink/sheet.js';
import { type House, windows } from './house-window.js';
import type { Scene } from './palette.js';
import { drawGlitter } from './sea.js';

/** A tall gabled house that stands in the water, seen from the front, with its shadow side on the left. */
export function drawHouse(sheet: Sheet, scene: Scene, house: House): void {
  const { x, base, width, height, seed, ink = 1.2, far = 0, lit = 0 } = house;
  const random = randomFrom(seed);
  const fade = (colour: Hex) => between(colour, scene.haze, far);
  const wall = fade(scene.walls[Math.floor(random() * scene.walls.length)]);
  const roof = fade(scene.roofs[Math.floor(random() * scene.roofs.length)]);
  const pen = new Pen(sheet, { x, y: base, turn: (random() - 0.5) * 3 }, ink);
  const eaves = -height * (0.62 + random() * 0.1);
  const half = width / 2;
  const peak = -height;
  if (random() > 0.35)
    chimney(pen, scene, half * (random() > 0.5 ? 0.5 : -0.55), peak * 0.8, width * 0.15, height * 0.2, fade);
  const front = pen.solid(gable(half, eaves, peak + width * 0.1), wall, 1);
  pen.within(front, () => {
    pen.tint(shadowSide(half, eaves, peak), between(wall, fade(scene.stoneShade), 0.45));
    sheet.shade(front, scene.shadow, [x, base + eaves * 0.35], [x, base], 0, 0.75);
    pen.stroke(
      [
        [-half, -height * 0.06],
        [0, -height * 0.075],
        [half, -height * 0.055],
      ],
      0.9,
      { swell: 0.1, thin: 0.2 },
    );
    brickMarks(pen, half, eaves, random, ink);
  });
  windows(pen, scene, house, eaves, random, lit, fade);
  if (far < 0.6) reflection(sheet, scene, house, wall);
  roofOf(pen, half, eaves, peak, roof, between(roof, scene.deep, 0.4 * (1 - far)));
}

function gable(half: number, eaves: number, peak: number): Knot[] {
  return [
    [-half, 4, 1],
    [-half * 0.97, eaves, 1],
    [0, peak, 1],
    [half * 0.97, eaves, 1],
    [half, 4, 1],
  ];
}

function shadowSide(half: number, eaves: number, peak: number): Outline {
  return polygon([
    [-half, 8],
    [-half, eaves],
    [0, peak],
    [-half * 0.45, eaves * 0.8],
    [-half * 0.52, 8],
  ]);
}

/** Broken colour on the water at the foot of a wall, and the line where they meet. */
function reflection(
  sheet: Sheet,
  scene: Scene,
  { x, base, width, height, seed, ink = 1.2 }: House,
  wall: Hex,
): void {
  drawGlitter(
    sheet,
    x,
    base + 5,
    base + 8 + height * 0.3,
    width * 0.52,
    between(wall, scene.sea, 0.45),
    seed,
  );
  for (const [dx, dy, long] of [
    [-0.62, 3, 0.9],
    [0.05, 5, 0.62],
    [-0.3, 9, 0.5],
  ])
    sheet.stroke(
      line([
        [x + dx * width, base + dy],
        [x + (dx + long / 2) * width, base + dy + 1.6],
        [x + (dx + long) * width, base + dy],
      ]),
      { weight: 1.7 * ink },
    );
}

function roofOf(pen: Pen, half: number, eaves: number, peak: number, fill: Hex, dark: Hex): void {
  const over = half * 0.2;
  const thick = half * 0.3;
  for (const side of [1, -1] as const)
    pen.solid(
      [
        [0, peak - thick, 1],
        [side * (half + over), eaves + thick * 0.4, 1],
        [side * (half + over * 0.7), eaves + thick * 1.5, 1],
        [0, peak + thick * 0.9, 1],
      ],
      side > 0 ? fill : dark,
      1.2,
    );
}

function chimney(
  pen: Pen,
  scene: Scene,
  x: number,
  y: number,
  w: number,
  h: number,
  fade: (c: Hex) => Hex,
): void {
  pen.form(box(x - w / 2, y - h * 0.5, w, h * 1.5), fade(scene.roofs[1]), 1);
  pen.form(box(x - w * 0.7, y - h * 0.62, w * 1.4, h * 0.18), fade(scene.stone), 1);
}

function brickMarks(pen: Pen, half: number, eaves: number, random: () => number, ink: number): void {
  if (ink === 0) return;
  for (let i = 0; i < 9; i++) {
    const x = half * (1.6 * random() - 0.8);
    const y = eaves * random();
    pen.stroke(straight(x, y, x + half * 0.16, y), 0.7);
    if (random() > 0.5) pen.stroke(straight(x + half * 0.08, y + 2.4, x + half * 0.22, y + 2.4), 0.7);
  }
}
