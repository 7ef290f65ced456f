import { type Hex, packed } from './ink/colour.js';
import {
  box,
  ellipse,
  knots,
  line,
  moved,
  type Outline,
  placing,
  polygon,
  shape,
  straight,
} from './ink/geometry.js';
import { balloon, caption, letterBlock } from './ink/lettering.js';
import { drawPanel, type Panel, pageHeight, pageWidth, panel } from './ink/panels.js';
import { randomFrom } from './ink/random.js';
import { fillRegion, regionOf } from './ink/region.js';
import type { Sheet } from './ink/sheet.js';

/** Plain pages of a harbour, each with faults of its own that an inspection has to find: quick to draw, easy to see. */

/** Trim and a comfortable frame within it, in page units. */
const trim = { x0: 12.5, y0: 12.5, x1: pageWidth - 12.5, y1: pageHeight - 12.5 };
const frame = panel(60, 60, pageWidth - 60, pageHeight - 60);

/** How a harbour differs from the others. */
export interface Harbour {
  readonly sky?: Hex;
  readonly sea?: Hex;
  readonly within?: Panel;
  /** Weight of its contours, in page units. */
  readonly pen?: number;
}

/** Hills, sea, boats, a mole and its lamp within a frame; the ground of most pages here. */
export function drawHarbour(
  sheet: Sheet,
  { sky = '#bcd6e6', sea = '#5f93a8', within = frame, pen = 2.4 }: Harbour = {},
): void {
  drawPanel(
    sheet,
    within,
    sky,
    ({ x0, x1, y1 }) => {
      for (const [x, y, r, fill] of hills) sheet.form(ellipse(x, y, r, 0.7 * r), { fill, ink: pen });
      sheet.form(
        shape(
          knots(
            `${x0 - 9},570* 180,556 300,575 420,558 540,574 ${x1 + 9},560* ${x1 + 9},${y1 + 9}* ${x0 - 9},${y1 + 9}*`,
          ),
        ),
        {
          fill: sea,
          ink: pen,
        },
      );
      sheet.form(box(x0, 700, 300, 60), { fill: '#8d8577', ink: pen });
      sheet.form(shape(knots('286,700* 292,560 298,430 320,430 326,560 334,700*')), {
        fill: '#e9e2d2',
        ink: pen,
      });
      sheet.form(ellipse(309, 404, 34, 30), { fill: '#f2c14e', ink: pen });
      sheet.black(box(x0, 760, 300, 90), '#2a2620');
      for (const [x, y] of boats) drawBoat(sheet, x, y, pen);
    },
    1.3 * pen,
  );
}

const hills = [
  [170, 560, 190, '#7d9a78'],
  [430, 585, 240, '#93ad84'],
  [560, 575, 120, '#6f8f74'],
] as const;

const boats = [
  [470, 640],
  [560, 720],
  [450, 800],
  [180, 640],
] as const;

function drawBoat(sheet: Sheet, x: number, y: number, pen = 2.4): void {
  const at = (rows: string) => moved(shape(knots(rows)), placing({ x, y }));
  sheet.form(at('-4,0* -6,-40 -30,-12 -38,2*'), { fill: '#f4efe4', ink: 0.8 * pen });
  sheet.form(at('-52,2* -40,20 0,26 40,18 54,-2* 0,8'), { fill: '#9a4f3c', ink: pen });
}

/** Hairlines, hairlines scratched out of black, screened tone, dust and pinholes. */
export function drawFineFaults(sheet: Sheet): void {
  drawHarbour(sheet);
  const { grid, ink } = sheet;
  const bar = (x: number, y: number, width: number, height: number, level: number) =>
    fillRegion(ink, grid.width, regionOf(box(x, y, width, height), grid), level);
  const pixel = 1 / grid.scale;
  for (let i = 0; i < 40; i++) bar(380, 120 + i * 5, 220, pixel, 0);
  for (let i = 0; i < 8; i++) bar(80, 770 + i * 9, 260, pixel, 255);
  drawTone(sheet);
  const random = randomFrom(7);
  for (let i = 0; i < 160; i++) bar(360 + random() * 250, 340 + random() * 200, pixel, pixel, 0);
  for (let i = 0; i < 30; i++) bar(75 + random() * 270, 845 - random() * 5, pixel, pixel, 255);
}

/** Dots of a screen, 50 lines to the inch at 45 degrees, over the mole. */
function drawTone({ grid, ink }: Sheet): void {
  const pitch = (grid.scale * 100) / 50;
  const [left, top, right, bottom] = [80, 700, 360, 756].map((at) => Math.round(at * grid.scale));
  for (let y = top; y < bottom; y++) {
    for (let x = left; x < right; x++) {
      const [u, v] = [(x + y) / Math.SQRT2 / pitch, (x - y) / Math.SQRT2 / pitch];
      if (Math.hypot(u - Math.round(u), v - Math.round(v)) < 0.3) ink[y * grid.width + x] = 0;
    }
  }
}

/** Inks that lay askew on the glass, by less than a degree. */
export function drawSkewed(sheet: Sheet): void {
  const turn = placing({ x: pageWidth / 2, y: pageHeight / 2, turn: 0.8 });
  const around = (x: number, y: number, w: number, h: number): Outline =>
    moved(box(x - pageWidth / 2, y - pageHeight / 2, w, h), turn);
  for (const [x, y, w, h] of [
    [60, 60, 567, 440],
    [60, 520, 270, 470],
    [350, 520, 277, 470],
  ])
    sheet.form(around(x, y, w, h), { fill: '#cfdfe6', ink: 4 });
  for (const [x, y] of [
    [-120, -300],
    [60, -330],
    [-200, 200],
    [160, 260],
    [-60, 360],
  ])
    sheet.form(moved(ellipse(x, y, 70, 52), turn), { fill: '#8d8577', ink: 3 });
}

