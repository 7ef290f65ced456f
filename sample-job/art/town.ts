import type { Hex } from '../ink/colour.js';
import { box, type Knot, line, shape } from '../ink/geometry.js';
import { randomFrom } from '../ink/random.js';
import type { Sheet } from '../ink/sheet.js';

/** A far row of roofs in one flat tone: the air between takes their line away. */
export function drawFarRoofs(
  sheet: Sheet,
  x0: number,
  x1: number,
  base: number,
  height: number,
  fill: Hex,
  seed: number,
): void {
  const random = randomFrom(seed);
  let x = x0;
  while (x < x1) {
    const w = height * (0.35 + random() * 0.45);
    const h = height * (0.45 + random() * 0.55);
    const knots: Knot[] = [
      [x, base, 1],
      [x, base - h * 0.66, 1],
      [x + w / 2, base - h, 1],
      [x + w, base - h * 0.66, 1],
      [x + w, base, 1],
    ];
    sheet.form(shape(knots), { fill, ink: 0 });
    if (random() > 0.5) sheet.form(box(x + w * 0.7, base - h * 1.02, w * 0.12, h * 0.35), { fill, ink: 0 });
    x += w * (0.8 + random() * 0.9);
  }
}

/** A mast, a post or a chimney pot that still shows above the water. */
export function drawPost(sheet: Sheet, x: number, base: number, height: number, fill: Hex): void {
  sheet.form(
    shape([
      [x - 2.4, base, 1],
      [x - 2, base - height, 1],
      [x + 2.2, base - height - 1, 1],
      [x + 2.8, base, 1],
    ]),
    { fill, ink: 1.2 },
  );
  sheet.stroke(
    line([
      [x - 7, base + 1],
      [x, base + 3],
      [x + 9, base + 1],
    ]),
    { weight: 1.2 },
  );
}
