import { drawBoat, drawLantern } from '../art/boat.js';
import { drawClockTower } from '../art/clock-tower.js';
import { drawHeronFlying, drawHeronStanding } from '../art/heron.js';
import { drawKey } from '../art/heron-head.js';
import { drawOdda } from '../art/odda.js';
import { drawOddaHead } from '../art/odda-head.js';
import { poses } from '../art/odda-poses.js';
import { night } from '../art/palette.js';
import { drawGlitter, drawSea } from '../art/sea.js';
import { drawCloud, drawMoon, drawSky, drawStars } from '../art/sky.js';
import { box, ellipse, knots, limb, line, polygon, shape, straight } from '../ink/geometry.js';
import { balloon, caption, noise } from '../ink/lettering.js';
import { drawPanel, panel } from '../ink/panels.js';
import { Pen } from '../ink/pen.js';
import type { Sheet } from '../ink/sheet.js';

const { cast } = night;

/** At the foot of the clock tower. The gutters of the night pages are dark. */
export function drawPage08(sheet: Sheet): void {
  sheet.form(box(-6, -6, 700, 1062), { fill: '#0e1334', ink: 0 });
  drawPanel(sheet, panel(-6, -6, 330, 700), night.skyHigh, () => tower(sheet), 0);
  drawPanel(sheet, panel(346, 40, 647, 360), night.skyHigh, () => door(sheet), 0);
  drawPanel(sheet, panel(346, 376, 647, 540), '#3c2f58', () => lock(sheet), 0);
  drawPanel(sheet, panel(346, 556, 647, 700), '#26356e', () => turned(sheet), 0);
  drawPanel(sheet, panel(-6, 716, 694, 1056), '#0c1233', () => threshold(sheet), 0);
  caption(sheet, ['THE TOWER STOPPED AT', 'ELEVEN TO TWO.'], [44, 60], night.caption);
  balloon(sheet, { lines: ['SO THIS IS WHAT', 'YOU OPEN.'], centre: [420, 84], to: [436, 170] });
  noise(sheet, { text: 'KLIK', at: [540, 398], size: 34, fill: night.lamp, turn: 6 });
  balloon(sheet, { lines: ['...GRANDFATHER?'], centre: [150, 800], to: [258, 866] });
}

function tower(sheet: Sheet): void {
  drawSky(sheet, box(-6, -6, 340, 660), night, -10, 620, 13);
  drawStars(sheet, 0, 330, 6, 400, 70, 16);
  drawMoon(sheet, [66, 208], 66, night);
  drawCloud(sheet, night, { x: 270, base: 330, width: 240, height: 70, seed: 14, ink: 0 });
  drawSea(sheet, night, { x0: -6, x1: 334, horizon: 590, bottom: 706, seed: 15 });
  drawGlitter(sheet, 66, 592, 690, 34, '#f4efd2', 4);
  drawClockTower(sheet, night, { x: 206, base: 606, scale: 1.62, weight: 1.3 });
  sheet.form(polygon(knots('140,612 300,608 312,630 128,634')), { fill: night.stone, ink: 2 });
  drawHeronFlying(sheet, { x: 78, y: 396, scale: 0.5, cast, flip: true, turn: -16 });
  drawBoat(sheet, night, { x: 84, y: 658, scale: 0.62, lantern: true });
}

function bricks(sheet: Sheet, x0: number, y0: number, x1: number, y1: number, size: number): void {
  for (let y = y0, row = 0; y < y1; y += size, row++)
    for (let x = x0 - (row % 2) * size; x < x1; x += size * 2) {
      if ((row * 7 + Math.round(x)) % 3 === 0) continue;
      sheet.stroke(line(straight(x, y, x + size * 1.5, y + 0.6)), { weight: 1.3, swell: 0.2 });
      if ((row + Math.round(x)) % 2)
        sheet.stroke(line(straight(x, y, x, y + size)), { weight: 1.1, swell: 0.2 });
    }
}

function door(sheet: Sheet): void {
  const wall = box(346, 40, 302, 322);
  sheet.form(wall, { fill: night.stone, ink: 0 });
  sheet.gradient(wall, night.stoneShade, [600, 60], [380, 300], 0.9, 0);
  bricks(sheet, 346, 50, 660, 360, 20);
  const arch = shape(knots('490,380* 490,160* 560,84 630,160* 630,380*'));
  sheet.form(shape(knots('474,380* 474,152* 560,62 646,152* 646,380*')), {
    fill: night.stoneShade,
    ink: 2.4,
  });
  sheet.form(arch, { fill: cast.wood, ink: 2.4 });
  sheet.within(arch, () => {
    for (let x = 514; x < 630; x += 24)
      sheet.stroke(line(straight(x, 80, x, 380)), { weight: 1.8, swell: 0, thin: 0 });
    sheet.black(polygon(knots('596,60 640,60 640,390 610,390')), night.deep);
    for (const y of [170, 310])
      sheet.form(
        polygon([
          [484, y],
          [600, y - 4],
          [600, y + 10],
          [484, y + 14],
        ]),
        { fill: cast.brassShade, ink: 1.6 },
      );
  });
  drawOdda(
    sheet,
    { x: 430, y: 372, height: 208, cast, mood: 'wary' },
    {
      ...poses.reach,
      farArm: [
        [15, -66],
        [27, -66],
      ],
    },
  );
  drawLantern(new Pen(sheet, { x: 418, y: 308, scale: 1.2 }), night);
}

