import { ellipse, type Knot, limb, type Outline, type Pt, shape } from '../ink/geometry.js';
import type { Pen } from '../ink/pen.js';
import type { Pose } from './odda-poses.js';
import type { Cast } from './palette.js';

/** The oilskin: a bell from neck to hem along the line of the back. */
export function coat(pen: Pen, cast: Cast, pose: Pose): void {
  const { sway = 0, hem = 18 } = pose;
  const length = Math.hypot(pose.hip[0] - pose.neck[0], pose.hip[1] - pose.neck[1]);
  const on = alongBack(pose, length);
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
  const shade = shape([
    on(-4, -14),
    on(length * 0.5, -4),
    corner(on(low * 0.9, -7, sway)),
    corner(on(low + 9, -4, sway)),
    corner(on(low + 8, -34, sway)),
    corner(on(-4, -30)),
  ]);
  const placed = pen.form(body, cast.coat, 2);
  pen.within(placed, () => {
    pen.tint(shade, cast.coatShade);
    pen.stroke([on(8, 2), on(length * 0.7, 3), on(low + 2, 3, sway * 0.8)], 1.1, { thin: 0.2 });
    if (pose.head !== 'back')
      for (const at of [0.2, 0.46, 0.72]) pen.ink(ellipse(on(low * at, 5)[0], on(low * at, 5)[1], 1.1));
    pen.stroke([on(length * 0.7, -11), on(length * 0.95, -8, sway * 0.5), on(low, -10, sway)], 1.3, {
      swell: 0.1,
    });
    pen.stroke([on(length * 0.9, 12), on(low * 0.96, 12, sway * 0.6)], 1.1, { swell: 0.1 });
  });
}

/** Places on the coat: so far down from the neck, so far to the side, blown so far by the wind. */
function alongBack({ neck, hip }: Pose, length: number): (down: number, side: number, blow?: number) => Knot {
  const [ux, uy] = [(hip[0] - neck[0]) / length, (hip[1] - neck[1]) / length];
  return (down, side, blow = 0) => [neck[0] + ux * down + uy * side + blow, neck[1] + uy * down - ux * side];
}

export function collar(pen: Pen, cast: Cast, { neck }: Pose): void {
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

export function scarfTail(pen: Pen, cast: Cast, { neck, scarf }: Pose): void {
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
