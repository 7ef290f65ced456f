import { drawBoat } from '../art/boat.js';
import { drawHeronFlying } from '../art/heron.js';
import { drawHouse } from '../art/house.js';
import { drawOdda } from '../art/odda.js';
import { drawOddaProfile } from '../art/odda-head.js';
import { poses } from '../art/odda-poses.js';
import { day } from '../art/palette.js';
import { drawFoam, drawGlitter, drawSea, drawWave } from '../art/sea.js';
import { drawCloud, drawSky } from '../art/sky.js';
import { drawStair } from '../art/stair.js';
import { drawFarRoofs, drawPost } from '../art/town.js';
import { between } from '../ink/colour.js';
import { box, ellipse, knots, limb, line, polygon, straight } from '../ink/geometry.js';
import { balloon, caption, noise } from '../ink/lettering.js';
import { drawPanel, leaning, panel } from '../ink/panels.js';
import type { Sheet } from '../ink/sheet.js';

/** Down the stair, along the jetty, out over the roofs. */
export function drawPage03(sheet: Sheet): void {
  drawPanel(sheet, leaning(knots('-6,-6 318,-6 272,650 -6,650')), '#7a5a78', () => drawStair(sheet));
  drawPanel(sheet, leaning(knots('334,-6 694,-6 694,330 311,330')), day.skyHigh, () => jetty(sheet));
  drawPanel(sheet, leaning(knots('310,346 647,346 647,650 288,650')), '#f6c98a', () => wind(sheet));
  drawPanel(sheet, panel(-6, 668, 694, 1056), day.skyHigh, () => overRoofs(sheet));
  noise(sheet, { text: 'TAK', at: [200, 112], size: 20, fill: '#f7d68a', turn: 12 });
  noise(sheet, { text: 'TAK', at: [214, 316], size: 24, fill: '#f7d68a', turn: -10 });
  noise(sheet, { text: 'TAK', at: [22, 446], size: 22, fill: '#f7d68a', turn: 8 });
  balloon(sheet, {
    lines: ['IT FLIES LIKE A', 'CLOCK RUNS. I CAN', 'FOLLOW A CLOCK.'],
    centre: [556, 392],
    to: [512, 468],
  });
  caption(
    sheet,
    ['BELOW HER KEEL: ROPEWALK, BAKER STEPS,', 'THE LITTLE SCHOOL. SHE KNOWS THEM ALL.'],
    [44, 690],
    day.caption,
  );
  balloon(sheet, { lines: ['MIND THE', 'CHIMNEY, ODDA.'], centre: [402, 774], to: [304, 844] });
}

function jetty(sheet: Sheet): void {
  drawSky(sheet, box(300, -6, 400, 240), day, -20, 210, 14);
  drawCloud(sheet, day, { x: 600, base: 176, width: 260, height: 84, seed: 61 });
  drawSea(sheet, day, { x0: 300, x1: 694, horizon: 204, bottom: 340, seed: 28 });
  drawFarRoofs(sheet, 330, 560, 207, 40, between(day.haze, day.roofs[3], 0.45), 24);
  for (const x of [330, 396, 470]) sheet.form(box(x, 262, 13, 90), { fill: day.cast.woodShade, ink: 1.6 });
  const deck = polygon(knots('290,250 520,238 532,252 290,270'));
  sheet.form(deck, { fill: day.cast.wood, ink: 2 });
  for (let x = 310; x < 520; x += 26)
    sheet.stroke(line(straight(x, 249 - (x - 310) * 0.03, x + 8, 267 - (x - 310) * 0.06)), { weight: 1.3 });
  drawBoat(sheet, day, { x: 606, y: 296, scale: 0.62, crew: 'none', turn: -3 });
  drawFoam(sheet, day, 320, 520, 330, 7, 9);
  drawOdda(sheet, { x: 462, y: 222, height: 150, cast: day.cast, mood: 'glad' }, poses.run);
  sheet.stroke(line(knots('384,214 408,206 430,210')), { weight: 2 });
  sheet.stroke(line(knots('372,190 396,184 416,188')), { weight: 1.6 });
}

function wind(sheet: Sheet): void {
  const area = box(280, 340, 370, 320);
  sheet.gradient(area, '#4fb0c6', [300, 350], [480, 640], 0.9, 0);
  drawCloud(sheet, day, { x: 610, base: 600, width: 300, height: 90, seed: 71, ink: 1 });
  const tail = limb(knots('430,640 370,612 330,640 270,606'), [40, 34, 42, 30]);
  sheet.form(tail, { fill: day.cast.scarf, ink: 2.2 });
  sheet.within(tail, () =>
    sheet.tint(limb(knots('430,656 370,630 330,656 270,622'), [24, 18, 24, 18]), day.cast.scarfShade),
  );
  sheet.form(ellipse(440, 700, 130, 70), { fill: day.cast.coat, ink: 2.4 });
  sheet.form(ellipse(446, 636, 74, 26), { fill: day.cast.scarf, ink: 2.2 });
  drawOddaProfile(sheet, { x: 446, y: 546, size: 88, turn: -8, mood: 'calm', cast: day.cast });
  for (const [y, x] of [
    [460, 620],
    [500, 640],
    [580, 630],
  ])
    sheet.stroke(
      line([
        [x, y],
        [x - 40, y - 5],
        [x - 86, y + 3],
      ]),
      { weight: 1.6 },
    );
}

function overRoofs(sheet: Sheet): void {
  drawSky(sheet, box(-6, 660, 700, 200), day, 640, 850, 17);
  drawCloud(sheet, day, { x: 560, base: 800, width: 340, height: 96, seed: 81 });
  drawFarRoofs(sheet, -10, 700, 842, 50, between(day.haze, day.roofs[4], 0.25), 34);
  drawSea(sheet, day, { x0: -6, x1: 694, horizon: 838, bottom: 1060, seed: 38 });
  drawHouse(sheet, day, { x: 590, base: 882, width: 92, height: 128, seed: 91, ink: 1.3 });
  drawHouse(sheet, day, { x: 505, base: 866, width: 56, height: 70, seed: 97, ink: 1, far: 0.2 });
  drawHouse(sheet, day, { x: 60, base: 900, width: 110, height: 92, seed: 95, ink: 1.4 });
  drawPost(sheet, 160, 906, 46, day.cast.wood);
  drawGlitter(sheet, 590, 884, 930, 30, '#e9c69a', 5);
  drawHeronFlying(sheet, { x: 604, y: 716, scale: 0.4, cast: day.cast, flip: true, turn: -6, key: true });
  drawBoat(sheet, day, { x: 290, y: 948, scale: 1.0, mood: 'glad' });
  const pot = polygon(knots('470,1010 474,930 528,926 536,1014'));
  sheet.form(pot, { fill: day.roofs[1], ink: 2.2 });
  sheet.within(pot, () => {
    sheet.black(polygon(knots('460,1020 466,920 486,920 484,1020')), day.deep);
    for (let i = 0; i < 6; i++)
      sheet.stroke(line(straight(470, 944 + i * 12, 540, 942 + i * 12)), { weight: 1.2 });
  });
  sheet.form(polygon(knots('464,936 464,922 536,918 536,932')), { fill: day.stone, ink: 2 });
  drawFoam(sheet, day, 446, 566, 1012, 9, 19);
  drawWave(sheet, day, knots('-10,1030 90,1014 200,1030 330,1018 450,1034 580,1020 700,1034'), 1066);
}
