import { ellipse, knots, limb, type Place, type Pt, shape } from '../ink/geometry.js';
import { Pen } from '../ink/pen.js';
import type { Sheet } from '../ink/sheet.js';
import type { Cast } from './palette.js';

export interface BustPlace {
  readonly x: number;
  readonly y: number;
  /** From the middle of the head to the chin, in page units. */
  readonly size: number;
  readonly flip?: boolean;
  readonly cast: Cast;
}

/** Odda's grandfather, the clockmaker: cap, brush of a moustache, round glasses; looks right and down at his work. */
export function drawGrandfather(sheet: Sheet, { x, y, size, flip = false, cast }: BustPlace): Place {
  const pen = new Pen(sheet, { x, y, scale: size / 100, flip }, Math.min(1.5, Math.max(0.6, size / 50)));
  shoulders(pen, cast);
  const head = pen.on({ x: 0, y: 0, turn: 10 });
  headOf(head, cast);
  return (point: Pt) => pen.at({ points: [point], corners: [], closed: false }).points[0];
}

function shoulders(pen: Pen, cast: Cast): void {
  const coat = pen.solid(
    knots('-60,74 -130,110 -180,220 -190,420* 150,420* 140,240 110,130 40,84'),
    cast.coatShade,
    2.2,
  );
  pen.within(coat, () => {
    pen.ink(shape(knots('-60,70* -90,180 -60,300 -80,430* -220,430* -200,90*')));
    for (const dx of [0, 22, 44])
      pen.stroke(
        [
          [-70 + dx, 180 + dx],
          [-30 + dx, 260],
          [-40 + dx, 420],
        ],
        1.4,
      );
  });
  const apron = pen.solid(knots('-30,120* 80,124* 100,420* -60,420*'), cast.wood, 1.8);
  pen.within(apron, () => pen.stroke(knots('-40,210 20,220 90,212'), 1.3));
}

function headOf(pen: Pen, cast: Cast): void {
  faceOf(pen, cast);
  glasses(pen, cast);
  beard(pen, cast);
  capOf(pen, cast);
}

function faceOf(pen: Pen, cast: Cast): void {
  const face = pen.solid(knots('-60,-50 -66,20 -40,84 10,104 56,86 70,40 66,-10 70,-60 0,-80'), cast.skin, 2);
  pen.within(face, () => {
    pen.tint(shape(knots('-80,-80* -20,-40 -26,30 4,80 50,100 30,130* -100,120*')), cast.skinShade);
    for (const dy of [0, 9])
      pen.stroke(
        [
          [22, -44 - dy],
          [44, -48 - dy],
          [62, -42 - dy],
        ],
        1.2,
      );
  });
  pen.form(ellipse(-58, 14, 13, 19), cast.skin, 1.6);
  pen.solid(knots('46,-8 88,22 92,38 70,44 52,36'), cast.skin, 1.8);
}

function glasses(pen: Pen, cast: Cast): void {
  for (const [x, r] of [
    [22, 19],
    [64, 15],
  ]) {
    pen.form(ellipse(x, 2, r, r), cast.eyeWhite, 2);
    pen.stroke(
      [
        [x - r + 4, 6],
        [x, 11],
        [x + r - 4, 6],
      ],
      2.4,
    );
    pen.stroke(
      [
        [x - r - 2, -24],
        [x, -34],
        [x + r, -24],
      ],
      6,
    );
  }
}

/** Moustache and whiskers. */
function beard(pen: Pen, cast: Cast): void {
  const moustache = pen.solid(knots('56,44 86,50 98,70* 70,66 46,74 14,88* 20,60'), cast.eyeWhite, 1.7);
  pen.within(moustache, () => {
    for (const dx of [8, 24])
      pen.stroke(
        [
          [50 + dx * 0.4, 52],
          [40 + dx * 0.3, 62],
          [26 + dx * 0.3, 76],
        ],
        1.1,
      );
  });
  const whiskers = pen.solid(knots('-60,30* -66,60 -48,82 -26,92* -36,60 -40,26*'), cast.eyeWhite, 1.5);
  pen.within(whiskers, () => pen.stroke(knots('-52,40 -52,60 -40,80'), 1.2));
}

function capOf(pen: Pen, cast: Cast): void {
  const cap = pen.black(
    shape(knots('-80,-30* -84,-80 -30,-118 40,-112 80,-74 112,-48* 60,-54 0,-50')),
    cast.hair,
  );
  pen.within(cap, () => {
    for (const dx of [0, 30, 60])
      pen.scratch(
        [
          [-50 + dx, -62],
          [-40 + dx, -88],
          [-20 + dx, -104],
        ],
        2.4,
      );
  });
}

/** A hand that holds a small tool, for close views of work; the tool's tip is at 0,0. */
export function drawWorkingHand(pen: Pen, cast: Cast): void {
  pen.form(limb(knots('0,0 -40,-40 -70,-70'), [3, 5, 11]), cast.brassShade, 1.4);
  const sleeve = pen.solid(knots('-96,-30* -70,10* -190,120 -240,60'), cast.coatShade, 2);
  pen.within(sleeve, () => pen.ink(shape(knots('-80,0* -120,40 -220,120* -100,140* -60,20*'))));
  pen.solid(knots('-40,-44 -62,-66 -92,-60 -106,-34 -88,-4 -66,2 -50,-14'), cast.skin, 1.9);
  for (const [x, y, turn] of [
    [-38, -34, 40],
    [-42, -22, 44],
    [-50, -10, 50],
  ]) {
    const finger = pen.on({ x, y, turn });
    finger.form(limb(knots('-26,0 -10,-7 6,2'), [13, 12, 9]), cast.skin, 1.6);
    finger.stroke(knots('0,-4 4,-1 6,2'), 1);
  }
  const thumb = pen.on({ x: -48, y: -54, turn: 48 });
  thumb.form(limb(knots('-26,2 -8,6 12,0'), [14, 13, 9]), cast.skin, 1.6);
}
