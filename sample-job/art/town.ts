import { between, type Hex } from '../ink/colour.js';
import { box, ellipse, type Knot, line, polygon, shape } from '../ink/geometry.js';
import { Pen } from '../ink/pen.js';
import { randomFrom } from '../ink/random.js';
import type { Sheet } from '../ink/sheet.js';
import type { Scene } from './palette.js';
import { drawGlitter } from './sea.js';

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
  const front = pen.solid(
    [
      [-half, 4, 1],
      [-half * 0.97, eaves, 1],
      [0, peak + width * 0.1, 1],
      [half * 0.97, eaves, 1],
      [half, 4, 1],
    ],
    wall,
    1,
  );
  pen.within(front, () => {
    pen.tint(
      polygon([
        [-half, 8],
        [-half, eaves],
        [0, peak],
        [-half * 0.45, eaves * 0.8],
        [-half * 0.52, 8],
      ]),
      between(wall, fade(scene.stoneShade), 0.45),
    );
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
    pen.stroke(
      [
        [x, y, 1],
        [x + half * 0.16, y, 1],
      ],
      0.7,
    );
    if (random() > 0.5)
      pen.stroke(
        [
          [x + half * 0.08, y + 2.4, 1],
          [x + half * 0.22, y + 2.4, 1],
        ],
        0.7,
      );
  }
}

function windows(
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
  const pane = shape([
    [x - w / 2, y, 1],
    [x - w / 2, y - h * 0.7, 1],
    [x, y - h],
    [x + w / 2, y - h * 0.7, 1],
    [x + w / 2, y, 1],
  ]);
  const placed = lit ? pen.form(pane, scene.lamp, 0.9) : pen.black(pane, fade(scene.window));
  if (!lit)
    pen.within(placed, () => {
      pen.scratch(
        [
          [x - w * 0.5, y - h * 0.4, 1],
          [x + w * 0.5, y - h * 0.75, 1],
        ],
        w * 0.1,
      );
      pen.colour(
        [
          [x - w * 0.5, y - h * 0.4, 1],
          [x + w * 0.5, y - h * 0.75, 1],
        ],
        w * 0.1,
        fade(scene.trim),
      );
    });
  else {
    pen.stroke(
      [
        [x, y, 1],
        [x, y - h, 1],
      ],
      0.7,
      { swell: 0, thin: 0 },
    );
    const middle = pen.at(ellipse(x, y - h / 2, 0.01)).points[0];
    pen.sheet.glow(middle, w * 2.6, scene.lamp, 0.4);
  }
  pen.form(box(x - w * 0.65, y, w * 1.3, w * 0.16), fade(scene.trim), 0.7);
}

/** A far row of roofs in one flat tone: the air between takes their line away. */
export function drawFarRoofs(
  sheet: Sheet,
  x0: number,
  x1: number,
  base: number,
  height: number,
  fill: Hex,
  seed: number,
): void {
  const random = randomFrom(seed);
  let x = x0;
  while (x < x1) {
    const w = height * (0.35 + random() * 0.45);
    const h = height * (0.45 + random() * 0.55);
    const knots: Knot[] = [
      [x, base, 1],
      [x, base - h * 0.66, 1],
      [x + w / 2, base - h, 1],
      [x + w, base - h * 0.66, 1],
      [x + w, base, 1],
    ];
    sheet.form(shape(knots), { fill, ink: 0 });
    if (random() > 0.5) sheet.form(box(x + w * 0.7, base - h * 1.02, w * 0.12, h * 0.35), { fill, ink: 0 });
    x += w * (0.8 + random() * 0.9);
  }
}

/** A mast, a post or a chimney pot that still shows above the water. */
export function drawPost(sheet: Sheet, x: number, base: number, height: number, fill: Hex): void {
  sheet.form(
    shape([
      [x - 2.4, base, 1],
      [x - 2, base - height, 1],
      [x + 2.2, base - height - 1, 1],
      [x + 2.8, base, 1],
    ]),
    { fill, ink: 1.2 },
  );
  sheet.stroke(
    line([
      [x - 7, base + 1],
      [x, base + 3],
      [x + 9, base + 1],
    ]),
    { weight: 1.2 },
  );
}
