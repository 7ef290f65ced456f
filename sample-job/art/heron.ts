import { ellipse, type Knot, knots, limb, type Place, type Pt, placing, shape } from '../ink/geometry.js';
import { Pen } from '../ink/pen.js';
import type { Sheet } from '../ink/sheet.js';
import type { Cast } from './palette.js';

export interface HeronPlace {
  readonly x: number;
  readonly y: number;
  /** Page units for one unit of the bird; its body is 100 long. */
  readonly scale: number;
  readonly flip?: boolean;
  readonly turn?: number;
  readonly cast: Cast;
  /** Carries the key in its beak. */
  readonly key?: boolean;
}

/** The clockwork heron standing; it looks left, and its feet are at 0,0. */
export function drawHeronStanding(sheet: Sheet, place: HeronPlace): void {
  const pen = penFor(sheet, place);
  const { cast } = place;
  legs(pen, cast);
  const body = pen.on({ x: 0, y: -78 });
  neckTube(body, cast, knots('-38,-14 -62,-34 -44,-62 -60,-92'), [24, 17, 13, 11]);
  bodyPlates(body, cast);
  foldedWing(body, cast);
  heronHead(body.on({ x: -60, y: -98 }), cast, place.key ?? false);
}

/** The heron in flight to the left, its wings raised or lowered. */
export function drawHeronFlying(sheet: Sheet, place: HeronPlace, wings: 'up' | 'down' = 'up'): void {
  const pen = penFor(sheet, place);
  const { cast } = place;
  const up = wings === 'up' ? 1 : -1;
  wing(pen, cast, { root: [-6, -12], elbow: [20, -46 * up - 6], tip: [66, -96 * up - 8], far: true, up });
  for (const [y, end] of [
    [4, 14],
    [9, 22],
  ])
    pen.form(
      limb(
        [
          [48, y],
          [92, y + 6],
          [136, end],
        ],
        [4.5, 3.4, 2.6],
      ),
      cast.brassShade,
      1,
    );
  neckTube(pen, cast, knots('-36,-8 -62,2 -72,-26 -100,-24'), [24, 17, 13, 11]);
  bodyPlates(pen, cast);
  heronHead(pen.on({ x: -104, y: -28, turn: -8 }), cast, place.key ?? false);
  wing(pen, cast, { root: [-18, -14], elbow: [-4, -58 * up - 6], tip: [34, -126 * up - 8], far: false, up });
}

/** The head alone, for close views; it looks left, its eye at 0,0. */
export function drawHeronHead(sheet: Sheet, place: HeronPlace): void {
  const pen = penFor(sheet, place);
  neckTube(pen, place.cast, knots('6,6 20,30 8,70 30,130'), [12, 15, 17, 22]);
  heronHead(pen, place.cast, place.key ?? false);
}

/** Where a point of the heron's own space lies on the page. */
export function heronPlace({ x, y, scale, flip = false, turn = 0 }: HeronPlace): Place {
  return placing({ x, y, scale, flip, turn });
}

function penFor(sheet: Sheet, { x, y, scale, flip = false, turn = 0 }: HeronPlace): Pen {
  return new Pen(sheet, { x, y, scale, flip, turn }, Math.min(1.7, Math.max(0.42, scale * 1.05)));
}

function legs(pen: Pen, cast: Cast): void {
  for (const [x, far] of [
    [14, true],
    [-2, false],
  ] as const) {
    pen.form(
      limb(
        [
          [x, -72],
          [x + 9, -40],
          [x - 1, -2],
        ],
        [6, 4.4, 4],
      ),
      far ? cast.brassShade : cast.brass,
      1.1,
    );
    pen.form(ellipse(x + 8, -40, 4.4), cast.brassLight, 1);
    for (const toe of [-17, -8, 9])
      pen.form(
        limb(
          [
            [x - 1, -3],
            [x + toe * 0.5, -4],
            [x + toe, 0],
          ],
          [3.4, 3, 2],
        ),
        cast.brassShade,
        0.9,
      );
  }
}

