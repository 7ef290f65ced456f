import { drawLantern } from '../art/boat.js';
import { drawClockTower } from '../art/clock-tower.js';
import { drawGrandfather } from '../art/grandfather.js';
import { drawHeronStanding } from '../art/heron.js';
import { drawLugger } from '../art/lugger.js';
import { drawOdda } from '../art/odda.js';
import { poses } from '../art/odda-poses.js';
import { night } from '../art/palette.js';
import { drawGlitter, drawSea } from '../art/sea.js';
import { drawSky, drawStars } from '../art/sky.js';
import { drawFarRoofs } from '../art/town.js';
import { between } from '../ink/colour.js';
import { box, type Knot, knots, line, type Pt, polygon, shape, straight } from '../ink/geometry.js';
import { balloon, caption } from '../ink/lettering.js';
import { drawPanel, panel } from '../ink/panels.js';
import { Pen } from '../ink/pen.js';
import { latticeValue } from '../ink/random.js';
import type { Sheet } from '../ink/sheet.js';

const { cast } = night;

/** Who answered comes home through the water gate. Large blacks, and the light lies over them. */
export function drawPage11(sheet: Sheet): void {
  sheet.form(box(-6, -6, 700, 1062), { fill: '#0e1334', ink: 0 });
  drawPanel(sheet, panel(-6, -6, 694, 684), night.skyHigh, () => gate(sheet), 0);
  drawPanel(sheet, panel(-6, 700, 312, 1056), '#1c2350', () => keeper(sheet), 0);
  drawPanel(sheet, panel(328, 700, 694, 1056), '#14204a', () => steps(sheet), 0);
  caption(sheet, ['THE LIGHT DID NOT BRING HIM.'], [44, 54], night.caption);
  caption(sheet, ['IT ONLY TOLD HIM WHERE HOME WAS.'], [412, 636], night.caption);
  balloon(sheet, { lines: ['YOU LEFT', 'A LIGHT ON.'], centre: [92, 766], to: [128, 836] });
  balloon(sheet, { lines: ["YOU'RE LATE."], centre: [584, 766], to: [530, 800] });
}

/** The harbour seen from inside the water gate. */
function gate(sheet: Sheet): void {
  drawSky(sheet, box(-6, -6, 700, 470), night, 40, 440, 53);
  drawStars(sheet, 110, 590, 90, 350, 70, 56);
  drawFarRoofs(sheet, 90, 600, 444, 60, between(night.haze, night.roofs[0], 0.4), 58);
  drawSea(sheet, night, { x0: -6, x1: 694, horizon: 440, bottom: 690, seed: 59 });
  const face = drawClockTower(sheet, night, { x: 196, base: 456, scale: 0.72, weight: 0.8 }, true);
  const lamp: Pt = [196, face[1] - 54];
  drawGlitter(sheet, 196, 462, 560, 20, '#ffd98a', 6);
  drawLugger(sheet, night, { x: 372, y: 556, scale: 1.02 });
  drawGlitter(sheet, 524, 566, 640, 20, '#ffc65a', 9);
  stonework(sheet);
  light(sheet, lamp);
}

const opening: readonly Knot[] = [
  [118, 690, 1],
  [112, 300, 1],
  [132, 196],
  [212, 108],
  [344, 74],
  [476, 108],
  [556, 196],
  [578, 300, 1],
  [572, 690, 1],
];

/** The gate itself: solid black, feathered at its inner edge, with joints scratched out of it. */
function stonework(sheet: Sheet): void {
  const edge = shape(opening).points;
  const outer: Pt[] = [
    [700, 700],
    [700, -10],
    [-10, -10],
    [-10, 700],
  ];
  sheet.black(polygon([...edge, ...outer]), night.deep);
  evenly(edge, 2.6).forEach(([x, y], index) => {
    if (y < 670) feather(sheet, x, y, index);
  });
  for (const side of [-1, 1]) for (let i = 0; i < 11; i++) joint(sheet, side, i);
  sheet.black(shape(knots('-10,700* -10,650* 160,640 330,652 520,644 700,650* 700,700*')), night.deep);
}

/** Points along a closed way, about as far apart as asked. */
function evenly(way: readonly Pt[], step: number): Pt[] {
  return way.flatMap(([x0, y0], index) => {
    const [x1, y1] = way[(index + 1) % way.length];
    const count = Math.max(1, Math.round(Math.hypot(x1 - x0, y1 - y0) / step));
    return Array.from(
      { length: count },
      (_, k): Pt => [x0 + ((x1 - x0) * k) / count, y0 + ((y1 - y0) * k) / count],
    );
  });
}

/** A flick of ink from the stone into the air, all of them leaning one way, as a hand draws them. */
function feather(sheet: Sheet, x: number, y: number, seed: number): void {
  const dx = 344 - x;
  const dy = y < 300 ? 330 - y : 0;
  const length = Math.hypot(dx, dy);
  const [nx, ny] = [dx / length, dy / length];
  const long = 4 + 24 * latticeValue(seed, 1, 61) ** 3;
  const lean = 0.45 * long;
  sheet.stroke(
    line(straight(x - nx * 4, y - ny * 4, x + nx * long - ny * lean, y + ny * long + Math.abs(nx) * lean)),
    {
      weight: 2.6,
      swell: 0,
      thin: 0.95,
    },
  );
}

