import { drawHeronFlying } from '../art/heron.js';
import { drawHouse } from '../art/house.js';
import { drawOddaHead } from '../art/odda-head.js';
import { memory } from '../art/palette.js';
import { drawRain } from '../art/sky.js';
import { box, ellipse, knots, line, type Outline, type Pt, polygon } from '../ink/geometry.js';
import { balloon, caption, noise } from '../ink/lettering.js';
import { drawInset, drawPanel, panel } from '../ink/panels.js';
import { latticeValue } from '../ink/random.js';
import type { Sheet } from '../ink/sheet.js';

const { cast } = memory;

/** The wave: one picture to the edges of the paper, and two small ones set into it. */
export function drawPage05(sheet: Sheet): void {
  drawPanel(sheet, panel(-6, -6, 694, 1056), memory.skyLow, () => flood(sheet), 0);
  drawInset(sheet, panel(46, 818, 236, 1006), '#d6b087', () => release(sheet), '#f8ebd2');
  drawInset(sheet, panel(256, 858, 400, 1006), '#e0bd92', () => watching(sheet), '#f8ebd2');
  caption(sheet, ['THEN THE SEA CAME IN.'], [44, 52], memory.caption, 10);
  caption(
    sheet,
    ['IT TOOK THE MARKET, THE SCHOOL,', 'AND EVERY CLOCK IN BRINEWICK', 'BUT ONE.'],
    [420, 944],
    memory.caption,
  );
  balloon(sheet, { lines: ['FLY!'], centre: [96, 848], to: [60, 900], size: 14 });
  noise(sheet, { text: 'HHHRRRR', at: [330, 60], size: 50, fill: '#f6e3c4', turn: 9, pen: 0.2 });
}

function flood(sheet: Sheet): void {
  const sky = box(-6, -6, 700, 1066);
  sheet.gradient(sky, '#a0704f', [0, 0], [0, 520], 1, 0);
  for (const [x, y, rx, ry] of [
    [120, 40, 300, 60],
    [560, 10, 320, 70],
    [420, 130, 280, 40],
  ])
    sheet.mist(ellipse(x, y, rx, ry), '#63402d', 20, 0.7);
  town(sheet);
  wave(sheet);
  drawRain(sheet, -10, -20, 740, 900, 150, '#fbf0d8', 77);
}

function town(sheet: Sheet): void {
  for (const [x, base, width, height, seed, far] of [
    [560, 640, 60, 130, 3, 0.55],
    [640, 660, 70, 170, 5, 0.5],
    [490, 660, 54, 110, 9, 0.5],
    [596, 760, 96, 220, 14, 0.2],
    [690, 790, 90, 240, 17, 0.15],
    [486, 760, 80, 150, 20, 0.2],
    [420, 830, 92, 170, 25, 0.05],
    [546, 880, 110, 210, 31, 0],
    [656, 930, 120, 250, 36, 0],
  ])
    drawHouse(sheet, memory, { x, base, width, height, seed, far, ink: 1.5 - far, lit: 0.3 });
  sheet.black(polygon(knots('380,1060 392,846 440,852 470,900 560,900 700,944 700,1060')), memory.deep);
}

/** Along the back of the wave, from its foot to the tip of its lip, and the same way along its hollow. */
const back: readonly Pt[] = [
  [-90, 1060],
  [-70, 800],
  [-50, 540],
  [10, 330],
  [120, 176],
  [268, 112],
  [404, 176],
  [470, 300],
  [452, 430],
];
const hollow: readonly Pt[] = [
  [420, 1060],
  [352, 880],
  [300, 700],
  [276, 560],
  [284, 450],
  [326, 384],
  [384, 366],
  [430, 392],
  [446, 440],
];

/** A line of flow between the back (0) and the hollow (1). */
function flow(share: number, from = 0, to = 1): Outline {
  const knots = back.map(([x, y], i): Pt => [x + (hollow[i][0] - x) * share, y + (hollow[i][1] - y) * share]);
  const way = line(knots).points;
  return {
    points: way.slice(Math.floor(from * way.length), Math.ceil(to * way.length)),
    corners: [],
    closed: false,
  };
}