function neckTube(pen: Pen, cast: Cast, joints: readonly Knot[], widths: readonly number[]): void {
  const tube = pen.form(limb(joints, widths), cast.brass, 1.6);
  pen.within(tube, () => {
    const under = joints.map(([x, y]): Pt => [x + 5, y + 5]);
    pen.tint(
      limb(
        under,
        widths.map((w) => w * 0.55),
      ),
      cast.brassShade,
    );
    const lit = joints.map(([x, y]): Pt => [x - 3, y - 2]);
    pen.colour(lit, 2.6, cast.brassLight);
    rings(pen, joints);
  });
}

/** The seams between the rings of the neck. */
function rings(pen: Pen, joints: readonly Knot[]): void {
  for (let i = 0; i + 1 < joints.length; i++)
    for (let s = 0; s < 5; s++) {
      const t = (s + 0.5) / 5;
      const x = joints[i][0] + (joints[i + 1][0] - joints[i][0]) * t;
      const y = joints[i][1] + (joints[i + 1][1] - joints[i][1]) * t;
      const dx = joints[i + 1][0] - joints[i][0];
      const dy = joints[i + 1][1] - joints[i][1];
      const l = Math.hypot(dx, dy);
      pen.stroke(
        [
          [x + (dy / l) * 12, y - (dx / l) * 12],
          [x + (dx / l) * 2, y + (dy / l) * 2],
          [x - (dy / l) * 12, y + (dx / l) * 12],
        ],
        0.8,
        { swell: 0, thin: 0, ends: 1 },
      );
    }
}

function bodyPlates(pen: Pen, cast: Cast): void {
  const body = pen.solid(knots('-50,-12 -36,-28 0,-31 36,-16 72,8* 42,16 6,22 -30,16 -48,4'), cast.brass, 2);
  pen.within(body, () => {
    pen.tint(shape(knots('-56,4 -20,8 20,6 76,4* 70,40* -60,40*')), cast.brassShade);
    pen.colour(knots('-44,-16 -28,-25 0,-27'), 4, cast.brassLight);
    pen.stroke(knots('-30,-30 -22,-6 -28,20'), 1);
    pen.stroke(knots('28,-24 34,-2 26,20'), 1);
    for (const [x, y] of [
      [-36, -16],
      [-34, 0],
      [-34, 10],
      [38, -10],
      [40, 4],
    ])
      pen.ink(ellipse(x, y, 1.3));
  });
  gear(pen.on({ x: -6, y: 8 }), cast);
}

function gear(pen: Pen, cast: Cast): void {
  const teeth: Knot[] = [];
  for (let i = 0; i < 40; i++) {
    const angle = (i / 40) * 2 * Math.PI;
    const r = i % 4 < 2 ? 11 : 8.6;
    teeth.push([r * Math.cos(angle), r * Math.sin(angle), 1]);
  }
  pen.black(ellipse(0, 0, 13), cast.brassShade);
  pen.form(shape(teeth), cast.brassLight, 0.9);
  pen.form(ellipse(0, 0, 3.4), cast.brassShade, 0.9);
}

function foldedWing(pen: Pen, cast: Cast): void {
  for (let i = 8; i >= 0; i--) {
    const x = -24 + i * 5;
    const y = -24 + i * 1.6;
    blade(pen, cast, [x, y], 16 + i * 1.5, 46 + i * 6, 12, i % 2 === 0);
  }
  pen.form(limb(knots('-36,-20 -18,-30 12,-26'), [14, 12, 8]), cast.brassLight, 1.4);
  pen.ink(ellipse(-28, -24, 2));
}

interface Wing {
  readonly root: Pt;
  readonly elbow: Pt;
  readonly tip: Pt;
  readonly far: boolean;
  readonly up: number;
}

/** A fan of metal feathers on an arm of brass. */
function wing(pen: Pen, cast: Cast, { root, elbow, tip, far, up }: Wing): void {
  const count = 15;
  for (let i = 0; i < count; i++) {
    const t = i / (count - 1);
    const at = bend(root, elbow, tip, t);
    const outward = (Math.atan2(tip[1] - elbow[1], tip[0] - elbow[0]) * 180) / Math.PI;
    const angle = 14 * up + (outward - 14 * up) * t ** 1.25;
    const length = 54 + 42 * Math.sin(Math.PI * (0.2 + t * 0.55));
    blade(pen, cast, at, angle, far ? length * 0.86 : length, 13, far || i % 3 === 2);
  }
  const arm = pen.form(limb([root, elbow, tip], [15, 10, 5]), far ? cast.brassShade : cast.brass, 1.6);
  if (!far) pen.within(arm, () => pen.colour([root, elbow, tip], 3, cast.brassLight));
  pen.form(ellipse(elbow[0], elbow[1], 5.5), cast.brassLight, 1.2);
  pen.ink(ellipse(elbow[0], elbow[1], 1.6));
}