/** A border that the trim cuts, one that ends just inside it, and words that are cut, too near to the cut, and hard to read. */
export function drawEdgeFaults(sheet: Sheet): void {
  drawHarbour(sheet);
  drawPanel(sheet, panel(90, trim.y0 - 5, 400, 300), '#d9c9a8', () => undefined, 4);
  drawPanel(sheet, panel(430, 330, trim.x1 - 6, 990), '#c9d9a8', () => undefined, 4);
  caption(sheet, ['THE TIDE WAITS'], [trim.x0 + 6, 500], '#f2e3c0');
  balloon(sheet, { lines: ['FOR NOBODY.'], centre: [664, 700] });
  letterBlock(sheet, ['CUT BY THE KNIFE'], [560, trim.y0], { size: 10 });
  letterBlock(sheet, ['FAINT AS A BELL UNDER WATER'], [400, 620], { size: 10, colour: '#7aa6b8' });
}

/** Colours that no press has, a grey that was meant for black beside true black, one heavy corner, and a sky in steps. */
export function drawColourFaults(sheet: Sheet): void {
  drawHarbour(sheet, { sky: '#00ff5a', sea: '#2a10ff' });
  const bands = 12;
  for (let i = 0; i < bands; i++) {
    const level = 96 + i * 3;
    const colour = `#${[level, level, level + 20].map((one) => one.toString(16).padStart(2, '0')).join('')}`;
    sheet.form(box(70 + i * 45, 70, 45, 240), { fill: colour, ink: 0 });
  }
  sheet.form(box(380, 780, 230, 200), { fill: '#151518', ink: 0 });
  sheet.form(box(70, 860, 290, 125), { fill: '#080204', ink: 0 });
  for (let i = 0; i < 14; i++) {
    const way = line(straight(380, 560 + i * 15, 600, 566 + i * 15));
    sheet.colourStroke(way, { weight: 1.2, swell: 0, thin: 0 }, '#e8d070');
  }
}

/** Words and a mast that the fold of a spread swallows. */
export function drawFoldFaults(sheet: Sheet): void {
  const middle = sheet.width / 2;
  drawPanel(sheet, panel(60, 60, sheet.width - 60, pageHeight - 60), '#bcd6e6', () => undefined);
  for (const x of [200, 420, 900, 1150]) sheet.form(ellipse(x, 640, 150, 120), { fill: '#7d9a78', ink: 2.4 });
  for (const x of [260, 520, 860, 1100]) drawBoat(sheet, x, 880);
  sheet.form(box(middle - 9, 240, 18, 420), { fill: '#8d6a4a', ink: 2.4 });
  balloon(sheet, { lines: ['WHERE IS THE', 'OTHER HALF?'], centre: [middle + 8, 150] });
}

/** Flats as they must not be: a soft edge, strays, a gap, two blues that are one, and a sky that ends beside its line. */
export function drawFlatsFaults(sheet: Sheet): void {
  drawHarbour(sheet);
  const { flats, grid } = sheet;
  const fill = (x: number, y: number, width: number, height: number, colour: string) =>
    fillRegion(flats, grid.width, regionOf(box(x, y, width, height), grid), packed(colour));
  fill(62, 759.8, 290, 0.4, '#5b554b');
  for (let i = 0; i < 9; i++) fill(400 + i * 20, 200 + (i % 3) * 12, 0.8, 0.8, '#8d8577');
  for (let i = 0; i < 6; i++) fill(420 + i * 30, 880 + i * 9, 0.7, 5, '#ffffff');
  fill(420, 800, 150, 120, '#5f93a9');
  const wedge = polygon([
    [60, 60],
    [65, 60],
    [60, 540],
  ]);
  fillRegion(flats, grid.width, regionOf(wedge, grid), packed('#ffffff'));
}

/** Two flags without a line between them, as light as each other: parted at a glance, and one to readers who see no green. */
export function drawTogether(sheet: Sheet): void {
  drawHarbour(sheet);
  for (const x of [200, 300, 560]) drawBoat(sheet, x, 930);
  sheet.form(box(360, 90, 120, 230), { fill: '#b05438', ink: 0 });
  sheet.form(box(480, 90, 120, 230), { fill: '#588430', ink: 0 });
}

/** A page that was scanned so light that its line is a third of the others'. */
export function drawThin(sheet: Sheet): void {
  drawHarbour(sheet, { sky: '#c9d4c0', pen: 0.7 });
}

/** A page that runs to its edges, where what lies beyond the trim is the mirror image of what lies within it: a fill, not a drawing. */
export function drawMirrored(sheet: Sheet): void {
  const { flats, ink, grid } = sheet;
  drawHarbour(sheet, { sky: '#e6c9bc', within: panel(-9, -9, pageWidth + 9, pageHeight + 9) });
  for (let x = 40; x < pageWidth; x += 95) drawBoat(sheet, x, 22);
  const bleed = Math.round(trim.y0 * grid.scale);
  for (let y = 0; y < bleed; y++) {
    const from = (2 * bleed - 1 - y) * grid.width;
    for (const plane of [flats, ink]) plane.copyWithin(y * grid.width, from, from + grid.width);
  }
}
