import { ellipse, knots, shape } from '../ink/geometry.js';
import { Pen } from '../ink/pen.js';
import type { Sheet } from '../ink/sheet.js';
import { eyes, freckles, type Mood, noseAndMouth } from './odda-face.js';
import { hairBehind, hairInFront, shine } from './odda-hair.js';
import type { Cast } from './palette.js';

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
