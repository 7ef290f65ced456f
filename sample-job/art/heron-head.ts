import { ellipse, knots, limb, shape } from '../ink/geometry.js';
import type { Pen } from '../ink/pen.js';
import type { Cast } from './palette.js';

export function heronHead(pen: Pen, cast: Cast, key: boolean): void {
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
