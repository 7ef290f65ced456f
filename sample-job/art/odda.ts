import { ellipse, type Knot, knots, limb, type Outline, type Pt, shape } from '../ink/geometry.js';
import { Pen } from '../ink/pen.js';
import type { Sheet } from '../ink/sheet.js';
import { drawOddaBack, drawOddaHead, drawOddaProfile, type Mood } from './odda-head.js';
import type { Cast } from './palette.js';

/** Joints of a figure 100 high that stands on 0,0 and looks right; y is negative upward. */
export interface Pose {
  readonly neck: Pt;
  readonly hip: Pt;
  /** Elbow and hand. */
  readonly farArm: readonly [Pt, Pt];
  readonly nearArm: readonly [Pt, Pt];
  /** Knee and heel; the boot points to the right. */
  readonly farLeg: readonly [Pt, Pt];
  readonly nearLeg: readonly [Pt, Pt];
  readonly head?: 'front' | 'profile' | 'back';
  /** Degrees, clockwise. */
  readonly nod?: number;
  /** How far the coat's hem blows back. */
  readonly sway?: number;
  /** Ends of the scarf, seen from the neck. */
  readonly scarf?: readonly Pt[];
  /** Length of the coat below the hip. */
  readonly hem?: number;
}

export interface FigurePlace {
  readonly x: number;
  readonly y: number;
  readonly height: number;
  readonly flip?: boolean;
  readonly turn?: number;
  readonly cast: Cast;
  readonly mood?: Mood;
}

export const poses = {
  stand: {
    neck: [0, -76],
    hip: [0, -46],
    farArm: [
      [12, -60],
      [16, -45],
    ],
    nearArm: [
      [-13, -60],
      [-11, -43],
    ],
    farLeg: [
      [6, -24],
      [6, 0],
    ],
    nearLeg: [
      [-6, -24],
      [-7, 0],
    ],
    scarf: [
      [-10, -72],
      [-22, -68],
      [-34, -73],
    ],
  },
  reach: {
    neck: [0, -76],
    hip: [-2, -46],
    farArm: [
      [16, -72],
      [31, -80],
    ],
    nearArm: [
      [-12, -60],
      [-4, -46],
    ],
    farLeg: [
      [5, -24],
      [7, 0],
    ],
    nearLeg: [
      [-8, -24],
      [-9, 0],
    ],
    nod: -6,
    scarf: [
      [-12, -73],
      [-26, -76],
      [-38, -70],
    ],
  },
  lift: {
    neck: [0, -76],
    hip: [-2, -46],
    farArm: [
      [-14, -60],
      [-18, -44],
    ],
    nearArm: [
      [22, -80],
      [34, -99],
    ],
    farLeg: [
      [8, -24],
      [10, 0],
    ],
    nearLeg: [
      [-8, -24],
      [-10, 0],
    ],
    nod: -8,
    sway: -8,
    scarf: [
      [-12, -74],
      [-28, -80],
      [-44, -72],
      [-58, -78],
    ],
  },
  run: {
    neck: [12, -76],
    hip: [-2, -48],
    farArm: [
      [24, -64],
      [33, -74],
    ],
    nearArm: [
      [-6, -62],
      [-20, -55],
    ],
    farLeg: [
      [17, -34],
      [24, -12],
    ],
    nearLeg: [
      [-9, -24],
      [-28, -18],
    ],
    nod: 4,
    sway: -10,
    scarf: [
      [-2, -76],
      [-18, -82],
      [-34, -76],
      [-48, -82],
    ],
  },
  row: {
    neck: [-4, -70],
    hip: [4, -42],
    farArm: [
      [10, -60],
      [22, -50],
    ],
    nearArm: [
      [8, -56],
      [21, -47],
    ],
    farLeg: [
      [22, -40],
      [30, -22],
    ],
    nearLeg: [
      [20, -38],
      [27, -20],
    ],
    hem: 10,
    scarf: [
      [-12, -70],
      [-24, -66],
      [-34, -70],
    ],
  },
  kneel: {
    neck: [8, -64],
    hip: [-6, -36],
    farArm: [
      [22, -50],
      [34, -54],
    ],
    nearArm: [
      [18, -46],
      [32, -48],
    ],
    farLeg: [
      [14, -22],
      [10, 0],
    ],
    nearLeg: [
      [-2, -8],
      [-22, -3],
    ],
    nod: 8,
    scarf: [
      [-4, -64],
      [-16, -62],
      [-24, -56],
    ],
  },
  away: {
    neck: [0, -76],
    hip: [0, -46],
    farArm: [
      [15, -62],
      [17, -44],
    ],
    nearArm: [
      [-15, -62],
      [-17, -44],
    ],
    farLeg: [
      [6, -24],
      [6, 0],
    ],
    nearLeg: [
      [-6, -24],
      [-7, 0],
    ],
    head: 'back',
    scarf: [
      [8, -72],
      [20, -66],
      [30, -72],
      [42, -66],
    ],
    sway: 6,
  },
} as const satisfies Record<string, Pose>;

