import { form, paintDawn, touch } from '../art/dawn.js';
import { paintFarTown, paintHeron, paintMooredBoat } from '../art/dawn-far.js';
import { paintPair } from '../art/dawn-pair.js';
import { box, knots, polygon, shape, straight } from '../ink/geometry.js';
import { latticeValue } from '../ink/random.js';
import type { Sheet } from '../ink/sheet.js';

/** The morning after. Painted with soft brushes alone: no ink on the whole page, not even in its darkest corner. */
export function drawPage12(sheet: Sheet): void {
  sheet.form(box(-6, -6, 700, 1062), { fill: '#101636', ink: 0 });
  paintDawn(sheet);
  paintFarTown(sheet);
  paintMooredBoat(sheet);
  paintHeron(sheet);
  quay(sheet);
  paintPair(sheet);
}

/** The end of the quay, so dark that it is nearly black, and yet of many colours. */
function quay(sheet: Sheet): void {
  post(sheet, 52, 868, 28);
  post(sheet, 232, 866, 30);
  post(sheet, 452, 796, 32);
  form(sheet, shape(knots('-30,840* 300,838 492,834* 496,846 490,870* 200,878 -30,886*')), '#0b0c1d', 1.5);
  for (let i = 0; i < 46; i++) {
    const x = -20 + 480 * latticeValue(i, 1, 21);
    const y = 846 + 28 * latticeValue(i, 2, 21);
    touch(sheet, straight(x, y, x + 50, y - 0.6), 5, woods[i % 4], 0.7, 0.8);
  }
  for (let i = 0; i < 13; i++) {
    const y = 841 - i * 0.4;
    touch(sheet, straight(i * 38 - 20, y, i * 38 + 14, y - 0.6), 4.4, edges[i % 3], 0.75, 0.6, 0.7);
  }
  for (let i = 0; i < 40; i++) {
    const x = 470 * latticeValue(i, 1, 25);
    const y = 890 + 150 * latticeValue(i, 2, 25);
    touch(sheet, straight(x - 40, y, x + 40, y + 1), 9, waters[i % 3], 0.6, 0.6);
  }
}

const woods = ['#1a2140', '#2a1c38', '#0d2530', '#33233a'];
const edges = ['#a8685f', '#6d4a60', '#c98468'];
const waters = ['#060a16', '#081820', '#100c20'];
const piles = ['#14203a', '#241a36', '#0c1c26'];

/** A pile of the quay, from its head down into the dark water. */
function post(sheet: Sheet, x: number, top: number, wide: number): void {
  const half = wide / 2;
  form(
    sheet,
    polygon([
      [x - half, top],
      [x + half, top],
      [x + half + 4, 1066],
      [x - half - 3, 1066],
    ]),
    '#0a0a1a',
    2,
  );
  for (let i = 0; i < 9; i++) {
    const at = x - wide * 0.36 + i * wide * 0.09;
    touch(sheet, straight(at, top + 8, at, top + 160), 4, piles[i % 3], 0.8, 0.8);
  }
  touch(sheet, straight(x + wide * 0.4, top + 4, x + wide * 0.42, top + 110), 5, '#7a4c58', 0.7, 0.6, 0.2);
}
