import type { Hex } from '../ink/colour.js';
import { box, ellipse, type Knot, line, shape } from '../ink/geometry.js';
import { noise1, randomFrom } from '../ink/random.js';
import type { Sheet } from '../ink/sheet.js';
import type { Scene } from './palette.js';

export interface Water {
  readonly x0: number;
  readonly x1: number;
  readonly horizon: number;
  readonly bottom: number;
  readonly seed: number;
  /** Strokes of ink per hundred units of depth. */
  readonly density?: number;
}

/** Open water: deep near us, light toward the horizon, with strokes that grow as they come near. */
export function drawSea(sheet: Sheet, scene: Scene, water: Water): void {
  const { x0, x1, horizon, bottom, seed } = water;
  const area = box(x0, horizon, x1 - x0, bottom - horizon);
  sheet.form(area, { fill: scene.sea, ink: 0 });
  sheet.gradient(area, scene.seaLight, [0, horizon], [0, horizon + (bottom - horizon) * 0.5], 0.85, 0);
  sheet.gradient(area, scene.seaDeep, [0, horizon + (bottom - horizon) * 0.3], [0, bottom], 0, 0.9);
  sheet.within(area, () => {
    ripples(sheet, water, scene.seaLight, 0.8, seed);
    ripples(sheet, water, scene.seaDeep, 1, seed + 1);
    ripples(sheet, water, undefined, 0.8, seed + 2);
  });
}

/** Ripples across a stretch of water; without a colour they are inked. */
export function ripples(
  sheet: Sheet,
  water: Water,
  colour: Hex | undefined,
  share: number,
  seed: number,
): void {
  const { x0, x1, horizon, bottom, density = 34 } = water;
  const random = randomFrom(seed);
  const depth = bottom - horizon;
  const count = Math.round((depth / 100) * density * share * ((x1 - x0) / 600) * 1.6);
  for (let i = 0; i < count; i++) {
    const t = random() ** 1.35;
    const y = horizon + 3 + depth * t;
    const long = (10 + 70 * t) * (0.5 + random());
    const x = x0 + (x1 - x0) * random() - long / 2;
    const rise = 1 + 3 * t;
    const way = line([
      [x, y],
      [x + long * 0.3, y - rise * (random() - 0.2)],
      [x + long * 0.65, y + rise * (random() - 0.5)],
      [x + long, y],
    ]);
    const touch = { weight: 0.5 + (colour === undefined ? 1.3 : 2.6) * t, swell: 0.5, thin: 0.5 };
    if (colour === undefined) sheet.stroke(way, touch);
    else sheet.colourStroke(way, touch, colour);
  }
}

/** Broken light on the water below something bright. */
export function drawGlitter(
  sheet: Sheet,
  x: number,
  y0: number,
  y1: number,
  width: number,
  colour: Hex,
  seed: number,
): void {
  const random = randomFrom(seed);
  const count = Math.round((y1 - y0) / 3.2);
  for (let i = 0; i < count; i++) {
    const t = i / count;
    const y = y0 + (y1 - y0) * t;
    const half = width * (0.25 + 0.75 * t) * (0.3 + 0.7 * random());
    const mid = x + (random() - 0.5) * width * (0.3 + t);
    const way = line([
      [mid - half, y],
      [mid, y - 0.6],
      [mid + half, y],
    ]);
    sheet.colourStroke(way, { weight: 1 + 2.4 * t, swell: 0.5, thin: 0.5 }, colour);
  }
}

/** A wave in the foreground: a curling crest with foam, spotted black beneath its lip. */
export function drawWave(
  sheet: Sheet,
  scene: Scene,
  crest: readonly Knot[],
  bottom: number,
  weight = 2.4,
): void {
  const knots: Knot[] = crest.map(([x, y]) => [x, y]);
  const first = crest[0];
  const last = crest[crest.length - 1];
  const body = shape([
    [first[0], bottom, 1],
    [first[0], first[1], 1],
    ...knots.slice(1, -1),
    [last[0], last[1], 1],
    [last[0], bottom, 1],
  ]);
  sheet.form(body, { fill: scene.sea, ink: 0 });
  const top = Math.min(...crest.map(([, y]) => y));
  sheet.gradient(body, scene.seaDeep, [0, top], [0, bottom], 0, 1);
  sheet.within(body, () => {
    for (let k = 1; k <= 4; k++) {
      const lower = knots.map(
        ([x, y], i): Knot => [x + 4 * noise1(i * 0.9, k), y + k * 11 + 5 * noise1(i * 1.3 + k, 4)],
      );
      if (k === 1) sheet.colourStroke(line(lower), { weight: 7, swell: 0.2, thin: 0.3 }, scene.seaLight);
      else sheet.stroke(line(lower), { weight: weight * 0.55, swell: 0.3, thin: 0.4 });
    }
  });
  sheet.stroke(line(knots), { weight, swell: 0.15, thin: 0.3 });
}

/** Foam where water meets something: a row of light bubbles, lined on top. */
export function drawFoam(
  sheet: Sheet,
  scene: Scene,
  x0: number,
  x1: number,
  y: number,
  size: number,
  seed: number,
): void {
  const random = randomFrom(seed);
  for (let x = x0; x < x1; x += size * (0.6 + random() * 0.6)) {
    const r = size * (0.4 + 0.5 * random());
    sheet.form(ellipse(x, y + (random() - 0.5) * size * 0.6, r * 1.5, r * 0.7), {
      fill: scene.trim,
      ink: size > 5 ? 0.8 : 0,
    });
  }
}