/** Odda in her oilskin: a bell of a coat on thin legs, so that she reads at any size. Returns where her near hand is. */
export function drawOdda(sheet: Sheet, place: FigurePlace, pose: Pose): Pt {
  const weight = Math.min(1.5, Math.max(0.4, place.height / 190));
  const scale = place.height / 100;
  const pen = new Pen(sheet, { ...place, scale }, weight);
  const { cast } = place;
  arm(pen, cast, pose, pose.farArm, 5, true);
  leg(pen, cast, pose.hip, pose.farLeg, true);
  leg(pen, cast, pose.hip, pose.nearLeg, false);
  const back = pose.head === 'back';
  if (!back) scarfTail(pen, cast, pose);
  coat(pen, cast, pose);
  if (back) scarfTail(pen, cast, pose);
  collar(pen, cast, pose);
  head(pen, place, pose);
  arm(pen, cast, pose, pose.nearArm, -5, false);
  return pen.at(ellipse(pose.nearArm[1][0], pose.nearArm[1][1], 0.01)).points[0];
}

function head(pen: Pen, place: FigurePlace, pose: Pose): void {
  const middle = pen.at(ellipse(pose.neck[0] + 1.5, pose.neck[1] - 13, 0.01)).points[0];
  const at = {
    x: middle[0],
    y: middle[1],
    size: place.height * 0.125,
    turn: (place.turn ?? 0) + (pose.nod ?? 0) * (place.flip ? -1 : 1),
    flip: place.flip ?? false,
    mood: place.mood ?? 'calm',
    cast: place.cast,
  } as const;
  if (pose.head === 'back') drawOddaBack(pen.sheet, at);
  else if (pose.head === 'profile') drawOddaProfile(pen.sheet, at);
  else drawOddaHead(pen.sheet, at);
}

function coat(pen: Pen, cast: Cast, pose: Pose): void {
  const { neck, hip, sway = 0, hem = 18 } = pose;
  const dx = hip[0] - neck[0];
  const dy = hip[1] - neck[1];
  const length = Math.hypot(dx, dy);
  const [ux, uy] = [dx / length, dy / length];
  const on = (down: number, side: number, blow = 0): Knot => [
    neck[0] + ux * down + uy * side + blow,
    neck[1] + uy * down - ux * side,
  ];
  const corner = ([x, y]: Knot): Knot => [x, y, 1];
  const low = length + hem;
  const body: Outline = shape([
    on(-1, -6),
    on(5, -9),
    on(length * 0.6, -12, sway * 0.3),
    corner(on(low, -18, sway)),
    on(low + 3, -6, sway),
    on(low + 3, 7, sway * 0.8),
    corner(on(low - 1, 18, sway * 0.6)),
    on(length * 0.6, 12),
    on(5, 9),
    on(-1, 6),
  ]);
  const placed = pen.form(body, cast.coat, 2);
  pen.within(placed, () => {
    pen.tint(
      shape([
        on(-4, -14),
        on(length * 0.5, -4),
        corner(on(low * 0.9, -7, sway)),
        corner(on(low + 9, -4, sway)),
        corner(on(low + 8, -34, sway)),
        corner(on(-4, -30)),
      ]),
      cast.coatShade,
    );
    pen.stroke([on(8, 2), on(length * 0.7, 3), on(low + 2, 3, sway * 0.8)], 1.1, { thin: 0.2 });
    if (pose.head !== 'back')
      for (const at of [0.2, 0.46, 0.72]) pen.ink(ellipse(on(low * at, 5)[0], on(low * at, 5)[1], 1.1));
    pen.stroke([on(length * 0.7, -11), on(length * 0.95, -8, sway * 0.5), on(low, -10, sway)], 1.3, {
      swell: 0.1,
    });
    pen.stroke([on(length * 0.9, 12), on(low * 0.96, 12, sway * 0.6)], 1.1, { swell: 0.1 });
  });
}