function lock(sheet: Sheet): void {
  const plank = box(346, 376, 302, 166);
  sheet.gradient(plank, cast.wood, [346, 540], [520, 400], 1, 0);
  for (const x of [392, 470, 610])
    sheet.stroke(
      line([
        [x, 370],
        [x + 5, 450],
        [x - 2, 546],
      ]),
      { weight: 2.4, swell: 0.05, thin: 0.05 },
    );
  const plate = shape(knots('486,398* 570,398* 578,470 528,526 478,470'));
  sheet.form(plate, { fill: cast.brass, ink: 2.4 });
  sheet.within(plate, () => sheet.tint(polygon(knots('540,380 590,380 590,540 520,540')), cast.brassShade));
  sheet.inkOnly(ellipse(524, 446, 11));
  sheet.inkOnly(polygon(knots('518,446 530,446 535,486 513,486')));
  drawKey(new Pen(sheet, { x: 452, y: 450, scale: 2.3, turn: -4 }, 1.4), cast);
  sheet.form(limb(knots('330,520 372,486 410,458'), [64, 56, 50]), { fill: cast.coat, ink: 2.4 });
  sheet.form(shape(knots('398,436 426,424 452,432 456,452 440,474 412,482 396,466')), {
    fill: cast.skin,
    ink: 2.2,
  });
  for (const y of [442, 454])
    sheet.stroke(
      line([
        [450, y],
        [432, y + 3],
        [420, y + 8],
      ]),
      { weight: 1.6 },
    );
  sheet.glow([524, 450], 110, night.lamp, 0.6);
}

function turned(sheet: Sheet): void {
  const area = box(346, 556, 302, 146);
  sheet.gradient(area, '#c9823a', [346, 600], [560, 620], 0.8, 0);
  drawOddaHead(sheet, { x: 480, y: 650, size: 104, turn: 2, mood: 'wonder', cast, flip: true });
  sheet.glow([352, 620], 180, night.lamp, 0.55);
}

/** Light falls from the open door across black water stairs. */
function threshold(sheet: Sheet): void {
  const room = box(-6, 716, 700, 342);
  sheet.form(room, { fill: '#1a2350', ink: 0 });
  sheet.black(polygon(knots('-10,710 344,710 344,800 250,930 -10,1000')), night.deep);
  sheet.black(polygon(knots('344,710 700,710 700,1000 438,930 344,800')), night.deep);
  for (let i = 0; i < 12; i++) {
    sheet.scratch(line(straight(i * 22 - 10, 726 + ((i * 53) % 190), i * 22 + 16, 726 + ((i * 53) % 190))), {
      weight: 1.6,
    });
    sheet.scratch(
      line(straight(450 + i * 20, 730 + ((i * 71) % 180), 474 + i * 20, 730 + ((i * 71) % 180))),
      { weight: 1.6 },
    );
  }
  const opening = shape(knots('250,930* 250,790* 344,716 438,790* 438,930*'));
  sheet.form(opening, { fill: '#ffcf6a', ink: 2.6 });
  sheet.bloom(opening, '#fff4cc', [344, 860], 130, 0.95);
  for (let i = 0; i < 5; i++) {
    const y = 930 + i * 28;
    const spread = i * 36;
    const step = polygon([
      [250 - spread, y],
      [438 + spread, y],
      [474 + spread, y + 30],
      [214 - spread, y + 30],
    ]);
    sheet.form(step, { fill: i % 2 ? '#d99a4a' : '#b9783f', ink: 2 });
    sheet.within(step, () => sheet.gradient(step, '#3a2a5e', [344, y], [344 + 190 + spread, y], 0, 0.85));
  }
  drawHeronStanding(sheet, {
    x: 398,
    y: 930,
    scale: 0.52,
    cast: { ...cast, brass: '#6b4a3a', brassLight: '#d99a4a' },
  });
  drawOdda(sheet, { x: 290, y: 972, height: 150, cast }, poses.away);
  sheet.form(shape(knots('270,974* 314,974* 290,1056* 150,1060*')), { fill: '#2a1c48', ink: 0 });
  sheet.glow([344, 850], 260, '#ffc65a', 0.55);
}
