import { drawHeronFlying, drawHeronHead, drawHeronStanding } from '../art/heron.js';
import { drawOdda } from '../art/odda.js';
import { drawOddaHead } from '../art/odda-head.js';
import { poses } from '../art/odda-poses.js';
import { day } from '../art/palette.js';
import { drawSea } from '../art/sea.js';
import { drawCloud, drawDisc, drawSky } from '../art/sky.js';
import { drawFarRoofs } from '../art/town.js';
import { between } from '../ink/colour.js';
import { box, ellipse, knots, line, type Pt, polygon, straight } from '../ink/geometry.js';
import { balloon, noise } from '../ink/lettering.js';
import { drawPanel, leaning, panel } from '../ink/panels.js';
import type { Sheet } from '../ink/sheet.js';

/** The heron lands, and what it brings. */
export function drawPage02(sheet: Sheet): void {
  drawPanel(sheet, leaning(knots('40,40 647,40 647,292 40,330')), day.skyHigh, () => approach(sheet));
  drawPanel(sheet, leaning(knots('40,348 322,331 322,742 40,742')), day.skyHigh, () => landing(sheet));
  drawPanel(sheet, leaning(knots('338,330 647,310 647,528 338,528')), '#e8795a', () => beak(sheet));
  drawPanel(sheet, panel(338, 544, 647, 742), '#f7cf7a', () => knowing(sheet));
  drawPanel(sheet, panel(-6, 758, 694, 1056), day.skyLow, () => away(sheet));
  noise(sheet, { text: 'KLAK', at: [66, 262], size: 34, fill: '#ef7f3e', turn: -8 });
  noise(sheet, { text: 'KLAK', at: [172, 224], size: 26, fill: '#ef7f3e', turn: -8 });
  balloon(sheet, { lines: ['WHERE DID YOU', 'COME FROM?'], centre: [116, 400], to: [82, 566] });
  balloon(sheet, { lines: ["GRANDFATHER'S", 'KEY!'], centre: [574, 584], to: [520, 622] });
  balloon(sheet, { lines: ['WAIT!'], centre: [226, 796], to: [164, 838], size: 13 });
  balloon(sheet, { lines: ['WAIT FOR ME!'], centre: [330, 836], to: [172, 850], size: 11 });
}

function approach(sheet: Sheet): void {
  drawSky(sheet, box(40, 40, 610, 300), day, 20, 330, 5);
  drawDisc(sheet, [590, 96], 30, '#fff6d8', '#ffd48a', 190);
  drawCloud(sheet, day, { x: 150, base: 176, width: 300, height: 96, seed: 25 });
  drawCloud(sheet, day, { x: 560, base: 268, width: 320, height: 84, seed: 28 });
  drawCloud(sheet, day, { x: 250, base: 340, width: 420, height: 70, seed: 33 });
  drawHeronFlying(sheet, { x: 412, y: 214, scale: 1.12, cast: day.cast, turn: 6, flip: false, key: true });
}

function railing(sheet: Sheet, x0: number, x1: number, y: number, step: number): void {
  for (let x = x0; x < x1; x += step) sheet.form(box(x, y, 7, 160), { fill: day.cast.patinaShade, ink: 1.4 });
  sheet.form(box(x0 - 40, y - 10, x1 - x0 + 80, 12), { fill: day.cast.patina, ink: 1.8 });
}

function landing(sheet: Sheet): void {
  drawSky(sheet, box(40, 330, 290, 420), day, 320, 760, 7);
  drawCloud(sheet, day, { x: 270, base: 560, width: 220, height: 90, seed: 41 });
  drawSea(sheet, day, { x0: 40, x1: 330, horizon: 640, bottom: 760, seed: 8 });
  drawFarRoofs(sheet, 160, 330, 642, 34, between(day.haze, day.roofs[3], 0.45), 4);
  drawHeronStanding(sheet, { x: 246, y: 662, scale: 1.02, cast: day.cast, key: true });
  railing(sheet, 30, 330, 672, 34);
  drawOdda(
    sheet,
    { x: 96, y: 778, height: 216, cast: day.cast, mood: 'wonder' },
    { ...poses.stand, nod: -10 },
  );
}

function beak(sheet: Sheet): void {
  const area = box(338, 300, 310, 230);
  sheet.gradient(area, '#fbd08a', [360, 520], [640, 320], 0, 1);
  rays(sheet, [606, 380], '#f7b070');
  drawHeronHead(sheet, { x: 584, y: 386, scale: 2.7, cast: day.cast, key: true, turn: -4 });
}

/** Painted lines of force that fan out from where the eye should go. */
function rays(sheet: Sheet, [x, y]: Pt, colour: string): void {
  for (let i = 0; i < 26; i++) {
    const angle = (i / 26) * 2 * Math.PI + 0.1;
    const wide = i % 2 ? 0.05 : 0.025;
    sheet.tint(
      polygon([
        [x + 60 * Math.cos(angle), y + 60 * Math.sin(angle)],
        [x + 420 * Math.cos(angle - wide), y + 420 * Math.sin(angle - wide)],
        [x + 420 * Math.cos(angle + wide), y + 420 * Math.sin(angle + wide)],
      ]),
      colour,
    );
  }
}

function knowing(sheet: Sheet): void {
  const area = box(338, 544, 310, 200);
  sheet.gradient(area, '#e8795a', [338, 742], [500, 560], 0.7, 0);
  sheet.form(ellipse(420, 790, 120, 70), { fill: day.cast.coat, ink: 2.2 });
  sheet.form(ellipse(428, 732, 72, 26), { fill: day.cast.scarf, ink: 2 });
  drawOddaHead(sheet, { x: 434, y: 650, size: 82, turn: -4, mood: 'wonder', cast: day.cast });
  for (const [x, long] of [
    [532, 20],
    [548, 26],
    [564, 20],
  ])
    sheet.stroke(line(straight(x, 664, x + (x - 548) * 0.4, 664 - long)), { weight: 2.4, swell: 0.6 });
}

function away(sheet: Sheet): void {
  drawSky(sheet, box(-6, 758, 700, 300), day, 720, 1000, 9);
  drawCloud(sheet, day, { x: 540, base: 930, width: 380, height: 110, seed: 52 });
  drawCloud(sheet, day, { x: 60, base: 900, width: 240, height: 60, seed: 56, ink: 0.8 });
  drawSea(sheet, day, { x0: -6, x1: 694, horizon: 944, bottom: 1056, seed: 18 });
  drawFarRoofs(sheet, 280, 694, 948, 52, between(day.haze, day.roofs[3], 0.5), 14);
  drawHeronFlying(sheet, { x: 548, y: 872, scale: 0.74, cast: day.cast, flip: true, turn: -10, key: true });
  drawOdda(
    sheet,
    { x: 120, y: 1064, height: 248, cast: day.cast, mood: 'effort' },
    { ...poses.reach, sway: -10 },
  );
  railing(sheet, -20, 300, 1010, 44);
}
