import type { Pt } from '../ink/geometry.js';

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
