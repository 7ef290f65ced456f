import { box, type Knot, line, polygon, shape, straight } from '../ink/geometry.js';
import type { Sheet } from '../ink/sheet.js';
import { drawOdda } from './odda.js';
import { poses } from './odda-poses.js';
import { day } from './palette.js';

/** The inside of the tower: steps wind down past three windows, and the same girl runs past each. */
export function drawStair(sheet: Sheet): void {
  const wall = box(-6, -6, 330, 660);
  sheet.gradient(wall, '#3a2a58', [-6, 0], [150, 0], 0.9, 0);
  sheet.gradient(wall, '#d9946a', [150, 0], [320, 60], 0, 0.5);
  for (const [x, y] of [
    [206, 30],
    [44, 200],
    [214, 372],
  ])
    arch(sheet, x, y);
  stones(sheet);
  flight(
    sheet,
    [
      [320, 96],
      [20, 200],
    ],
    12,
  );
  flight(
    sheet,
    [
      [-6, 330],
      [300, 440],
    ],
    12,
  );
  flight(
    sheet,
    [
      [320, 520],
      [-6, 640],
    ],
    12,
  );
  drawOdda(sheet, { x: 150, y: 146, height: 92, flip: true, cast: day.cast, mood: 'effort' }, poses.run);
  drawOdda(sheet, { x: 120, y: 366, height: 122, cast: day.cast, mood: 'effort' }, poses.run);
  drawOdda(sheet, { x: 118, y: 592, height: 156, flip: true, cast: day.cast, mood: 'glad' }, poses.run);
}

function arch(sheet: Sheet, x: number, y: number): void {
  const opening = shape([
    [x, y + 96, 1],
    [x, y + 30, 1],
    [x + 26, y],
    [x + 52, y + 30, 1],
    [x + 52, y + 96, 1],
  ]);
  sheet.form(opening, { fill: '#fff0c0', ink: 2.2 });
  sheet.gradient(opening, '#7cc4c4', [0, y], [0, y + 96], 0.8, 0);
  sheet.stroke(line(straight(x + 26, y, x + 26, y + 96)), { weight: 2, swell: 0, thin: 0 });
  sheet.stroke(line(straight(x, y + 50, x + 52, y + 50)), { weight: 2, swell: 0, thin: 0 });
  sheet.mist(
    polygon([
      [x, y + 20],
      [x + 52, y + 20],
      [x - 40, y + 240],
      [x - 150, y + 220],
    ]),
    '#ffdf9a',
    8,
    0.45,
  );
}

function stones(sheet: Sheet): void {
  for (let i = 0; i < 46; i++) {
    const x = ((i * 83) % 330) - 6;
    const y = (i * 131) % 650;
    sheet.stroke(line(straight(x, y, x + 18 + (i % 5) * 3, y)), { weight: 1.1, swell: 0.2 });
    if (i % 2) sheet.stroke(line(straight(x + 8, y, x + 8, y + 12)), { weight: 1, swell: 0.2 });
  }
}

function flight(
  sheet: Sheet,
  [from, to]: readonly [readonly [number, number], readonly [number, number]],
  steps: number,
): void {
  const dx = (to[0] - from[0]) / steps;
  const dy = (to[1] - from[1]) / steps;
  const under: Knot[] = [];
  for (let i = 0; i <= steps; i++) {
    const x = from[0] + dx * i;
    const y = from[1] + dy * i;
    under.push([x, y, 1], [x + dx, y, 1]);
  }
  const slab = shape([...under, [to[0] + dx, to[1] + 46, 1], [from[0], from[1] + 46, 1]]);
  sheet.form(slab, { fill: '#b88a78', ink: 1.8 });
  sheet.within(slab, () => {
    sheet.black(
      shape([
        [to[0] + dx, to[1] + 16, 1],
        [to[0] + dx, to[1] + 60, 1],
        [from[0], from[1] + 60, 1],
        [from[0], from[1] + 22, 1],
      ]),
      day.deep,
    );
    for (let i = 0; i <= steps; i++)
      sheet.colourStroke(
        line([
          [from[0] + dx * i, from[1] + dy * i + 2, 1],
          [from[0] + dx * (i + 1), from[1] + dy * i + 2, 1],
        ]),
        { weight: 5, swell: 0, thin: 0, ends: 1 },
        '#f7d0a0',
      );
  });
}
