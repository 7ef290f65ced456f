import { drawBoat } from '../art/boat.js';
import { drawClockTower } from '../art/clock-tower.js';
import { drawHeronFlying } from '../art/heron.js';
import { drawHouse } from '../art/house.js';
import { night } from '../art/palette.js';
import { drawGlitter, ripples } from '../art/sea.js';
import { drawCloud, drawMoon, drawSky, drawStars } from '../art/sky.js';
import { drawFarRoofs } from '../art/town.js';
import { between } from '../ink/colour.js';
import { box, ellipse, type Knot, knots, limb, line, polygon, shape } from '../ink/geometry.js';
import { balloon, caption } from '../ink/lettering.js';
import { latticeValue, randomFrom } from '../ink/random.js';
import type { Sheet } from '../ink/sheet.js';

const right = 1350;
const horizon = 500;

/** The spread: above, the moon and the tower; below, the drowned streets with something alight in their windows. */
export function drawSpread(sheet: Sheet): void {
  above(sheet);
  below(sheet);
  waterLine(sheet);
  drawHeronFlying(sheet, { x: 620, y: 208, scale: 1.05, cast: night.cast, flip: true, turn: -6, key: true });
  sheet.glow([728, 162], 60, night.lamp, 0.7);
  drawBoat(sheet, night, { x: 330, y: 528, scale: 1.08, mood: 'wonder', lantern: true });
  lightBelow(sheet);
  caption(sheet, ['BY NIGHT THE ROADS', 'ARE EASIER TO READ.'], [50, 56], night.caption, 9.6);
  balloon(sheet, { lines: ["DON'T LOOK DOWN,", "DON'T LOOK DOWN..."], centre: [170, 352], to: [296, 420] });
  balloon(sheet, { lines: ['OH.'], centre: [214, 440], to: [290, 436], size: 11 });
  caption(
    sheet,
    ['NOBODY HAD LIT A LAMP IN BAKER STEPS', 'FOR ELEVEN YEARS.'],
    [962, 960],
    night.caption,
    9.6,
  );
}

function above(sheet: Sheet): void {
  drawSky(sheet, box(0, 0, right, horizon + 10), night, 0, horizon, 3);
  drawStars(sheet, 0, right, 6, 380, 190, 6);
  drawMoon(sheet, [872, 190], 116, night);
  drawCloud(sheet, night, { x: 210, base: 300, width: 460, height: 120, seed: 4, ink: 0 });
  drawCloud(sheet, night, { x: 1180, base: 180, width: 420, height: 100, seed: 7, ink: 0 });
  drawCloud(sheet, night, { x: 700, base: 400, width: 620, height: 70, seed: 12, ink: 0 });
  drawFarRoofs(sheet, -10, right, horizon + 4, 92, between(night.haze, night.roofs[0], 0.35), 8);
  drawFarRoofs(sheet, -40, right, horizon + 6, 58, between(night.haze, night.roofs[0], 0.7), 18);
  for (const [x, base, width, height, seed] of [
    [560, 512, 60, 96, 3],
    [716, 514, 70, 128, 5],
    [1240, 522, 96, 190, 9],
    [1324, 528, 100, 240, 14],
    [60, 520, 90, 130, 21],
  ])
    drawHouse(sheet, night, { x, base, width, height, seed, ink: 1.3, far: 0.05 });
  drawClockTower(sheet, night, { x: 1050, base: 520, scale: 1.34, weight: 1.3 });
}

/** The water from the side: light above, black below, the town standing in it to its knees. */
function below(sheet: Sheet): void {
  const deep = box(0, horizon + 12, right, 560);
  sheet.form(deep, { fill: '#1d6580', ink: 0 });
  sheet.gradient(deep, '#3f9aa0', [0, horizon], [0, horizon + 90], 0.7, 0);
  sheet.gradient(deep, night.seaDeep, [0, horizon + 60], [0, 1010], 0, 0.96);
  for (let i = 0; i < 9; i++) {
    const x = 520 + i * 92 + 30 * latticeValue(i, 3, 9);
    sheet.mist(
      polygon([
        [x, horizon + 10],
        [x + 34, horizon + 10],
        [x - 60, 1000],
        [x - 170, 1000],
      ]),
      '#58b8b4',
      9,
      0.22,
    );
  }
  sunkenRow(sheet, 840, 0.62, 5, 11);
  sunkenRow(sheet, 930, 0.34, 9, 23);
  sunkenRow(sheet, 1040, 0.06, 13, 37);
  seabed(sheet);
  fish(sheet, knots('420,700 462,716 500,694 540,724 446,744 392,730'));
  fish(sheet, knots('980,640 1020,655 1056,636 1010,680'));
  bubbles(sheet);
}

