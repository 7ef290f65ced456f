import { drawBoat } from '../art/boat.js';
import { drawHeronFlying } from '../art/heron.js';
import { day } from '../art/palette.js';
import { drawSea } from '../art/sea.js';
import { drawCloud, drawSky } from '../art/sky.js';
import { drawFarRoofs } from '../art/town.js';
import { box, knots, line } from '../ink/geometry.js';
import { letterBlock } from '../ink/lettering.js';
import { drawPanel, panel } from '../ink/panels.js';
import type { Sheet } from '../ink/sheet.js';

/** The keeper's log, printed in black ink alone: drawn and washed in grey, with a page of writing between two pictures. */
export function drawPage13(sheet: Sheet): void {
  sheet.form(box(-6, -6, 700, 1062), { fill: '#efe9dc', ink: 0 });
  drawPanel(sheet, panel(-6, -6, 694, 420), day.skyHigh, () => town(sheet));
  drawPanel(sheet, panel(-6, 792, 694, 1056), day.skyHigh, () => boat(sheet));
  letterBlock(sheet, ['FROM THE LOG OF BRINEWICK LIGHT'], [344, 466], { size: 21 });
  sheet.stroke(line(knots('204,488 344,486 484,488')), { weight: 2.2, swell: 0.2, thin: 0.2 });
  for (const [at, lines] of entries.entries())
    letterBlock(sheet, lines, [344, 528 + at * 84], { size: 14.5 });
}

const entries = [
  [
    'THE FOURTH. WIND FROM THE SOUTH-WEST, THE GLASS FALLING.',
    'THE BIRD WAS AT THE LANTERN AGAIN, AND WOUND ITSELF.',
  ],
  [
    'THE FIFTH. WATER OVER BAKER STEPS BY NOON. NOBODY LOST.',
    'THE GIRL CAME FOR OIL AND STAYED FOR THE TIDE TABLES.',
  ],
  ['THE SIXTH. CALM. SET THE TOWN CLOCK BY THE HERON,', 'WHICH IS TO SAY, FOUR MINUTES FAST.'],
];

function town(sheet: Sheet): void {
  drawSky(sheet, box(-6, -6, 700, 340), day, -20, 320, 31);
  drawCloud(sheet, day, { x: 520, base: 210, width: 320, height: 110, seed: 33 });
  drawCloud(sheet, day, { x: 150, base: 266, width: 280, height: 80, seed: 35 });
  drawFarRoofs(sheet, -6, 694, 318, 74, day.roofs[3], 37);
  drawSea(sheet, day, { x0: -6, x1: 694, horizon: 316, bottom: 430, seed: 39 });
  drawHeronFlying(sheet, { x: 322, y: 214, scale: 0.94, cast: day.cast, key: true });
}

function boat(sheet: Sheet): void {
  drawSky(sheet, box(-6, 780, 700, 160), day, 760, 930, 43);
  drawSea(sheet, day, { x0: -6, x1: 694, horizon: 900, bottom: 1062, seed: 45 });
  drawBoat(sheet, day, { x: 250, y: 968, scale: 0.9, crew: 'none', turn: -2 });
}
