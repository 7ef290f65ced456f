import { ellipse, knots, shape } from '../ink/geometry.js';
import { latticeValue } from '../ink/random.js';
import type { Sheet } from '../ink/sheet.js';
import { form, touch } from './dawn.js';

/** What is near in the dawn, painted against the light. */

/** The two of them on the end of it, and the lantern between, out. */
export function paintPair(sheet: Sheet): void {
  grandfather(sheet);
  girl(sheet);
  form(sheet, shape(knots('398,840* 400,812 398,806 412,794 426,806 424,812 426,840*')), '#14132a', 1.1);
  touch(sheet, knots('400,800 404,780 420,780 424,800'), 3, '#14132a', 0.9, 0, 1);
  touch(sheet, knots('412,812 412,830'), 10, '#4a4a6c', 0.7, 0.2, 0.9);
  touch(sheet, knots('424,836 422,816 420,804'), 5, '#e09a78', 0.7, 0.2, 0.5);
  touch(sheet, knots('412,790 406,772 417,744 408,716 420,676'), 9, '#b9a0a8', 0.3, 0.6, 1.6);
}

function grandfather(sheet: Sheet): void {
  form(sheet, shape(knots('200,850* 198,800 208,754 232,730 268,730 290,752 300,800 302,850*')), '#161a34');
  for (let i = 0; i < 16; i++) {
    const x = 212 + 76 * latticeValue(i, 1, 31);
    const y = 752 + 70 * latticeValue(i, 2, 31);
    const colour = ['#262e56', '#181836', '#33284c', '#1c2444'][i % 4];
    touch(
      sheet,
      [
        [x, y - 20],
        [x + (x - 250) * 0.06, y],
        [x + (x - 250) * 0.16, y + 24],
      ],
      22,
      colour,
      0.55,
      0.5,
      0.6,
    );
  }
  form(sheet, ellipse(252, 712, 20, 23), '#4a3448');
  form(sheet, shape(knots('262,706 276,708 276,724 264,734 256,728')), '#b08a86', 1.1, 0.9);
  form(sheet, shape(knots('224,712 224,692 240,678 264,680 282,696 294,706* 262,706')), '#10122a', 1.1);
  touch(sheet, knots('262,682 278,692 290,704'), 8, '#e8946c', 0.6, 0.3, 0.5);
  touch(sheet, knots('270,738 288,756 294,800 296,842'), 15, '#e8946c', 0.5, 0.5, 0.6);
  touch(sheet, knots('274,736 292,756 299,800 300,842'), 7, '#ffb684', 0.6, 0.5, 0.5);
  touch(sheet, knots('236,738 218,760 210,810'), 13, '#46508a', 0.4, 0.6, 0.4);
}

function girl(sheet: Sheet): void {
  form(sheet, shape(knots('302,850* 302,806 312,770 330,758 348,766 366,808 374,850*')), '#8a5a22');
  for (let i = 0; i < 13; i++) {
    const x = 316 + 44 * latticeValue(i, 1, 33);
    const y = 786 + 44 * latticeValue(i, 2, 33);
    const colour = ['#b07a2c', '#6a4226', '#94602a', '#7c4a30'][i % 4];
    touch(
      sheet,
      [
        [x, y - 16],
        [x + (x - 336) * 0.1, y],
        [x + (x - 336) * 0.24, y + 18],
      ],
      17,
      colour,
      0.5,
      0.4,
      0.7,
    );
  }
  touch(sheet, knots('346,772 361,808 369,844'), 15, '#f0a648', 0.6, 0.4, 0.6);
  touch(sheet, knots('350,772 366,808 373,842'), 7, '#ffd898', 0.7, 0.4, 0.5);
  touch(sheet, knots('352,764 384,758 408,768 436,758'), 14, '#8a2c3c', 0.95, 0.3, 0.5);
  touch(sheet, knots('356,760 384,754 408,763 434,754'), 7, '#e0685a', 0.75, 0.3, 0.4);
  touch(sheet, knots('310,764 330,770 352,764'), 16, '#9a3040', 1, 0.2, 0.9);
  form(sheet, shape(knots('304,752 302,724 322,706 346,714 354,738 350,758 326,762')), '#12132c', 1.2);
  for (let i = 0; i < 7; i++)
    touch(
      sheet,
      [
        [320 + i * 4, 714 + i],
        [312 + i * 6, 736],
        [311 + i * 6, 756],
      ],
      8,
      ['#26305c', '#34264a'][i % 2],
      0.45,
      0.6,
      0.5,
    );
  touch(sheet, knots('338,712 351,726 353,750'), 8, '#e8946c', 0.6, 0.4, 0.4);
}
