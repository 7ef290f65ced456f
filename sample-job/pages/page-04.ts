import { drawGrandfather, drawWorkingHand } from '../art/grandfather.js';
import { drawHeronHead, drawHeronStanding } from '../art/heron.js';
import { drawOddaHead } from '../art/odda-head.js';
import { memory } from '../art/palette.js';
import { drawRain } from '../art/sky.js';
import { drawFarRoofs } from '../art/town.js';
import { box, ellipse, type Knot, knots, line, polygon, shape, straight } from '../ink/geometry.js';
import { balloon, caption, noise } from '../ink/lettering.js';
import { drawInset, drawPanel, panel } from '../ink/panels.js';
import { Pen } from '../ink/pen.js';
import type { Sheet } from '../ink/sheet.js';

const { cast } = memory;

/** The workshop, the year before the flood: all in one brown. */
export function drawPage04(sheet: Sheet): void {
  drawPanel(sheet, panel(40, 40, 647, 470), '#c99a70', () => workshop(sheet));
  drawPanel(sheet, panel(40, 486, 300, 790), '#b0825c', () => hands(sheet));
  drawPanel(sheet, panel(316, 486, 647, 790), '#e0bd92', () => child(sheet));
  drawPanel(sheet, panel(-6, 806, 694, 1056), memory.deep, () => rain(sheet));
  drawInset(sheet, panel(478, 838, 628, 988), '#efd9b4', () => waking(sheet), '#f8ebd2');
  caption(sheet, ['GRANDFATHER BUILT CLOCKS.', 'THE LAST ONE HAD WINGS.'], [56, 56], memory.caption);
  balloon(sheet, { lines: ['A CLOCK IS A', 'PROMISE, ODDA.'], centre: [380, 118], to: [292, 190] });
  balloon(sheet, { lines: ['AND A BIRD?'], centre: [576, 536], to: [488, 640] });
  caption(sheet, ['AND A BIRD, HE SAID,', 'IS A PROMISE THAT COMES BACK.'], [44, 872], memory.caption);
  noise(sheet, { text: 'TIK', at: [214, 506], size: 22, fill: cast.brassLight, turn: -6 });
  noise(sheet, { text: 'TOK', at: [236, 546], size: 18, fill: cast.brassLight, turn: 6 });
}

function workshop(sheet: Sheet): void {
  const room = box(40, 40, 610, 432);
  sheet.gradient(room, '#6b452f', [40, 40], [300, 240], 0.9, 0);
  window(sheet, 430, 84, 178, 210);
  sheet.mist(polygon(knots('430,90 608,90 420,480 120,480')), '#fbeccb', 14, 0.5);
  shelf(sheet);
  drawHeronStanding(sheet, { x: 500, y: 440, scale: 1.3, cast });
  drawGrandfather(sheet, { x: 236, y: 236, size: 66, cast });
  bench(sheet);
}

function window(sheet: Sheet, x: number, y: number, w: number, h: number): void {
  sheet.form(box(x - 8, y - 8, w + 16, h + 16), { fill: cast.woodShade, ink: 2 });
  sheet.form(box(x, y, w, h), { fill: '#fbf0d8', ink: 1.4 });
  sheet.within(box(x, y, w, h), () => {
    drawFarRoofs(sheet, x - 10, x + w, y + h, 80, '#d9b88f', 6);
    drawFarRoofs(sheet, x - 30, x + w, y + h, 46, '#b98d66', 8);
  });
  for (const t of [1 / 3, 2 / 3]) sheet.form(box(x + w * t - 3, y, 6, h), { fill: cast.woodShade, ink: 1.2 });
  sheet.form(box(x, y + h * 0.5 - 3, w, 6), { fill: cast.woodShade, ink: 1.2 });
}

/** Clocks on a shelf, each with its own hour. */
function shelf(sheet: Sheet): void {
  sheet.form(box(30, 196, 150, 10), { fill: cast.woodShade, ink: 1.8 });
  sheet.inkOnly(polygon(knots('30,206 180,206 150,222 30,222')));
  for (const [x, r, turn] of [
    [66, 22, 0.6],
    [118, 16, 2.2],
    [156, 12, 4],
  ]) {
    const y = 196 - r - 4;
    sheet.form(box(x - r * 0.8, y + r * 0.5, r * 1.6, r * 0.5 + 4), { fill: cast.woodShade, ink: 1.4 });
    sheet.form(ellipse(x, y, r), { fill: cast.brass, ink: 1.8 });
    sheet.form(ellipse(x, y, r * 0.76), { fill: cast.eyeWhite, ink: 1 });
    for (const [a, l] of [
      [turn, 0.6],
      [turn + 2, 0.4],
    ])
      sheet.stroke(line(straight(x, y, x + Math.cos(a) * r * l, y + Math.sin(a) * r * l)), {
        weight: 1.8,
        swell: 0,
      });
  }
}