function sunkenRow(sheet: Sheet, base: number, far: number, step: number, seed: number): void {
  const random = randomFrom(seed);
  const water = { ...night, haze: '#1f6a84', trim: '#3f8a98', lamp: '#ffd884' };
  for (let x = -20; x < right + 60; ) {
    const width = (1 - far) * (96 + 50 * random());
    const height = width * (1.5 + 0.9 * random());
    drawHouse(sheet, water, {
      x,
      base: base + 30 * random(),
      width,
      height,
      seed: seed + Math.round(x),
      far: far * 0.9,
      ink: 1.7 * (1 - far),
      lit: 0.62,
    });
    x += width * (1.15 + random() * (step / 9));
  }
}

function seabed(sheet: Sheet): void {
  sheet.black(
    shape(
      knots(
        '-10,1070* -10,1012* 120,1000 300,1022 520,1008 700,1030 900,1014 1120,1028 1360,1004*',
        '1360,1070*',
      ),
    ),
    night.deep,
  );
  for (let i = 0; i < 26; i++) {
    const x = 20 + i * 52 + 30 * latticeValue(i, 1, 4);
    const tall = 40 + 80 * latticeValue(i, 2, 4);
    const lean = 16 * (latticeValue(i, 3, 4) - 0.5);
    sheet.black(
      limb(
        [
          [x, 1040],
          [x + lean, 1020 - tall * 0.5],
          [x - lean, 1016 - tall],
        ],
        [9, 7, 1],
      ),
      night.deep,
    );
  }
}

function fish(sheet: Sheet, places: readonly Knot[]): void {
  for (const [x, y] of places) {
    sheet.form(
      shape([
        [x - 18, y, 1],
        [x - 4, y - 7],
        [x + 14, y - 2],
        [x + 26, y - 9, 1],
        [x + 22, y],
        [x + 26, y + 8, 1],
        [x + 14, y + 3],
        [x - 4, y + 7],
      ]),
      { fill: '#7fc4c0', ink: 1.2 },
    );
    sheet.inkOnly(ellipse(x - 10, y - 1.5, 1.5));
    sheet.stroke(
      line([
        [x - 2, y - 5],
        [x + 1, y],
        [x - 2, y + 5],
      ]),
      { weight: 0.9 },
    );
  }
}

function bubbles(sheet: Sheet): void {
  for (let i = 0; i < 60; i++) {
    const column = Math.floor(latticeValue(i, 4, 6) * 7);
    const x = 120 + column * 180 + 14 * Math.sin(i * 1.7);
    const y = 560 + 420 * latticeValue(i, 5, 6);
    const r = 1.4 + 3.6 * latticeValue(i, 6, 6);
    sheet.contour(ellipse(x, y, r), 1);
    sheet.tint(ellipse(x - r * 0.3, y - r * 0.3, r * 0.4), '#cfeee4');
  }
}

/** The skin of the water, where both worlds meet. */
function waterLine(sheet: Sheet): void {
  const skin = polygon([
    [-10, horizon],
    [right + 10, horizon],
    [right + 10, horizon + 44],
    [1100, horizon + 50],
    [700, horizon + 44],
    [300, horizon + 52],
    [-10, horizon + 44],
  ]);
  sheet.form(skin, { fill: '#2f7f96', ink: 0 });
  sheet.gradient(skin, '#8fd0c4', [0, horizon], [0, horizon + 46], 0.75, 0.1);
  sheet.within(skin, () => {
    const stretch = { x0: 0, x1: right, horizon, bottom: horizon + 50 };
    ripples(sheet, { ...stretch, seed: 5, density: 90 }, '#bfe6d4', 1, 5);
    ripples(sheet, { ...stretch, seed: 6, density: 80 }, undefined, 1, 6);
    drawGlitter(sheet, 872, horizon + 2, horizon + 46, 90, '#f4efd2', 8);
  });
  sheet.stroke(
    line([
      [-10, horizon + 44],
      [150, horizon + 50],
      [300, horizon + 50],
      [520, horizon + 45],
      [700, horizon + 46],
      [900, horizon + 49],
      [1100, horizon + 50],
      [right + 10, horizon + 44],
    ]),
    { weight: 3, swell: 0.02, thin: 0.02 },
  );
}

/** The lantern's light goes down into the water with her look. */
function lightBelow(sheet: Sheet): void {
  sheet.glowShape(polygon(knots('396,552 470,552 640,980 300,980')), '#c9a24a', 26, 0.34);
  for (let i = 0; i < 40; i++)
    sheet.spark(
      [300 + 320 * latticeValue(i, 1, 3), 570 + 400 * latticeValue(i, 2, 3)],
      3.4 + 3 * latticeValue(i, 3, 3),
      '#ffdf9a',
      0.8,
    );
}
