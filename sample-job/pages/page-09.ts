import { drawHeronFlying } from '../art/heron.js';
import { drawOdda } from '../art/odda.js';
import { drawOddaProfile } from '../art/odda-head.js';
import { poses } from '../art/odda-poses.js';
import { night } from '../art/palette.js';
import { box, ellipse, type Knot, knots, line, type Pt, polygon, shape, straight } from '../ink/geometry.js';
import { balloon, caption, noise } from '../ink/lettering.js';
import { drawInset, drawPanel, panel } from '../ink/panels.js';
import { Pen } from '../ink/pen.js';
import { latticeValue } from '../ink/random.js';
import type { Sheet } from '../ink/sheet.js';

const lamp: Pt = [352, 330];

/** The great lamp wakes. Full bleed; the glow lies over the inks and colours them. */
export function drawPage09(sheet: Sheet): void {
  drawPanel(sheet, panel(-6, -6, 694, 1056), '#1b2150', () => lampRoom(sheet), 0);
  drawInset(sheet, panel(448, 838, 640, 1006), '#c9823a', () => face(sheet), '#0e1334');
  caption(
    sheet,
    ['IT WAS NEVER A BIRD THAT TOLD THE TIME.', 'IT WAS THE LAST WHEEL OF A LAMP.'],
    [46, 52],
    night.caption,
  );
  noise(sheet, { text: 'WHOOOM', at: [86, 596], size: 84, fill: '#fff0b0', turn: -5, pen: 0.22 });
  balloon(sheet, { lines: ['A PROMISE THAT', 'COMES BACK.'], centre: [346, 800], to: [246, 818] });
}

function lampRoom(sheet: Sheet): void {
  const room = box(-6, -6, 700, 1062);
  sheet.gradient(room, '#c2703a', [352, 1000], [352, 100], 0, 0.55);
  beams(sheet);
  ribs(sheet);
  wheel(sheet, lamp, 236, 44, 0, '#6b4a6a');
  wheel(sheet, [96, 560], 120, 24, 0.3, '#4a3a72');
  wheel(sheet, [622, 560], 150, 30, 0.1, '#3f3470');
  lens(sheet);
  drawHeronFlying(sheet, { x: 352, y: 352, scale: 1.12, cast: night.cast, flip: false, turn: 4 });
  floor(sheet);
  drawOdda(
    sheet,
    { x: 196, y: 1000, height: 236, cast: night.cast },
    {
      ...poses.away,
      sway: -12,
      scarf: [
        [-8, -70],
        [-22, -66],
        [-38, -72],
        [-52, -64],
      ],
    },
  );
  castShadow(sheet);
  light(sheet);
}

/** Beams fan out from the lamp, painted. */
function beams(sheet: Sheet): void {
  for (let i = 0; i < 18; i++) {
    const angle = (i / 18) * 2 * Math.PI + 0.08;
    const wide = 0.05 + 0.05 * latticeValue(i, 1, 2);
    const tip = (a: number): Pt => [lamp[0] + 1100 * Math.cos(a), lamp[1] + 1100 * Math.sin(a)];
    sheet.tint(polygon([lamp, tip(angle - wide), tip(angle + wide)]), i % 2 ? '#5a4278' : '#3c3a7a');
  }
}

/** The iron ribs of the room, black against the light. */
function ribs(sheet: Sheet): void {
  for (const [x0, x1] of [
    [-20, 130],
    [140, 236],
    [560, 468],
    [724, 574],
  ]) {
    const rib = shape([
      [x0 - 11, 860, 1],
      [x0 + (x1 - x0) * 0.1 - 10, 500],
      [x1 - 8, -10, 1],
      [x1 + 8, -10, 1],
      [x0 + (x1 - x0) * 0.1 + 10, 500],
      [x0 + 13, 860, 1],
    ]);
    sheet.black(rib, night.deep);
  }
  for (const y of [150, 452, 720])
    sheet.black(
      polygon([
        [-10, y],
        [700, y + 6],
        [700, y + 18],
        [-10, y + 14],
      ]),
      night.deep,
    );
}

