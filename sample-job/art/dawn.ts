import { type Hex, type Rgb, rgbOf } from '../ink/colour.js';
import { type Knot, line, type Outline, type Pt } from '../ink/geometry.js';
import { noise2 } from '../ink/random.js';
import type { Sheet } from '../ink/sheet.js';
import { mixed, paintCoat, ramp, softStroke } from '../ink/soft-brush.js';

/** Where the sun is about to come up. */
const dawnSun: Pt = [468, 596];

const dawnHorizon = 600;

const skyStops = [
  [0, '#080b22'],
  [150, '#131a44'],
  [300, '#2b3568'],
  [420, '#5a5484'],
  [500, '#a9707e'],
  [560, '#e8966c'],
  [600, '#f8c684'],
] as const;

const glare = rgbOf('#ffdca8');
const cloudDark = rgbOf('#1c1a40');
const cloudWarm = rgbOf('#5d3a5c');
const cloudLit = rgbOf('#f4886a');
const deep = rgbOf('#040a16');
const green = rgbOf('#102c48');

/** The sky before sunrise: bars of cloud, dark above and lit from beneath. */
function dawnSky(x: number, y: number): Rgb {
  const near = Math.exp(-(((x - dawnSun[0]) / 300) ** 2) - ((y - dawnSun[1]) / 190) ** 2);
  const air = mixed(ramp(skyStops, y - 26 * near), glare, near * 0.62);
  const here = cloudAt(x, y);
  if (here <= 0) return air;
  const lit = Math.max(0, here - cloudAt(x + 6, y + 9)) * (0.35 + 1.5 * near) * 1.5 * Math.min(1, y / 260);
  const body = mixed(cloudDark, cloudWarm, y / 560);
  return mixed(air, mixed(body, cloudLit, lit), here * 0.92);
}

function cloudAt(x: number, y: number): number {
  const lean = y + x * 0.09;
  const bars =
    noise2(x / 190 + 3, lean / 44, 81) +
    0.5 * noise2(x / 70, lean / 19, 82) +
    0.25 * noise2(x / 26, lean / 9, 83);
  const low = Math.max(0, (y - 520) / 90);
  return Math.min(1, Math.max(0, (bars - 0.02 - low) * 2.1));
}

/** The sea under it: the sky turned over, darker with every step toward us, a road of light beneath the sun. */
function dawnSea(x: number, y: number): Rgb {
  const depth = (y - dawnHorizon) / 450;
  const wave = noise2(x / (26 + 90 * depth), y / (2.5 + 9 * depth), 91);
  const sky = dawnSky(x + 14 * wave, dawnHorizon - (y - dawnHorizon) * 1.1 - 16 * wave * (0.4 + depth));
  const water = mixed(
    sky,
    mixed(green, deep, depth * 1.25),
    0.3 + 0.66 * Math.min(1, depth * 1.5) + 0.14 * wave,
  );
  const road =
    Math.exp(-(((x - dawnSun[0] + 10 * wave) / (24 + 120 * depth)) ** 2)) * Math.max(0, 1 - depth * 1.5);
  return mixed(water, glare, road * Math.max(0, 0.46 + 0.8 * wave));
}

/** Paints sky and sea with three brushes, from broad to fine. */
export function paintDawn(sheet: Sheet): void {
  const sky = { x0: -20, x1: 708, y0: -20, y1: dawnHorizon - 3 };
  const sea = { x0: -20, x1: 708, y0: dawnHorizon + 3, y1: 1062 };
  const drift = (x: number, y: number): number => -0.09 + 0.16 * noise2(x / 200, y / 120, 95);
  const level = (): number => 0;
  const coats = [
    [sky, dawnSky, 340, 64, 150, 1, drift],
    [sea, dawnSea, 260, 40, 170, 1, level],
    [sky, dawnSky, 900, 26, 74, 0.85, drift],
    [sea, dawnSea, 800, 14, 100, 0.85, level],
    [sky, dawnSky, 2300, 10, 40, 0.8, drift],
    [sea, dawnSea, 2300, 5.5, 46, 0.85, level],
  ] as const;
  coats.forEach(([area, view, count, weight, length, strength, flow], index) => {
    const clipped = (x: number, y: number): Rgb => view(x, Math.max(0, y));
    paintCoat(sheet, clipped, { area, count, weight, length, strength, flow, seed: 1000 + index * 4000 });
  });
}

/** A form whose edge is as soft as the brush that fills it. */
export function form(sheet: Sheet, outline: Outline, colour: Hex, edge = 1.3, strength = 1): void {
  sheet.mist(outline, colour, edge, strength);
}

/** One stroke of the soft brush. */
export function touch(
  sheet: Sheet,
  way: readonly Knot[],
  weight: number,
  colour: Hex,
  strength = 0.9,
  dry = 0.4,
  end = 0.4,
): void {
  softStroke(
    sheet,
    line(way),
    { weight, strength, dry, end, seed: Math.round(way[0][0] * 7 + way[0][1]) },
    colour,
  );
}
