import { box, ellipse, knots, line, polygon, shape, straight } from '../ink/geometry.js';
import { Pen } from '../ink/pen.js';
import type { Sheet } from '../ink/sheet.js';
import { drawLantern } from './boat.js';
import type { Scene } from './palette.js';

export interface LuggerPlace {
  readonly x: number;
  /** The water line. */
  readonly y: number;
  /** Page units for one unit; the hull is 270 long. */
  readonly scale: number;
}

/** A fishing lugger by night, her stem to the right: black hull, hatched sail, and a man at the stem who holds up a lantern. */
export function drawLugger(sheet: Sheet, scene: Scene, { x, y, scale }: LuggerPlace): void {
  const pen = new Pen(sheet, { x, y, scale }, Math.max(0.6, scale * 1.1));
  sail(pen, scene);
  rigging(pen);
  keeper(pen, scene);
  hull(pen, scene);
}

function sail(pen: Pen, scene: Scene): void {
  const cloth = pen.solid(
    knots('-128,-248* -60,-286 4,-330* 14,-180 18,-62* -60,-50 -142,-58* -146,-150'),
    '#6b5a78',
    2,
  );
  pen.within(cloth, () => {
    pen.tint(shape(knots('-160,-260* -80,-250 -70,-140 -84,-30* -170,-30*')), scene.stoneShade);
    pen.ink(shape(knots('-160,-270* -112,-244 -116,-150 -126,-40* -170,-30*')));
    for (let i = 0; i < 44; i++) {
      const top = -244 + i * 4.7;
      const reach = 34 + 22 * Math.sin(i * 0.43) + 8 * Math.sin(i * 1.9);
      pen.stroke(
        [
          [-130, top],
          [-112 + reach * 0.5, top + 3],
          [-112 + reach, top + 1],
        ],
        1.5,
        { swell: 0, thin: 0.85 },
      );
    }
    for (const dx of [-74, -36])
      pen.stroke(
        [
          [dx + 8, -320],
          [dx - 2, -180],
          [dx + 2, -40],
        ],
        1.1,
        { swell: 0.1, thin: 0.1 },
      );
    for (const dy of [-110, -92])
      for (let i = 0; i < 7; i++) pen.stroke(straight(-96 + i * 16, dy, -95 + i * 16, dy + 9), 1);
  });
  pen.stroke(straight(-136, -244, 10, -334), 4, { swell: 0.05, thin: 0.05, ends: 0.7 });
}

/** Mast, stays and sheets: the thin lines that the light has to cross. */
function rigging(pen: Pen): void {
  pen.black(polygon(knots('-2,-370 3,-370 8,-20 0,-20')), '#070b26');
  pen.stroke(straight(1, -364, 142, -44), 1, { swell: 0, thin: 0, ends: 1 });
  pen.stroke(straight(1, -330, 110, -34), 0.8, { swell: 0, thin: 0, ends: 1 });
  pen.stroke(straight(0, -364, -134, -30), 0.9, { swell: 0, thin: 0, ends: 1 });
  for (let i = 1; i < 8; i++)
    pen.stroke(straight(8 + i * 5.2, -18 - i * 0.4 - (8 - i) * 14, 20 + i * 8, -24 - (8 - i) * 14), 0.7);
  pen.stroke(
    [
      [-142, -58],
      [-120, -40],
      [-112, -24],
    ],
    1,
    { swell: 0, thin: 0 },
  );
}

/** The man at the stem, nearly all in shadow. */
function keeper(pen: Pen, scene: Scene): void {
  const coat = pen.at(shape(knots('74,-30* 70,-72 76,-108 90,-118 104,-114 112,-96 116,-30*')));
  pen.sheet.black(coat, scene.deep);
  pen.black(shape(knots('100,-112* 124,-116 142,-128* 146,-120* 128,-104 108,-94*')), scene.deep);
  pen.solid(knots('88,-116 86,-134 96,-142 108,-136 108,-122 98,-114'), scene.cast.skinShade, 1.2);
  pen.tint(shape(knots('101,-136 108,-134 110,-126 106,-118 100,-120')), '#e0a878');
  pen.form(shape(knots('98,-124* 110,-124 114,-118 104,-114')), scene.cast.eyeWhite, 0.9);
  pen.black(shape(knots('82,-136* 86,-150 100,-152 108,-142 118,-137* 100,-137')), scene.deep);
  for (let i = 0; i < 5; i++)
    pen.scratch(
      [
        [106 - i * 2, -98 + i * 14],
        [112 - i, -88 + i * 14],
      ],
      1.2,
    );
  pen.form(ellipse(146, -126, 4.4, 4), '#e8b088', 1.1);
  drawLantern(pen.on({ x: 149, y: -104, scale: 1.1 }), scene);
}

function hull(pen: Pen, scene: Scene): void {
  const side = pen.at(shape(knots('-140,-34* -60,-20 40,-22 146,-56* 134,-20 116,10* -122,10*')));
  pen.sheet.black(side, scene.deep);
  pen.within(side, () => {
    for (const dy of [8, 19])
      pen.scratch(
        [
          [-132, -30 + dy],
          [-60, -15 + dy],
          [40, -17 + dy],
          [130, -46 + dy],
        ],
        1.5,
      );
    for (let i = 0; i < 12; i++)
      pen.scratch(straight(30 + i * 8, -2 - i * 1.3, 44 + i * 8, -5 - i * 1.5), 1.1);
  });
  pen.stroke(
    [
      [-142, -35],
      [-60, -22],
      [40, -24],
      [148, -58],
    ],
    3,
    { swell: 0.05, thin: 0.05 },
  );
  pen.sheet.within(pen.at(box(-200, 4, 420, 60)), () => {
    for (let i = 0; i < 16; i++) {
      const at = -130 + ((i * 61) % 240);
      const long = 30 + ((i * 17) % 40);
      pen.ink(
        shape([
          [at, 8 + i * 2.4],
          [at + long / 2, 6.4 + i * 2.4],
          [at + long, 8.4 + i * 2.4],
          [at + long / 2, 10.6 + i * 2.4],
        ]),
      );
    }
  });
  pen.sheet.stroke(pen.at(line(knots('-150,12 -60,9 40,11 130,8 156,12'))), { weight: 1.8, swell: 0.2 });
}
