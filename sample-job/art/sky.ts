import type { Hex } from '../ink/colour.js';
import { ellipse, type Knot, line, type Outline, polygon, type Pt, shape } from '../ink/geometry.js';
import { randomFrom } from '../ink/random.js';
import type { Sheet } from '../ink/sheet.js';
import type { Scene } from './palette.js';

/** A sky from high to low colour over an area, with streaks of a broad brush. */
export function drawSky(sheet: Sheet, area: Outline, scene: Scene, top: number, horizon: number, seed: number): void {
  sheet.form(area, { fill: scene.skyHigh, ink: 0 });
  sheet.gradient(area, scene.skyLow, [0, top], [0, horizon], 0, 1);
  const random = randomFrom(seed);
  sheet.within(area, () => {
    for (let i = 0; i < 16; i++) {
      const y = top + (horizon - top) * random();
      const x = -100 + random() * 800;
      const streak = shape([
        [x, y],
        [x + 90 + random() * 120, y - 6 - random() * 8],
        [x + 260 + random() * 260, y - 2],
        [x + 140, y + 6 + random() * 8],
      ]);
      sheet.mist(streak, i % 2 ? scene.cloud : scene.cloudShade, 12, 0.16 + 0.14 * random());
    }
  });
}

export interface Cloud {
  readonly x: number;
  /** Its flat underside. */
  readonly base: number;
  readonly width: number;
  readonly height: number;
  readonly seed: number;
  /** Weight of the broken line on its crown; 0 for a cloud in paint alone. */
  readonly ink?: number;
}

/** A heaped cloud: round above, flat below, lit from the right. */
export function drawCloud(sheet: Sheet, scene: Scene, cloud: Cloud): void {
  const crown = crownOf(cloud, 0);
  const body = shape([[cloud.x - cloud.width / 2, cloud.base, 1], ...crown, [cloud.x + cloud.width / 2, cloud.base, 1]]);
  sheet.form(body, { fill: scene.cloud, ink: 0 });
  sheet.within(body, () => {
    const low = crownOf({ ...cloud, height: cloud.height * 0.55, seed: cloud.seed + 9 }, -cloud.width * 0.07);
    sheet.tint(shape([[cloud.x - cloud.width * 0.6, cloud.base, 1], ...low, [cloud.x + cloud.width * 0.5, cloud.base + 4, 1]]), scene.cloudShade);
  });
  sheet.gradient(body, scene.haze, [0, cloud.base - cloud.height * 0.45], [0, cloud.base], 0, 0.85);
  const weight = cloud.ink ?? 1;
  if (weight > 0)
    for (let i = 1; i + 2 < crown.length; i += 3)
      sheet.stroke(line(crown.slice(i, i + 3)), { weight, swell: 0.5, thin: 0.5 });
}

function crownOf({ x, base, width, height, seed }: Cloud, shift: number): Knot[] {
  const random = randomFrom(seed);
  const bumps = Math.max(4, Math.round(width / 34));
  const knots: Knot[] = [];
  for (let i = 0; i < bumps; i++) {
    const t = i / bumps;
    const next = (i + 1) / bumps;
    const top = (u: number) => base - height * Math.sin(Math.PI * (0.08 + u * 0.84)) ** 0.8 * (0.8 + 0.3 * random());
    const left = x - width / 2 + shift + width * t;
    const right = x - width / 2 + shift + width * next;
    const y0 = top(t + 0.02) + height * 0.1;
    knots.push([left, y0, 1], [left + (right - left) * 0.2, y0 - height * 0.2], [left + (right - left) * 0.72, y0 - height * 0.22]);
  }
  return knots;
}

/** Sun or moon: a disc, its halo, and the light it throws on the air. */
export function drawDisc(sheet: Sheet, centre: Pt, radius: number, fill: Hex, halo: Hex, reach: number): void {
  sheet.glow(centre, reach, halo, 0.55);
  sheet.form(ellipse(centre[0], centre[1], radius), { fill, ink: 0 });
}

export function drawMoon(sheet: Sheet, centre: Pt, radius: number, scene: Scene): void {
  drawDisc(sheet, centre, radius, '#f4efd2', scene.seaLight, radius * 3.4);
  const disc = ellipse(centre[0], centre[1], radius);
  sheet.within(disc, () => {
    for (const [dx, dy, r] of [[-0.35, -0.2, 0.28], [0.25, 0.3, 0.34], [0.3, -0.4, 0.16], [-0.2, 0.45, 0.18]])
      sheet.mist(ellipse(centre[0] + dx * radius, centre[1] + dy * radius, r * radius, r * radius * 0.8), '#b9c4bd', 3, 0.6);
  });
}

/** Stars as small four-pointed lights, thinning out toward the horizon. */
export function drawStars(sheet: Sheet, x0: number, x1: number, y0: number, y1: number, count: number, seed: number): void {
  const random = randomFrom(seed);
  for (let i = 0; i < count; i++) {
    const x = x0 + (x1 - x0) * random();
    const y = y0 + (y1 - y0) * random() ** 1.7;
    const r = 0.6 + 1.5 * random() ** 4;
    sheet.tint(polygon([[x, y - r * 2], [x + r * 0.5, y - r * 0.5], [x + r * 2, y], [x + r * 0.5, y + r * 0.5], [x, y + r * 2], [x - r * 0.5, y + r * 0.5], [x - r * 2, y], [x - r * 0.5, y - r * 0.5]]), '#e9efe0');
    if (r > 1.2) sheet.glow([x, y], 9, '#b8d8e8', 0.7);
  }
}

/** Rain as slanting strokes, some in ink, some taken out of the black. */
export function drawRain(sheet: Sheet, x0: number, y0: number, x1: number, y1: number, count: number, colour: Hex, seed: number): void {
  const random = randomFrom(seed);
  for (let i = 0; i < count; i++) {
    const x = x0 + (x1 - x0) * random();
    const y = y0 + (y1 - y0) * random();
    const long = 14 + 34 * random();
    const way = line([[x, y, 1], [x - long * 0.32, y + long, 1]]);
    const touch = { weight: 0.7 + random() * 0.8, swell: 0.7, thin: 0.3 };
    if (i % 3 === 0) sheet.stroke(way, touch);
    else {
      sheet.scratch(way, touch);
      sheet.colourStroke(way, touch, colour);
    }
  }
}