function joint(sheet: Sheet, side: number, index: number): void {
  const y = 262 + index * 35;
  const inner = side < 0 ? 108 : 582;
  const long = 30 + 46 * latticeValue(index, side + 2, 67);
  sheet.scratch(line(straight(inner, y, inner + side * long, y + 3 * side)), {
    weight: 1.7,
    swell: 0.1,
    thin: 0.8,
  });
  if (index % 2)
    sheet.scratch(line(straight(inner + side * long * 0.6, y + 2, inner + side * long * 0.6, y + 30)), {
      weight: 1.4,
      thin: 0.7,
    });
}

/** All above the inks: the tower's beam, the lantern's glow, and a rim of light where the stone turns toward it. */
function light(sheet: Sheet, lamp: Pt): void {
  const lantern: Pt = [524, 450];
  sheet.within(box(-6, -6, 700, 690), () => {
    sheet.beam(lamp, [760, 236], 104, '#ffe2a0', 0.8);
    sheet.beam(lamp, [-70, 330], 70, '#ffe2a0', 0.7);
    sheet.glow(lamp, 120, '#ffb648', 0.75);
    sheet.glow(lamp, 34, '#fff3c4', 0.95);
    sheet.glow(lantern, 230, '#ff9a3a', 0.52);
    sheet.spark(lantern, 110, '#c9782e', 0.42);
    sheet.spark(lantern, 24, '#fff0c0', 0.5);
    sheet.rim(
      line(knots('573,352 577,430 576,500 574,580')),
      { weight: 5, swell: 0.4, thin: 0.5 },
      '#ffd08a',
      1.5,
      0.95,
    );
    sheet.rim(
      line(knots('452,444 462,438 478,440 484,452')),
      { weight: 3.4, swell: 0.4, thin: 0.5 },
      '#ffe0a8',
      1.1,
      0.9,
    );
    sheet.rim(
      line(knots('420,534 462,526 500,512 516,502')),
      { weight: 3.4, swell: 0.6, thin: 0.3 },
      '#ffc878',
      1.3,
      0.8,
    );
  });
}

/** Her grandfather's face, out of the dark by one lantern. */
function keeper(sheet: Sheet): void {
  const area = box(-6, 700, 320, 362);
  sheet.gradient(area, '#3a2f58', [300, 1000], [40, 760], 0.9, 0);
  drawGrandfather(sheet, { x: 140, y: 900, size: 74, cast: { ...cast, skin: '#d9a078' } });
  drawLantern(new Pen(sheet, { x: 268, y: 962, scale: 2.4 }, 1.4), night);
  sheet.within(area, () => {
    sheet.glow([268, 962], 250, '#ff9a3a', 0.42);
    sheet.spark([268, 962], 130, '#b86a2a', 0.36);
    sheet.rim(
      line(knots('196,842 206,860 217,872')),
      { weight: 3.6, swell: 0.4, thin: 0.5 },
      '#ffdca0',
      1.3,
      0.9,
    );
  });
}

/** She runs down the black steps toward it, and the bird has come along. */
function steps(sheet: Sheet): void {
  const area = box(328, 700, 370, 362);
  sheet.black(area, night.deep);
  wall(sheet);
  for (let i = 0; i < 7; i++) tread(sheet, 430 - i * 26, 886 + i * 26, i);
  sheet.form(polygon(knots('352,876 392,876 388,1060 356,1060')), { fill: cast.woodShade, ink: 2 });
  sheet.inkOnly(polygon(knots('372,876 392,876 388,1060 378,1060')));
  drawHeronStanding(sheet, { x: 370, y: 878, scale: 0.6, cast, flip: true });
  drawOdda(sheet, { x: 516, y: 984, height: 206, cast, mood: 'glad', flip: true }, poses.run);
  sheet.within(area, () => {
    sheet.glow([330, 1020], 300, '#ffa04a', 0.55);
    sheet.spark([326, 1030], 150, '#b86a2a', 0.5);
    sheet.rim(
      line(knots('396,806 402,816 404,830')),
      { weight: 3, swell: 0.4, thin: 0.5 },
      '#ffdca0',
      1.2,
      0.8,
    );
  });
}

/** The wall at the head of the steps, hatched into the black. */
function wall(sheet: Sheet): void {
  const face = polygon(knots('590,690 710,690 710,930 628,900'));
  sheet.form(face, { fill: night.stoneShade, ink: 0 });
  sheet.within(face, () => {
    for (let i = 0; i < 46; i++) {
      const y = 692 + i * 5;
      const long = 20 + 34 * latticeValue(i, 1, 71);
      sheet.stroke(line(straight(588 + i * 0.9, y, 592 + i * 0.9 + long, y + 3)), {
        weight: 2.4,
        swell: 0,
        thin: 0.9,
      });
    }
  });
}

function tread(sheet: Sheet, x: number, y: number, index: number): void {
  const stone = polygon([
    [x, y],
    [x + 170 + index * 22, y - 4],
    [x + 182 + index * 24, y + 9],
    [x - 8, y + 13],
  ]);
  sheet.form(stone, { fill: index % 2 ? '#56608f' : '#4a5484', ink: 1.6 });
  sheet.within(stone, () => {
    for (let k = 0; k < 26; k++) {
      const from = x + 190 + index * 24 - k * 7 * (1 + 0.2 * latticeValue(k, index, 73));
      sheet.stroke(line(straight(from, y - 6, from - 8, y + 15)), {
        weight: 3.4 - k * 0.13,
        swell: 0,
        thin: 0.5,
      });
    }
  });
}