function bend(a: Pt, b: Pt, c: Pt, t: number): Pt {
  const u = 1 - t;
  const f = (k: 0 | 1) => u * u * a[k] + 2 * u * t * (b[k] * 1.15 - (a[k] + c[k]) * 0.075) + t * t * c[k];
  return [f(0), f(1)];
}

/** One metal feather, from its root outward. */
function blade(
  pen: Pen,
  cast: Cast,
  root: Pt,
  angle: number,
  length: number,
  width: number,
  dark: boolean,
): void {
  const feather = pen.on({ x: root[0], y: root[1], turn: angle });
  const w = width / 2;
  const placed = feather.solid(
    [
      [0, -w * 0.5, 1],
      [length * 0.5, -w],
      [length * 0.9, -w * 0.7],
      [length, w * 0.2],
      [length * 0.9, w * 0.8],
      [length * 0.5, w * 0.9],
      [0, w * 0.5, 1],
    ],
    dark ? cast.patinaShade : cast.patina,
    1.1,
  );
  feather.within(placed, () =>
    feather.stroke(
      [
        [2, 0],
        [length * 0.5, 0.6],
        [length * 0.86, 0],
      ],
      0.8,
      { swell: 0, thin: 0.6 },
    ),
  );
}

function heronHead(pen: Pen, cast: Cast, key: boolean): void {
  for (const [dy, reach] of [
    [-6, 50],
    [-2, 42],
  ])
    pen.solid(
      [
        [4, dy - 4, 1],
        [26, dy - 11],
        [reach, dy - 8, 1],
        [26, dy - 3],
        [4, dy + 3, 1],
      ],
      cast.patinaShade,
      1,
    );
  if (key) keyInBeak(pen, cast);
  const lower = pen.solid(knots('-8,6* -40,11 -70,15* -36,17 -6,13*'), cast.brassShade, 1.2);
  pen.within(lower, () => undefined);
  const upper = pen.solid(knots('-6,-9* -30,-3 -78,13* -36,9 -6,8*'), cast.brassLight, 1.4);
  pen.within(upper, () => pen.tint(shape(knots('-4,4* -40,5 -84,13* -40,14 -4,14*')), cast.brass));
  const skull = pen.solid(knots('-12,-8 0,-15 16,-10 20,2 10,13 -8,13 -14,4'), cast.brass, 1.7);
  pen.within(skull, () => {
    pen.tint(shape(knots('-20,7 4,8 14,-4 30,-6* 30,30* -20,30*')), cast.brassShade);
    pen.stroke(knots('14,-12 11,0 14,14'), 0.8);
  });
  pen.form(ellipse(-1, -1, 7.4), cast.brassLight, 1.3);
  pen.form(ellipse(-1, -1, 5.2), cast.lens, 1);
  pen.ink(ellipse(-2.2, -1, 2));
  pen.tint(ellipse(-3.4, -2.8, 1), '#fffdf4');
  pen.sheet.paperOnly(pen.at(ellipse(-3.2, -2.6, 0.9)));
}

/** The key hangs crosswise in the beak. */
function keyInBeak(pen: Pen, cast: Cast): void {
  drawKey(pen.on({ x: -50, y: 11, turn: 84 }), cast);
}

/** A key with a wave for a bow; its shaft runs to the right from 0,0. */
export function drawKey(pen: Pen, cast: Cast): void {
  pen.form(limb(knots('-6,0 12,0 30,0'), [4, 4, 4]), cast.brassLight, 1.1);
  pen.form(shape(knots('20,1* 30,1* 30,10* 26,10* 26,6* 23,6* 23,9* 20,9*')), cast.brassLight, 1.1);
  pen.form(ellipse(-12, 0, 9, 8), cast.brassLight, 1.2);
  pen.form(ellipse(-12, 0, 4.6, 4), cast.brassShade, 1);
}
