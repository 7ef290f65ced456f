import { drawBoat, drawLantern } from '../art/boat.js';
import { drawHeronFlying } from '../art/heron.js';
import { drawHouse } from '../art/house.js';
import { day, type Scene } from '../art/palette.js';
import { drawFoam, drawGlitter, drawSea, drawWave } from '../art/sea.js';
import { drawCloud, drawSky } from '../art/sky.js';
import { drawFarRoofs } from '../art/town.js';
import { between } from '../ink/colour.js';
import { box, ellipse, knots, type Pt, polygon } from '../ink/geometry.js';
import { lineWidth, noise } from '../ink/lettering.js';
import { Pen } from '../ink/pen.js';
import { latticeValue } from '../ink/random.js';
import type { Sheet } from '../ink/sheet.js';

/** Dusk: the one hour that belongs to no scene of the story. */
const dusk: Scene = {
  ...day,
  skyHigh: '#1f3a6e',
  skyLow: '#f5a066',
  cloud: '#f7b48a',
  cloudShade: '#b0607a',
  haze: '#e88a6a',
  sea: '#2c6f86',
  seaDeep: '#142a5c',
  seaLight: '#f2b48a',
  walls: ['#8f5a7c', '#7a4e7a', '#a0657c', '#6b4a7c'],
  roofs: ['#5a3568', '#4a2f62', '#6b3a62', '#3f2f66'],
  trim: '#f7cfa8',
  window: '#2a2050',
  shadow: '#6a5aa0',
  lamp: '#ffd875',
};

const sun: Pt = [344, 452];

/** The cover: the bird over the sun, the girl with the lantern, the roofs that are left. */
export function drawCover(sheet: Sheet): void {
  drawSky(sheet, box(-6, -6, 700, 700), dusk, 60, 620, 31);
  rays(sheet);
  sheet.form(ellipse(sun[0], sun[1], 214), { fill: '#ffe2a0', ink: 0 });
  sheet.gradient(ellipse(sun[0], sun[1], 214), '#f2754e', [344, 330], [344, 660], 0, 0.95);
  drawCloud(sheet, dusk, { x: 110, base: 560, width: 360, height: 110, seed: 5, ink: 1.3 });
  drawCloud(sheet, dusk, { x: 610, base: 590, width: 320, height: 120, seed: 9, ink: 1.3 });
  town(sheet);
  drawSea(sheet, dusk, { x0: -6, x1: 694, horizon: 660, bottom: 1060, seed: 13 });
  drawGlitter(sheet, 344, 666, 860, 150, '#ffd08a', 4);
  for (const [x, base, width, height, seed] of [
    [92, 712, 110, 190, 7],
    [618, 716, 124, 190, 19],
    [10, 740, 110, 150, 28],
  ])
    drawHouse(sheet, dusk, { x, base, width, height, seed, ink: 1.6, lit: 0.3 });
  drawHeronFlying(sheet, { x: 318, y: 474, scale: 1.86, cast: day.cast, flip: true, turn: -10, key: true });
  drawBoat(sheet, dusk, { x: 318, y: 880, scale: 1.62, crew: 'standing', mood: 'wonder', turn: -4 });
  drawLantern(new Pen(sheet, { x: 366, y: 706, scale: 1.8 }, 1.3), dusk);
  front(sheet);
  sparks(sheet);
  title(sheet);
}

function rays(sheet: Sheet): void {
  for (let i = 0; i < 22; i++) {
    const a = (i / 22) * 2 * Math.PI + 0.06;
    const wide = 0.045;
    const tip = (b: number): Pt => [sun[0] + 1000 * Math.cos(b), sun[1] + 1000 * Math.sin(b)];
    sheet.mist(polygon([sun, tip(a - wide), tip(a + wide)]), '#ffcf8a', 3, 0.26);
  }
}

function town(sheet: Sheet): void {
  drawFarRoofs(sheet, -20, 700, 668, 120, between(dusk.haze, dusk.roofs[0], 0.3), 6);
  drawFarRoofs(sheet, -40, 700, 670, 80, between(dusk.haze, dusk.roofs[0], 0.6), 16);
}

function front(sheet: Sheet): void {
  drawWave(
    sheet,
    { ...dusk, seaLight: '#f7cfa8' },
    knots('-10,930 60,904 150,926 250,950 360,930 470,908 560,932 640,952 700,936'),
    1066,
    3.4,
  );
  drawFoam(sheet, dusk, 190, 300, 944, 9, 3);
  drawFoam(sheet, dusk, 560, 690, 942, 10, 5);
  drawWave(
    sheet,
    { ...dusk, sea: '#1f4f78' },
    knots('-10,1000 110,1016 220,992 330,1008 470,1024 580,998 700,1010'),
    1066,
    3.8,
  );
}

function sparks(sheet: Sheet): void {
  for (let i = 0; i < 46; i++) {
    const a = latticeValue(i, 1, 11) * 2 * Math.PI;
    const d = 20 + 150 * latticeValue(i, 2, 11);
    sheet.spark(
      [366 + d * Math.cos(a), 706 + d * Math.sin(a) * 0.9],
      2.4 + 4 * latticeValue(i, 3, 11) ** 2,
      '#ffdf8a',
    );
  }
}

function title(sheet: Sheet): void {
  const centred = (text: string, y: number, size: number, fill: string, pen: number, rim = 0.1): void =>
    noise(sheet, { text, at: [343 - lineWidth(text, size) / 2, y], size, fill, pen, rim });
  centred('BRINEWICK', 52, 92, '#fff0c4', 0.21);
  centred('LIGHT', 164, 52, '#ffc65a', 0.22);
  noise(sheet, { text: '#3', at: [52, 172], size: 38, fill: '#fff0c4', pen: 0.2 });
  noise(sheet, { text: "THE HERON'S ERRAND", at: [196, 984], size: 24, fill: '#fff0c4', pen: 0.19 });
}
