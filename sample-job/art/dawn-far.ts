import type { Hex } from '../ink/colour.js';
import { ellipse, type Knot, knots, polygon, shape, straight } from '../ink/geometry.js';
import { latticeValue } from '../ink/random.js';
import type { Sheet } from '../ink/sheet.js';
import { form, touch } from './dawn.js';

/** What stands far off in the dawn, painted: a soft brush for every form, light along the side that has the sun. */

/** The tower far off in the haze, its lamp put out, and the roofs that are left. */
export function paintFarTown(sheet: Sheet): void {
  for (const [x, top, wide] of [
    [520, 582, 22],
    [548, 574, 26],
    [650, 570, 30],
    [684, 580, 24],
    [40, 584, 26],
    [74, 578, 22],
  ])
    farRoof(sheet, x, top, wide / 2);
  tower(sheet);
  touch(sheet, knots('500,603 600,602 700,603'), 16, '#8a6480', 0.5, 0.5, 1);
  touch(sheet, knots('0,604 60,603 120,604'), 14, '#8a6480', 0.4, 0.5, 1);
  for (let i = 0; i < 14; i++) {
    const y = 610 + i * 7;
    const way = straight(584 + 8 * latticeValue(i, 1, 3), y, 618 + 10 * latticeValue(i, 2, 3), y);
    touch(sheet, way, 5, '#4a4066', 0.55 - i * 0.03, 0.6, 0.8);
  }
}

function farRoof(sheet: Sheet, x: number, top: number, half: number): void {
  const house = polygon([
    [x - half, 604],
    [x - half, top + 10],
    [x, top],
    [x + half, top + 10],
    [x + half, 604],
  ]);
  form(sheet, house, '#7a5a7c', 1.6, 0.8);
}

function tower(sheet: Sheet): void {
  form(sheet, polygon(knots('579,606 582,470 618,470 621,606')), '#54456e', 1.5);
  form(sheet, polygon(knots('576,472 576,464 624,464 624,472')), '#463a64', 1.2);
  form(sheet, polygon(knots('584,466 584,440 616,440 616,466')), '#4c3f68', 1.2);
  form(sheet, shape(knots('576,442* 588,430 598,396* 602,396* 612,430 624,442*')), '#3f345e', 1.2);
  touch(sheet, knots('600,398 600,380'), 2.4, '#3f345e', 1, 0);
  for (const x of [590, 600, 610]) touch(sheet, straight(x, 464, x, 446), 5, '#9a7a86', 0.8, 0, 0.8);
  form(sheet, ellipse(600, 494, 12), '#a98a90', 1.2, 0.8);
  touch(sheet, knots('583,604 585,520 586,474'), 7, '#e09a84', 0.75, 0.3, 0.7);
}

/** The lugger at her mooring, sail down. */
export function paintMooredBoat(sheet: Sheet): void {
  const dark = '#17152e';
  touch(sheet, knots('122,690 120,600 119,508'), 5, dark, 1, 0.1, 0.5);
  touch(sheet, knots('120,514 152,600 188,680'), 1.7, dark, 0.7, 0, 1);
  touch(sheet, knots('119,514 82,600 54,684'), 1.7, dark, 0.7, 0, 1);
  form(sheet, shape(knots('46,676 82,662 112,664 114,676 72,684')), '#3a2f4a', 1.4);
  touch(sheet, knots('54,670 82,664 110,666'), 5, '#8a5f68', 0.7);
  form(sheet, shape(knots('36,682* 82,690 142,690 198,674* 186,702 168,712* 54,712*')), dark, 1.2);
  touch(sheet, knots('112,693 152,692 192,680'), 4, '#d98870', 0.85, 0.4, 0.6);
  for (let i = 0; i < 18; i++) {
    const y = 714 + i * 4;
    const x = 46 + 20 * latticeValue(i, 1, 9);
    touch(
      sheet,
      [
        [x, y],
        [x + 126 - i * 3 + 20 * latticeValue(i, 2, 9), y + 1],
      ],
      6,
      dark,
      0.75 - i * 0.037,
      0.55,
      0.8,
    );
  }
}

/** The heron, on its way out to sea. */
export function paintHeron(sheet: Sheet): void {
  const dark = '#1f2148';
  wing(sheet, [262, 372], -146, 96, '#34345e', 0);
  touch(sheet, knots('214,384 180,392 150,396'), 4, dark, 0.9, 0.1, 0.5);
  touch(sheet, knots('216,380 244,376 276,366'), 22, dark, 1, 0.2, 0.6);
  touch(sheet, knots('272,368 298,366 296,346 318,338'), 9, dark, 1, 0.1, 0.6);
  touch(sheet, knots('316,338 330,337 356,342'), 8, dark, 1, 0, 0.1);
  touch(sheet, knots('222,388 246,386 274,375'), 9, '#e08a74', 0.85, 0.3, 0.6);
  touch(sheet, knots('300,362 303,350 318,342'), 3, '#e08a74', 0.8, 0.1, 0.6);
  wing(sheet, [246, 370], -112, 120, dark, 1);
}

function wing(
  sheet: Sheet,
  root: readonly [number, number],
  toward: number,
  reach: number,
  colour: Hex,
  lit: number,
): void {
  for (let i = 12; i >= 0; i--) {
    const angle = ((toward - 26 + i * 5.4) * Math.PI) / 180;
    const long = reach * (0.62 + 0.38 * Math.sin(((i + 2) / 14) * Math.PI)) * (i % 2 ? 1 : 0.95);
    const along: Knot = [
      root[0] + 0.5 * long * Math.cos(angle + 0.12),
      root[1] + 0.5 * long * Math.sin(angle + 0.12),
    ];
    const tip: Knot = [root[0] + long * Math.cos(angle), root[1] + long * Math.sin(angle)];
    touch(sheet, [[root[0], root[1]], along, tip], 26, colour, 0.95, 0.2, 0.8);
    if (lit > 0) touch(sheet, [along, tip], 9, i % 2 ? '#c97a78' : '#7a5a86', 0.42, 0.5, 0.7);
  }
}
