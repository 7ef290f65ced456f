import { ellipse, knots, type Outline, shape } from '../ink/geometry.js';
import { Pen } from '../ink/pen.js';
import type { Sheet } from '../ink/sheet.js';
import type { Cast } from './palette.js';

export type Mood = 'calm' | 'wonder' | 'wary' | 'glad' | 'effort';

export interface HeadPlace {
  /** Middle of the head. */
  readonly x: number;
  readonly y: number;
  /** From the middle to the chin, in page units. */
  readonly size: number;
  readonly turn?: number;
  /** Looks left instead of right. */
  readonly flip?: boolean;
  readonly mood?: Mood;
  readonly cast: Cast;
}

/** Odda's head, turned three quarters. Large heads get lashes, freckles and strands; small ones stay dots and a line. */
export function drawOddaHead(sheet: Sheet, place: HeadPlace): void {
  const { size, cast, mood = 'calm' } = place;
  const pen = penFor(sheet, place);
  const fine = size > 26;
  hairBehind(pen, cast);
  const face = pen.solid(faceKnots, cast.skin, 1.7);
  pen.within(face, () => {
    pen.tint(shape(cheekShadow), cast.skinShade);
    if (fine) {
      sheet.bloom(
        face,
        cast.blush,
        pen.at(ellipse(22, 50, 1)).points[0] as [number, number],
        size * 0.3,
        0.55,
      );
      sheet.bloom(
        face,
        cast.blush,
        pen.at(ellipse(68, 45, 1)).points[0] as [number, number],
        size * 0.2,
        0.5,
      );
    }
  });
  eyes(pen, cast, mood, fine);
  noseAndMouth(pen, cast, mood, fine);
  if (fine) freckles(pen);
  hairInFront(pen, cast, fine);
}

/** The back of Odda's head: hair alone. */
export function drawOddaBack(sheet: Sheet, place: HeadPlace): void {
  const pen = penFor(sheet, place);
  const hair = pen.black(shape(backHair), place.cast.hair);
  pen.within(hair, () => {
    for (const [x, reach] of [
      [-50, 50],
      [-22, 82],
      [12, 86],
      [44, 62],
    ]) {
      pen.scratch(
        [
          [x, -95 + Math.abs(x) * 0.5],
          [x * 1.5, -30],
          [x * 1.45, reach * 0.6],
        ],
        place.size > 26 ? 2.2 : 0.9,
      );
    }
  });
}

/** Odda's head from the side, the chin lifted: for looking up at something great. */
export function drawOddaProfile(sheet: Sheet, place: HeadPlace): void {
  const { size, cast, mood = 'calm' } = place;
  const pen = penFor(sheet, place);
  const fine = size > 26;
  const face = pen.solid(profileKnots, cast.skin, 1.7);
  pen.within(face, () => pen.tint(shape(profileShadow), cast.skinShade));
  pen.form(ellipse(48, -2, 7, mood === 'wonder' ? 17 : 14), cast.eyeWhite, 0.9);
  pen.ink(ellipse(52, -1, 5.2, 12));
  pen.stroke(knots('36,-18 50,-24 60,-17'), 3.4, { swell: 0.4 });
  pen.stroke(
    [
      [32, -36],
      [46, mood === 'wonder' ? -48 : -42],
      [62, -40],
    ],
    3.2,
  );
  if (mood === 'wonder') pen.black(ellipse(62, 60, 7, 9), cast.scarfShade);
  else pen.stroke(knots('48,60 58,62 70,56'), 2.2);
  const hair = pen.black(shape(profileHair), cast.hair);
  pen.within(hair, () =>
    shine(pen, cast, fine, [
      [-60, -70, -84, -10, -78, 50],
      [-20, -98, -50, -30, -52, 40],
      [20, -104, -10, -50, -22, 10],
    ]),
  );
}

function penFor(sheet: Sheet, { x, y, size, turn = 0, flip = false }: HeadPlace): Pen {
  const weight = Math.min(1.6, Math.max(0.42, size / 40));
  return new Pen(sheet, { x, y, scale: size / 100, turn, flip }, weight);
}

const faceKnots = knots('-66,-40 -64,20 -46,66 -8,98 22,100 50,80 68,40 76,2 76,-50 10,-96');

const cheekShadow = knots('-80,-60* -34,-30 -30,30 -4,70 30,92 24,120* -90,110*');

const backHair = knots(
  '-98,62* -108,0 -92,-78 -30,-122 40,-120 96,-74 108,0 98,66* 70,58 52,92* 30,70 4,98*',
  '-24,72 -50,92* -68,60',
);

const profileKnots = knots(
  '-40,-60 20,-92 66,-66 72,-24 78,2 96,26 90,36 76,38 80,50 76,58 78,70 70,92 36,98',
  '0,80 -20,100* -60,90*',
);

const profileShadow = knots('-60,-90* 10,-60 14,10 36,62 80,78 70,120* -70,120*');

const profileHair = knots(
  '78,-52* 60,-104 0,-128 -66,-106 -104,-40 -106,30 -92,92* -66,66 -44,96* -26,62 -4,74*',
  '-8,20 8,-14* 22,4 26,24* 34,-10 30,-44* 50,-36 62,-22* 60,-44',
);

function hairBehind(pen: Pen, cast: Cast): void {
  pen.black(
    shape(
      knots('-80,-80 -108,-10 -104,50 -92,96* -70,74 -50,104* -30,70 40,40 90,62* 102,10 90,-60', '0,-110'),
    ),
    cast.hair,
  );
}

function hairInFront(pen: Pen, cast: Cast, fine: boolean): void {
  const hair = pen.black(
    shape(
      knots(
        '-72,92* -98,30 -106,-30 -72,-100 0,-128 66,-106 98,-50 98,4 86,46* 80,0 70,-34*',
        '52,-44 34,-18* 28,-48 8,-56* -2,-30 -26,-4* -22,-36 -40,-30* -50,20 -54,60',
      ),
    ),
    cast.hair,
  );
  pen.within(hair, () => {
    shine(pen, cast, fine, [
      [-40, -104, -84, -40, -86, 26],
      [-12, -112, -52, -70, -64, -14],
      [26, -116, 0, -92, -14, -58],
      [50, -104, 66, -76, 66, -50],
      [72, -84, 88, -48, 88, -8],
    ]);
  });
  if (fine) pen.stroke(knots('10,-122 40,-138 62,-126'), 2.2);
}

function shine(pen: Pen, cast: Cast, fine: boolean, locks: readonly (readonly number[])[]): void {
  for (const [x0, y0, x1, y1, x2, y2] of locks) {
    pen.colour(
      [
        [x0, y0],
        [x1, y1],
        [x2, y2],
      ],
      fine ? 5 : 3,
      cast.hairLight,
    );
    pen.scratch(
      [
        [x0, y0],
        [x1, y1],
        [x2, y2],
      ],
      fine ? 3.4 : 1.8,
    );
  }
}

function eyes(pen: Pen, cast: Cast, mood: Mood, fine: boolean): void {
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

function noseAndMouth(pen: Pen, cast: Cast, mood: Mood, fine: boolean): void {
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

function freckles(pen: Pen): void {
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
