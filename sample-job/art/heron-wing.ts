import { ellipse, knots, limb, type Pt } from '../ink/geometry.js';
import type { Pen } from '../ink/pen.js';
import type { Cast } from './palette.js';

interface Wing {
  readonly root: Pt;
  readonly elbow: Pt;
  readonly tip: Pt;
  readonly far: boolean;
  readonly up: number;
}

/** A fan of metal feathers on an arm of brass. */
export function wing(pen: Pen, cast: Cast, { root, elbow, tip, far, up }: Wing): void {
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

export function foldedWing(pen: Pen, cast: Cast): void {
  for (let i = 8; i >= 0; i--) {
    const x = -24 + i * 5;
    const y = -24 + i * 1.6;
    blade(pen, cast, [x, y], 16 + i * 1.5, 46 + i * 6, 12, i % 2 === 0);
  }
  pen.form(limb(knots('-36,-20 -18,-30 12,-26'), [14, 12, 8]), cast.brassLight, 1.4);
  pen.ink(ellipse(-28, -24, 2));
}