function collar(pen: Pen, cast: Cast, { neck }: Pose): void {
  const [x, y] = neck;
  const wrap = pen.solid(
    [
      [x - 8, y - 2],
      [x, y - 5],
      [x + 8.5, y - 3],
      [x + 8, y + 3.5],
      [x, y + 5],
      [x - 8, y + 3.5],
    ],
    cast.scarf,
    1.5,
  );
  pen.within(wrap, () => {
    pen.tint(
      shape([
        [x - 12, y + 1],
        [x, y + 2.5],
        [x + 4, y + 8, 1],
        [x - 12, y + 9, 1],
      ]),
      cast.scarfShade,
    );
    pen.stroke(
      [
        [x - 7, y + 0.5],
        [x, y + 1.5],
        [x + 6, y - 0.5],
      ],
      0.9,
    );
  });
}

function scarfTail(pen: Pen, cast: Cast, { neck, scarf }: Pose): void {
  if (scarf === undefined) return;
  const widths = [4, 6.5, 5.5, 8, 7];
  const placed = pen.form(limb([neck, ...scarf], widths.slice(0, scarf.length + 1)), cast.scarf, 1.5);
  pen.within(placed, () => {
    const low = scarf.map(([x, y]): Knot => [x, y + 3.2]);
    pen.tint(
      limb([[neck[0], neck[1] + 3], ...low.map(([x, y]): Pt => [x, y])], [2, 3, 3, 4]),
      cast.scarfShade,
    );
  });
}

function arm(
  pen: Pen,
  cast: Cast,
  { neck, hip }: Pose,
  [elbow, hand]: readonly [Pt, Pt],
  side: number,
  far: boolean,
): void {
  const lean = (hip[0] - neck[0]) * 0.15;
  const shoulder: Pt = [neck[0] + lean + (far ? 4 : -3) + side * 0.4, neck[1] + 6];
  const dx = hand[0] - elbow[0];
  const dy = hand[1] - elbow[1];
  const reach = Math.hypot(dx, dy) || 1;
  const fist: Pt = [hand[0] + (dx / reach) * 2.4, hand[1] + (dy / reach) * 2.4];
  pen.form(ellipse(fist[0], fist[1], 3.6, 3.1), cast.skin, 1.3);
  const sleeve = pen.form(limb([shoulder, elbow, hand], [9, 8.6, 8]), far ? cast.coatShade : cast.coat, 1.7);
  if (!far)
    pen.within(sleeve, () => {
      pen.tint(
        limb(
          [
            [shoulder[0] - 3, shoulder[1] + 3],
            [elbow[0] - 1, elbow[1] + 4],
            [hand[0], hand[1] + 4],
          ],
          [5, 5, 3],
        ),
        cast.coatShade,
      );
      pen.stroke(
        [
          [elbow[0] - 2, elbow[1] - 2],
          [elbow[0] + 2, elbow[1] + 1],
        ],
        1.1,
      );
    });
}

function leg(pen: Pen, cast: Cast, hip: Pt, [knee, heel]: readonly [Pt, Pt], far: boolean): void {
  const root: Pt = [hip[0] + (far ? 4 : -4), hip[1]];
  pen.form(limb([root, knee, [heel[0], heel[1] - 6]], [8, 6.6, 5.6]), cast.leggings, 1.3);
  const angle = Math.atan2(heel[0] - knee[0], heel[1] - knee[1]);
  const boot = pen.on({ x: heel[0], y: heel[1], turn: (-angle * 180) / Math.PI });
  const placed = boot.solid(knots('-4.6,-13* 4,-13* 4.4,-6 10,-4.4 11,0* -4.6,0* -5,-6'), cast.boots, 1.5);
  boot.within(placed, () => boot.ink(shape(knots('-6,-14* -2,-14* -1.6,-5 4,-2.4 12,-1.4* 12,1* -6,1*'))));
}
