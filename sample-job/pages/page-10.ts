import { drawBoat, drawLantern } from '../art/boat.js';
import { drawClockTower } from '../art/clock-tower.js';
import { drawHouse } from '../art/house.js';
import { drawOdda } from '../art/odda.js';
import { drawOddaHead } from '../art/odda-head.js';
import { poses } from '../art/odda-poses.js';
import { night } from '../art/palette.js';
import { drawGlitter, drawSea } from '../art/sea.js';
import { drawCloud, drawSky, drawStars } from '../art/sky.js';
import { drawFarRoofs } from '../art/town.js';
import { between } from '../ink/colour.js';
import { box, ellipse, knots, limb, type Pt, polygon, shape } from '../ink/geometry.js';
import { balloon, caption } from '../ink/lettering.js';
import { drawPanel, panel } from '../ink/panels.js';
import { Pen } from '../ink/pen.js';
import type { Sheet } from '../ink/sheet.js';

const { cast } = night;

/** The lamp burns, and far out somebody answers. */
export function drawPage10(sheet: Sheet): void {
  sheet.form(box(-6, -6, 700, 1062), { fill: '#0e1334', ink: 0 });
  drawPanel(sheet, panel(-6, -6, 694, 480), night.skyHigh, () => lightOverTown(sheet), 0);
  drawPanel(sheet, panel(40, 496, 350, 716), '#7a4a5a', () => watching(sheet), 0);
  drawPanel(sheet, panel(366, 496, 647, 716), '#131a48', () => signal(sheet), 0);
  drawPanel(sheet, panel(-6, 732, 694, 1056), '#0b1236', () => answer(sheet), 0);
  caption(sheet, ['SO BRINEWICK HAD A LIGHT AGAIN.'], [44, 54], night.caption);
  balloon(sheet, { lines: ['NOW COME', 'BACK.'], centre: [286, 540], to: [250, 588] });
  caption(sheet, ['AND THAT NIGHT, AFTER ELEVEN YEARS OF ASKING,'], [44, 750], night.caption);
  caption(sheet, ['SOMEBODY ANSWERED.'], [480, 968], night.caption);
}

function lightOverTown(sheet: Sheet): void {
  drawSky(sheet, box(-6, -6, 700, 400), night, -20, 380, 23);
  drawStars(sheet, 0, 690, 4, 280, 90, 26);
  drawCloud(sheet, night, { x: 150, base: 250, width: 330, height: 80, seed: 24, ink: 0 });
  drawCloud(sheet, night, { x: 610, base: 300, width: 280, height: 60, seed: 27, ink: 0 });
  drawFarRoofs(sheet, -10, 700, 382, 70, between(night.haze, night.roofs[0], 0.4), 28);
  drawSea(sheet, night, { x0: -6, x1: 694, horizon: 378, bottom: 486, seed: 29 });
  for (const [x, base, width, height, seed] of [
    [60, 410, 76, 130, 3],
    [150, 398, 54, 96, 7],
    [560, 396, 56, 110, 12],
    [650, 416, 84, 160, 17],
    [250, 394, 46, 76, 22],
  ])
    drawHouse(sheet, night, { x, base, width, height, seed, ink: 1.2, lit: 0.45 });
  const face = drawClockTower(sheet, night, { x: 410, base: 404, scale: 1.02, weight: 1.2 }, true);
  const lamp: Pt = [412, face[1] - 76];
  for (const tip of [
    [
      [-60, -70],
      [-60, 60],
    ],
    [
      [760, 60],
      [760, 190],
    ],
  ] as const)
    sheet.glowShape(
      polygon([[lamp[0], lamp[1] - 8], tip[0], tip[1], [lamp[0], lamp[1] + 8]]),
      '#ffe6a0',
      5,
      0.62,
    );
  sheet.glow(lamp, 170, '#ffb648', 0.7);
  sheet.glow(lamp, 60, '#fff3c4', 0.95);
  drawGlitter(sheet, 412, 410, 478, 40, '#ffd98a', 6);
  drawBoat(sheet, night, { x: 300, y: 444, scale: 0.34, crew: 'none' });
}

function watching(sheet: Sheet): void {
  const area = box(40, 496, 312, 222);
  sheet.gradient(area, '#ffb648', [350, 500], [120, 700], 0.95, 0);
  for (const y of [520, 640])
    sheet.black(
      polygon([
        [30, y],
        [360, y - 14],
        [360, y + 2],
        [30, y + 14],
      ]),
      night.deep,
    );
  sheet.black(polygon(knots('66,480 86,480 96,720 74,720')), night.deep);
  sheet.form(ellipse(180, 752, 116, 74), { fill: cast.coat, ink: 2.4 });
  sheet.form(ellipse(182, 702, 68, 22), { fill: cast.scarf, ink: 2.2 });
  drawOddaHead(sheet, {
    x: 186,
    y: 622,
    size: 84,
    turn: -6,
    mood: 'glad',
    cast: { ...cast, skin: '#f0b484', skinShade: '#8a5876' },
  });
  sheet.glow([352, 520], 240, '#ff9a3a', 0.4);
}

function signal(sheet: Sheet): void {
  const area = box(366, 496, 282, 222);
  sheet.gradient(area, '#2f6b8c', [500, 500], [500, 716], 0, 0.9);
  drawStars(sheet, 366, 647, 500, 640, 30, 36);
  drawFarRoofs(sheet, 360, 660, 724, 46, '#1b2c62', 38);
  sheet.form(limb(knots('420,760 470,690 506,612'), [70, 60, 46]), { fill: cast.coat, ink: 2.6 });
  sheet.form(shape(knots('486,604 500,570 526,566 540,588 532,614 508,626')), { fill: '#e8b088', ink: 2.2 });
  drawLantern(new Pen(sheet, { x: 522, y: 644, scale: 2.6 }, 1.5), night);
  sheet.form(shape(knots('496,586 520,576 538,588 528,602 504,604')), { fill: '#e8b088', ink: 1.8 });
}

function answer(sheet: Sheet): void {
  const area = box(-6, 732, 700, 330);
  sheet.gradient(area, '#2a5f8a', [0, 760], [0, 912], 0, 0.95);
  drawStars(sheet, 0, 694, 740, 870, 70, 46);
  drawSea(sheet, { ...night, sea: '#12305c' }, { x0: -6, x1: 694, horizon: 908, bottom: 1060, seed: 48 });
  drawFarRoofs(sheet, 540, 640, 910, 10, '#1d4470', 3);
  drawGlitter(sheet, 588, 912, 1010, 12, '#ffe6a0', 9);
  sheet.black(polygon(knots('-10,1060 -10,1000 330,992 330,1060')), night.deep);
  for (const x of [20, 92, 164, 236, 308])
    sheet.black(
      polygon([
        [x, 1000],
        [x, 936],
        [x + 7, 936],
        [x + 7, 1000],
      ]),
      night.deep,
    );
  sheet.black(polygon(knots('-10,930 340,926 340,938 -10,942')), night.deep);
  drawOdda(
    sheet,
    { x: 190, y: 1004, height: 188, cast, mood: 'glad' },
    {
      ...poses.away,
      scarf: [
        [10, -72],
        [24, -66],
        [38, -73],
        [52, -66],
      ],
    },
  );
  sheet.glow([588, 900], 96, '#ffb648', 0.75);
  sheet.glow([588, 900], 26, '#fff6d0', 1);
  sheet.spark([588, 900], 9, '#fff6d0');
}
