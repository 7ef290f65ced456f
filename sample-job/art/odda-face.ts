import { ellipse, knots, type Outline, shape } from '../ink/geometry.js';
import type { Pen } from '../ink/pen.js';
import type { Cast } from './palette.js';

export type Mood = 'calm' | 'wonder' | 'wary' | 'glad' | 'effort';

export function eyes(pen: Pen, cast: Cast, mood: Mood, fine: boolean): void {
  const open = { calm: 15, wonder: 20, wary: 10, glad: 14, effort: 9 }[mood];
  const look = mood === 'wary' ? 3 : 0;
  for (const [x, y, wide] of [
    [8, 14, 13],
    [56, 10, 10.5],
  ]) {
    if (fine) pen.form(ellipse(x, y, wide, open), cast.eyeWhite, 0.7);
    pen.ink(ellipse(x + 3 + look, y + 1, wide * 0.62, open * 0.86));
    if (fine) pen.sheet.paperOnly(pen.at(ellipse(x + 6 + look, y - open * 0.35, wide * 0.22, open * 0.24)));
    if (fine) pen.tint(ellipse(x + 6 + look, y - open * 0.35, wide * 0.26, open * 0.28), '#fffaf0');
    pen.stroke(
      [
        [x - wide - 4, y - open * 0.35],
        [x - 2, y - open - 3],
        [x + wide + 2, y - open * 0.5],
      ],
      3.6,
      { swell: 0.2, thin: 0.6 },
    );
  }
  brows(pen, mood);
}

function brows(pen: Pen, mood: Mood): void {
  const [inner, outer] = {
    calm: [-20, -20],
    wonder: [-32, -28],
    wary: [-12, -22],
    glad: [-26, -20],
    effort: [-8, -24],
  }[mood];
  pen.stroke(
    [
      [-14, outer + 6],
      [4, outer - 6],
      [26, inner + 4],
    ],
    4,
    { swell: 0.3, thin: 0.6 },
  );
  pen.stroke(
    [
      [46, inner + 2],
      [58, outer - 8],
      [72, outer + 2],
    ],
    3.6,
    { swell: 0.3, thin: 0.6 },
  );
}

export function noseAndMouth(pen: Pen, cast: Cast, mood: Mood, fine: boolean): void {
  pen.stroke(knots('42,22 52,40 46,46 36,44'), 2.2, { swell: 0.5, thin: 0.3 });
  if (mood === 'wonder') {
    pen.form(ellipse(38, 70, 7.5, 9.5), cast.scarfShade, 1.4);
  } else if (mood === 'glad') {
    const smile: Outline = pen.solid(knots('12,60* 34,66 60,56* 50,78 30,82'), cast.scarfShade, 1.5);
    pen.within(smile, () => pen.tint(shape(knots('10,56* 62,52* 58,64* 14,68*')), '#fff6e6'));
  } else if (mood === 'effort') {
    pen.stroke(knots('16,74 34,66 54,70'), 2.6);
    if (fine)
      pen.stroke(
        [
          [56, 66],
          [60, 72],
        ],
        1.6,
      );
  } else {
    pen.stroke(
      [
        [18, 68],
        [36, 70],
        [56, mood === 'wary' ? 68 : 62],
      ],
      2.4,
      { swell: 0.4, thin: 0.4 },
    );
  }
  if (fine) pen.stroke(knots('30,86 38,87 44,85'), 1.2);
}

export function freckles(pen: Pen): void {
  for (const [x, y] of [
    [14, 40],
    [22, 46],
    [9, 47],
    [62, 36],
    [68, 41],
    [60, 43],
  ])
    pen.ink(ellipse(x, y, 1.5));
}
