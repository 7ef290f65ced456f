import { drawHeronStanding } from '../art/heron.js';
import { day } from '../art/palette.js';
import { drawSea } from '../art/sea.js';
import { drawCloud, drawSky } from '../art/sky.js';
import { box, ellipse, knots, line } from '../ink/geometry.js';
import { letterBlock } from '../ink/lettering.js';
import type { Sheet } from '../ink/sheet.js';

/** The bookplate is smaller than a page: 4 x 5 in, with bleed 4.25 x 5.25 in. */
export const bookplateWidth = 425;
export const bookplateHeight = 525;

/** A plate to paste into the book: the heron on its post, and a line for a name. */
export function drawBookplate(sheet: Sheet): void {
  sheet.form(box(-6, -6, 440, 540), { fill: '#f7e6bf', ink: 0 });
  const medal = ellipse(212, 208, 158, 158);
  sheet.form(medal, { fill: day.skyHigh, ink: 0 });
  sheet.within(medal, () => {
    drawSky(sheet, box(40, 40, 350, 260), day, 40, 280, 3);
    drawCloud(sheet, day, { x: 290, base: 190, width: 220, height: 80, seed: 5 });
    drawCloud(sheet, day, { x: 90, base: 240, width: 170, height: 50, seed: 8 });
    drawSea(sheet, day, { x0: 40, x1: 390, horizon: 286, bottom: 380, seed: 4 });
    sheet.form(box(216, 300, 26, 90), { fill: day.cast.woodShade, ink: 2 });
    sheet.form(box(206, 292, 46, 12), { fill: day.cast.wood, ink: 2 });
    drawHeronStanding(sheet, { x: 240, y: 294, scale: 0.98, cast: day.cast, key: true });
  });
  sheet.contour(medal, 5);
  sheet.contour(ellipse(212, 208, 168, 168), 1.8);
  letterBlock(sheet, ['CAME UP WITH THE TIDE', 'AND BELONGS TO'], [212, 416], { size: 15 });
  sheet.stroke(line(knots('90,476 212,474 336,476')), { weight: 2.2, swell: 0.2, thin: 0.2 });
  sheet.contour(box(24, 24, 377, 477), 2.4);
}
