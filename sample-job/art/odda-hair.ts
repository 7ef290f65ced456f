import { knots, shape } from '../ink/geometry.js';
import type { Pen } from '../ink/pen.js';
import type { Cast } from './palette.js';

export function hairBehind(pen: Pen, cast: Cast): void {
  pen.black(
    shape(
      knots('-80,-80 -108,-10 -104,50 -92,96* -70,74 -50,104* -30,70 40,40 90,62* 102,10 90,-60', '0,-110'),
    ),
    cast.hair,
  );
}

export function hairInFront(pen: Pen, cast: Cast, fine: boolean): void {
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

export function shine(pen: Pen, cast: Cast, fine: boolean, locks: readonly (readonly number[])[]): void {
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
