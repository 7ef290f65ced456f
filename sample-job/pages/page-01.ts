import { drawBoat } from '../art/boat.js';
import { drawHeronFlying } from '../art/heron.js';
import { drawHouse } from '../art/house.js';
import { drawLighthouse, drawRocks } from '../art/lighthouse.js';
import { drawOdda } from '../art/odda.js';
import { drawOddaHead } from '../art/odda-head.js';
import { poses } from '../art/odda-poses.js';
import { day } from '../art/palette.js';
import { drawGlitter, drawSea, drawWave } from '../art/sea.js';
import { drawCloud, drawDisc, drawSky } from '../art/sky.js';
import { drawFarRoofs, drawPost } from '../art/town.js';
import { between } from '../ink/colour.js';
import { box, ellipse, knots, line, polygon, straight } from '../ink/geometry.js';
import { balloon, caption, noise } from '../ink/lettering.js';
import { drawPanel, panel } from '../ink/panels.js';
import type { Sheet } from '../ink/sheet.js';

/** Morning over the drowned town; Odda cleans the lamp, and something comes. */
export function drawPage01(sheet: Sheet): void {
  drawPanel(sheet, panel(-6, -6, 694, 640), day.skyHigh, () => harbour(sheet));
  drawPanel(sheet, panel(40, 656, 340, 1010), day.skyHigh, () => gallery(sheet));
  drawPanel(sheet, panel(356, 656, 694, 1056), day.skyLow, () => glance(sheet));
  noise(sheet, { text: "THE HERON'S ERRAND", at: [44, 52], size: 30, fill: day.cast.lens, pen: 0.2 });
  caption(sheet, ['BRINEWICK. ELEVEN YEARS', 'AFTER THE SEA CAME IN.'], [44, 102], day.caption);
  balloon(sheet, {
    lines: ['FORTY-ONE', 'PANES. FORTY', 'OF THEM CLEAN.'],
    centre: [110, 706],
    to: [166, 768],
  });
  balloon(sheet, { lines: ['...AND THAT', 'IS NO GULL.'], centre: [590, 700], to: [548, 768] });
}

function harbour(sheet: Sheet): void {
  drawSky(sheet, box(-6, -6, 700, 420), day, 0, 390, 11);
  drawDisc(sheet, [196, 262], 40, '#fff6d8', '#ffd48a', 250);
  drawCloud(sheet, day, { x: 560, base: 214, width: 330, height: 120, seed: 4 });
  drawCloud(sheet, day, { x: 60, base: 250, width: 210, height: 62, seed: 8, ink: 0.8 });
  drawCloud(sheet, day, { x: 300, base: 330, width: 300, height: 44, seed: 6, ink: 0 });
  drawFarRoofs(sheet, -10, 700, 392, 62, between(day.haze, day.roofs[4], 0.22), 5);
  drawFarRoofs(sheet, -30, 420, 400, 74, between(day.haze, day.roofs[3], 0.36), 9);
  drawSea(sheet, day, { x0: -6, x1: 700, horizon: 394, bottom: 660, seed: 3 });
  drawGlitter(sheet, 196, 398, 560, 46, '#fdf0c4', 12);
  for (const [x, base, width, height, seed, far] of [
    [250, 412, 46, 96, 3, 0.45],
    [318, 418, 50, 120, 14, 0.4],
    [372, 416, 40, 86, 21, 0.42],
    [96, 446, 64, 150, 32, 0.12],
    [30, 462, 78, 206, 48, 0.04],
    [160, 452, 48, 104, 57, 0.12],
  ])
    drawHouse(sheet, day, { x, base, width, height, seed, far, ink: 1.3 - far });
  drawPost(sheet, 236, 486, 40, day.cast.wood);
  drawPost(sheet, 268, 500, 54, day.cast.wood);
  drawRocks(sheet, day, 400, 700, 566, 74, 17);
  drawLighthouse(sheet, day, { x: 548, base: 530, scale: 1.36, weight: 1.15 });
  drawRocks(sheet, day, 430, 700, 590, 40, 23);
  drawHeronFlying(sheet, { x: 372, y: 226, scale: 0.24, cast: day.cast, flip: true });
  drawBoat(sheet, day, { x: 250, y: 556, scale: 0.5, crew: 'none' });
  drawWave(sheet, day, knots('-10,610 60,596 150,612 250,600 360,616 470,600 580,612 700,596'), 660);
}

function gallery(sheet: Sheet): void {
  drawSky(sheet, box(40, 656, 300, 360), day, 640, 1000, 21);
  drawCloud(sheet, day, { x: 90, base: 860, width: 190, height: 70, seed: 15, ink: 0.9 });
  const wall = box(236, 640, 120, 380);
  sheet.form(wall, { fill: day.lamp, ink: 1.8 });
  sheet.within(wall, () => panes(sheet));
  sheet.glow([300, 800], 190, '#ffe7a0', 0.5);
  drawOdda(sheet, { x: 170, y: 1010, height: 262, cast: day.cast, mood: 'effort' }, poses.reach);
  sheet.form(polygon(knots('236,806 262,792 270,812 246,828')), { fill: '#f6f0dc', ink: 1.4 });
  rail(sheet, 40, 240, 936);
}

/** The lamp room's glass: crossed bars and slanting lights. */
function panes(sheet: Sheet): void {
  for (let i = 0; i < 5; i++)
    sheet.tint(
      polygon([
        [236, 700 + i * 90],
        [356, 640 + i * 90],
        [356, 664 + i * 90],
        [236, 724 + i * 90],
      ]),
      '#fff7d6',
    );
  for (let i = -2; i < 8; i++) {
    sheet.stroke(line(straight(236, 640 + i * 70, 356, 740 + i * 70)), {
      weight: 2.6,
      swell: 0,
      thin: 0,
      ends: 1,
    });
    sheet.stroke(line(straight(356, 640 + i * 70, 236, 740 + i * 70)), {
      weight: 2.6,
      swell: 0,
      thin: 0,
      ends: 1,
    });
  }
}

function rail(sheet: Sheet, x0: number, x1: number, y: number): void {
  for (let x = x0 + 14; x < x1; x += 40)
    sheet.form(box(x, y, 6, 90), { fill: day.cast.patinaShade, ink: 1.3 });
  sheet.form(box(x0 - 4, y - 7, x1 - x0 + 4, 10), { fill: day.cast.patina, ink: 1.7 });
}

function glance(sheet: Sheet): void {
  const area = box(356, 650, 340, 410);
  sheet.gradient(area, '#f08a5a', [356, 1056], [694, 700], 0.85, 0);
  drawCloud(sheet, day, { x: 640, base: 836, width: 260, height: 96, seed: 31, ink: 1 });
  sheet.form(ellipse(430, 1110, 190, 110), { fill: day.cast.coat, ink: 2.6 });
  const wrap = ellipse(446, 1010, 106, 40, -0.05);
  sheet.form(wrap, { fill: day.cast.scarf, ink: 2.4 });
  sheet.within(wrap, () => {
    sheet.tint(ellipse(420, 1036, 110, 30), day.cast.scarfShade);
    for (const dy of [-14, 0, 14])
      sheet.stroke(
        line([
          [350, 1004 + dy],
          [450, 1020 + dy],
          [540, 996 + dy],
        ]),
        { weight: 1.8 },
      );
  });
  drawOddaHead(sheet, { x: 462, y: 892, size: 116, turn: -8, mood: 'wary', cast: day.cast });
}