function band(from: number, to: number): Outline {
  const points = [...flow(from).points, ...flow(to).points.slice().reverse()];
  return { points, corners: [], closed: true };
}

/** The wave stands over the town like a wall; its underside is one great black. */
function wave(sheet: Sheet): void {
  const body = band(0, 1);
  sheet.form(body, { fill: memory.sea, ink: 0 });
  sheet.gradient(body, memory.seaLight, [0, 120], [0, 560], 0.9, 0);
  sheet.gradient(body, memory.seaDeep, [0, 420], [0, 1000], 0, 1);
  for (const share of [0.1, 0.24, 0.3, 0.46])
    sheet.colourStroke(
      flow(share, 0.1, 0.96),
      { weight: 16 - share * 20, swell: 0.4, thin: 0.5 },
      memory.seaLight,
    );
  sheet.black(band(0.66, 1), memory.deep);
  for (let k = 0; k < 14; k++)
    sheet.stroke(flow(0.05 + k * 0.045, 0.04 * (k % 4), 0.99), {
      weight: 1.2 + (k % 4) * 0.9,
      swell: 0.5,
      thin: 0.4,
    });
  for (let k = 0; k < 7; k++) {
    const way = flow(0.7 + k * 0.038, 0.1 + 0.07 * (k % 3), 0.9 - 0.05 * (k % 2));
    sheet.scratch(way, { weight: 3.2 - k * 0.3, swell: 0.4, thin: 0.5 });
    sheet.colourStroke(way, { weight: 3.2 - k * 0.3, swell: 0.4, thin: 0.5 }, memory.sea);
  }
  sheet.stroke(flow(0), { weight: 3.4, swell: 0.1, thin: 0.1 });
  foam(sheet);
}

/** Foam along the lip, breaking into drops. One black pass, one white: the bubbles melt into one shape. */
function foam(sheet: Sheet): void {
  const lip = flow(0, 0.42, 1).points;
  const bubbles = Array.from({ length: 46 }, (_, i) => {
    const [x, y] = lip[Math.floor((i / 46) * lip.length)];
    const r = (8 + 16 * (i / 46)) * (0.7 + 0.5 * latticeValue(i, 1, 8));
    return { x: x + 16 * (latticeValue(i, 2, 8) - 0.3), y: y + 16 * (latticeValue(i, 3, 8) - 0.5), r };
  });
  for (const { x, y, r } of bubbles)
    sheet.form(ellipse(x, y, r + 1.8, r * 0.9 + 1.8), { fill: memory.trim, ink: 0 });
  for (const { x, y, r } of bubbles) sheet.inkOnly(ellipse(x, y, r + 1.8, r * 0.9 + 1.8));
  for (const { x, y, r } of bubbles) sheet.form(ellipse(x, y, r, r * 0.9), { fill: memory.trim, ink: 0 });
  for (const { x, y, r } of bubbles.filter((_, i) => i % 2))
    sheet.tint(ellipse(x - r * 0.2, y + r * 0.35, r * 0.7, r * 0.5), memory.seaLight);
  for (let i = 0; i < 26; i++) {
    const x = 450 + 90 * latticeValue(i, 5, 8) ** 2;
    const y = 190 + 360 * latticeValue(i, 6, 8);
    const r = 2 + 5 * latticeValue(i, 7, 8) ** 2;
    sheet.form(ellipse(x, y, r * 0.85, r), { fill: memory.trim, ink: 1.3 });
  }
}

function release(sheet: Sheet): void {
  const area = box(46, 818, 190, 188);
  sheet.gradient(area, '#6b452f', [46, 1006], [200, 830], 0.8, 0);
  drawHeronFlying(sheet, { x: 138, y: 948, scale: 0.74, cast, turn: -12, flip: true });
}

function watching(sheet: Sheet): void {
  const area = box(256, 858, 144, 148);
  sheet.gradient(area, '#6b452f', [400, 1006], [290, 880], 0.9, 0);
  sheet.form(ellipse(320, 1030, 64, 44), { fill: cast.coat, ink: 2.2 });
  drawOddaHead(sheet, { x: 326, y: 936, size: 56, turn: -12, mood: 'wonder', cast });
}
