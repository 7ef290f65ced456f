import { ellipse, type Knot, knots, limb, type Pt, shape } from '../ink/geometry.js';
import type { Pen } from '../ink/pen.js';
import type { Cast } from './palette.js';

export function legs(pen: Pen, cast: Cast): void {
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

export function neckTube(pen: Pen, cast: Cast, joints: readonly Knot[], widths: readonly number[]): void {
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

export function bodyPlates(pen: Pen, cast: Cast): void {
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