function wheel(sheet: Sheet, [x, y]: Pt, radius: number, teeth: number, turn: number, fill: string): void {
  const pen = new Pen(sheet, { x, y, scale: radius / 100, turn: (turn * 180) / Math.PI }, 1.4);
  const rim: Knot[] = [];
  for (let i = 0; i < teeth * 4; i++) {
    const a = (i / (teeth * 4)) * 2 * Math.PI;
    const r = i % 4 < 2 ? 100 : 91;
    rim.push([r * Math.cos(a), r * Math.sin(a), 1]);
  }
  pen.form(shape(rim), fill, 1.8);
  const well = pen.form(ellipse(0, 0, 76), '#2a2a62', 1.6);
  pen.within(well, () => {
    for (let i = 0; i < 6; i++) {
      const spoke = pen.on({ x: 0, y: 0, turn: i * 60 });
      spoke.form(polygon(knots('0,-7 80,-4.5 80,4.5 0,7')), fill, 1.5);
    }
  });
  pen.form(ellipse(0, 0, 18), fill, 1.6);
  for (let i = 0; i < teeth; i += 2) {
    const a = (i / teeth) * 2 * Math.PI;
    pen.ink(ellipse(84 * Math.cos(a), 84 * Math.sin(a), 1.8));
  }
}

/** Rings of cut glass around the flame. */
function lens(sheet: Sheet): void {
  for (let ring = 5; ring >= 0; ring--) {
    const r = 52 + ring * 20;
    sheet.form(ellipse(lamp[0], lamp[1], r, r * 0.98), {
      fill: ['#fff8dc', '#ffe9a0', '#ffd675', '#f7b955', '#e0964a', '#b8734f'][ring],
      ink: 1.8,
    });
  }
  for (let i = 0; i < 24; i++) {
    const a = (i / 24) * 2 * Math.PI;
    const c = Math.cos(a);
    const s = Math.sin(a);
    sheet.stroke(
      line([
        [lamp[0] + 74 * c, lamp[1] + 74 * s, 1],
        [lamp[0] + 150 * c, lamp[1] + 150 * s, 1],
      ]),
      { weight: 1.6, swell: 0.6, thin: 0.2 },
    );
  }
}

function floor(sheet: Sheet): void {
  const deck = polygon(knots('-10,890 700,874 700,1060 -10,1060'));
  sheet.form(deck, { fill: '#8a5a52', ink: 2.4 });
  sheet.gradient(deck, '#f2b45a', [352, 860], [352, 1060], 0.75, 0);
  for (let i = -6; i < 8; i++)
    sheet.stroke(line(straight(352 + i * 46, 880, 352 + i * 110, 1062)), {
      weight: 1.8,
      swell: 0.3,
      thin: 0.1,
    });
}

/** Her shadow falls toward us, away from the lamp. */
function castShadow(sheet: Sheet): void {
  const shadow = shape(knots('180,1000* 216,1000* 210,1030 196,1070* 60,1070* 120,1034'));
  sheet.shadow(shadow, '#3a2a6a', 5, 0.85);
}

function light(sheet: Sheet): void {
  sheet.glow(lamp, 560, '#ff9a3a', 0.45);
  sheet.glow(lamp, 300, '#ffb648', 0.8);
  sheet.glow(lamp, 130, '#fff3c4', 0.95);
  for (let i = 0; i < 150; i++) {
    const a = latticeValue(i, 1, 7) * 2 * Math.PI;
    const d = 90 + 420 * latticeValue(i, 2, 7) ** 0.8;
    sheet.spark(
      [lamp[0] + d * Math.cos(a), lamp[1] + d * Math.sin(a)],
      2.2 + 5 * latticeValue(i, 3, 7) ** 3,
      '#ffdf8a',
    );
  }
}

function face(sheet: Sheet): void {
  const area = box(448, 838, 192, 168);
  sheet.gradient(area, '#ffd675', [640, 838], [470, 1000], 0.95, 0);
  sheet.form(ellipse(524, 1040, 92, 60), { fill: night.cast.coat, ink: 2.4 });
  sheet.form(ellipse(526, 1000, 54, 18), { fill: night.cast.scarf, ink: 2.2 });
  drawOddaProfile(sheet, {
    x: 530,
    y: 934,
    size: 66,
    turn: -12,
    mood: 'wonder',
    cast: { ...night.cast, skin: '#f2b884', skinShade: '#8a5a7a' },
  });
}