function bench(sheet: Sheet): void {
  const top = polygon(knots('30,420 660,410 660,440 30,452'));
  sheet.form(polygon(knots('30,446 660,436 660,490 30,490')), { fill: cast.woodShade, ink: 0 });
  sheet.black(polygon(knots('30,452 660,442 660,490 30,490')), memory.deep);
  sheet.form(top, { fill: cast.wood, ink: 2.2 });
  for (const [x, y, r] of [
    [96, 410, 20],
    [140, 420, 13],
    [330, 412, 18],
  ])
    cog(new Pen(sheet, { x, y, scale: r / 10 }), cast.brass);
  for (const x of [210, 300, 400])
    sheet.stroke(
      line([
        [x, 432],
        [x + 46, 430],
        [x + 96, 432],
      ]),
      { weight: 1.2 },
    );
}

function cog(pen: Pen, fill: string): void {
  const teeth: Knot[] = [];
  for (let i = 0; i < 36; i++) {
    const a = (i / 36) * 2 * Math.PI;
    const r = i % 4 < 2 ? 10 : 7.8;
    teeth.push([r * Math.cos(a), r * 0.55 * Math.sin(a), 1]);
  }
  pen.form(shape(teeth), fill, 1.4);
  pen.form(ellipse(0, 0, 3, 1.6), memory.deep, 1);
}

function hands(sheet: Sheet): void {
  const area = box(40, 486, 262, 306);
  sheet.gradient(area, '#5c3a29', [40, 790], [260, 520], 0.95, 0);
  const plate = ellipse(232, 650, 110, 110);
  sheet.form(plate, { fill: cast.brass, ink: 2.6 });
  sheet.within(plate, () => {
    sheet.tint(ellipse(250, 672, 108, 106), cast.brassShade);
    sheet.tint(ellipse(226, 640, 88, 86), cast.brassLight);
  });
  const ring = ellipse(228, 644, 80, 80);
  sheet.contour(ring, 1.6);
  for (const [x, y, r] of [
    [262, 674, 5],
    [206, 600, 3.2],
    [268, 606, 3.6],
    [196, 690, 3],
  ]) {
    const pen = new Pen(sheet, { x, y, scale: r, turn: r * 20 });
    const teeth: Knot[] = [];
    for (let i = 0; i < 40; i++) {
      const a = (i / 40) * 2 * Math.PI;
      teeth.push([(i % 4 < 2 ? 10 : 8.2) * Math.cos(a), (i % 4 < 2 ? 10 : 8.2) * Math.sin(a), 1]);
    }
    pen.form(shape(teeth), cast.brass, 1.3);
    pen.black(ellipse(0, 0, 2.6), memory.deep);
  }
  drawWorkingHand(new Pen(sheet, { x: 216, y: 640, scale: 1.02, turn: -14 }), cast);
}

function child(sheet: Sheet): void {
  const area = box(316, 486, 332, 306);
  sheet.gradient(area, '#8f6448', [316, 800], [560, 520], 0.8, 0);
  drawHeronHead(sheet, { x: 610, y: 690, scale: 1.6, cast, turn: 4 });
  sheet.form(ellipse(392, 826, 96, 80), { fill: cast.coat, ink: 2.4 });
  sheet.form(ellipse(394, 752, 56, 20), { fill: cast.scarf, ink: 2.2 });
  drawOddaHead(sheet, { x: 398, y: 676, size: 76, turn: -6, mood: 'glad', cast });
}

function rain(sheet: Sheet): void {
  const sky = box(-6, 806, 700, 260);
  sheet.form(sky, { fill: '#8a6248', ink: 0 });
  sheet.gradient(sky, '#e8cda8', [0, 830], [0, 1040], 0, 0.8);
  for (const [x, y, w, h] of [
    [120, 846, 420, 60],
    [460, 850, 480, 70],
  ]) {
    const cloud = ellipse(x, y - 30, w / 2, h);
    sheet.mist(cloud, '#4f3226', 16, 0.85);
  }
  drawFarRoofs(sheet, -10, 700, 1060, 110, '#b88d68', 12);
  drawFarRoofs(sheet, -30, 700, 1062, 74, '#6b452f', 16);
  sheet.black(
    shape(
      knots(
        '-10,1060* -10,1010* 60,1002 130,1018 210,1008 300,1030 420,1020',
        '560,1034 700,1016* 700,1060*',
      ),
    ),
    memory.deep,
  );
  drawRain(sheet, -10, 800, 720, 1050, 190, '#f6e6cb', 14);
}

/** The bird's eye, lit for the first time. */
function waking(sheet: Sheet): void {
  const area = box(478, 838, 150, 150);
  sheet.gradient(area, '#b98d6c', [478, 990], [600, 860], 0.9, 0);
  drawHeronHead(sheet, { x: 562, y: 912, scale: 5.2, cast });
  sheet.glow([555, 906], 60, memory.lamp, 0.6);
}
