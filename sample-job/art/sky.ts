import type { Hex } from '../ink/colour.js';
import { ellipse, line, type Outline, type Pt, polygon, shape, straight } from '../ink/geometry.js';
import { randomFrom } from '../ink/random.js';
import type { Sheet } from '../ink/sheet.js';
import type { Scene } from './palette.js';

/** A sky from high to low colour over an area, with streaks of a broad brush. */
export function drawSky(
  sheet: Sheet,
  area: Outline,
  scene: Scene,
  top: number,
  horizon: number,
  seed: number,
): void {
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
  const { x, base, width, height, ink = 1 } = cloud;
  const crown = crownOf(cloud);
  const body = polygon([[x - width / 2, base], ...crown.flat(), [x + width / 2, base]]);
  sheet.form(body, { fill: scene.cloud, ink: 0 });
  sheet.within(body, () => {
    const low = crownOf({ ...cloud, x: x - width * 0.05, height: height * 0.56, seed: cloud.seed + 9 });
    sheet.tint(polygon([[x - width * 0.6, base], ...low.flat(), [x + width * 0.6, base]]), scene.cloudShade);
  });
  sheet.gradient(body, scene.haze, [0, base - height * 0.45], [0, base], 0, 0.85);
  if (ink > 0)
    for (const bump of crown.filter((points) => points.length > 5))
      sheet.stroke(
        { points: bump, corners: [], closed: false },
        { weight: ink * 1.3, swell: 0.5, thin: 0.5 },
      );
}

/** The upper edge of a heap of balls, as one row of points for each ball that shows. */
function crownOf({ x, base, width, height, seed }: Cloud): Pt[][] {
  const random = randomFrom(seed);
  const count = Math.max(5, Math.round(width / 26));
  const balls = Array.from({ length: count }, (_, i) => {
    const t = (i + 0.5 + (random() - 0.5) * 0.7) / count;
    const swell = Math.sin(Math.PI * t) ** 0.7;
    const r = height * (0.16 + 0.26 * random()) * (0.55 + 0.6 * swell);
    return {
      x: x - width / 2 + r + (width - 2 * r) * t,
      y: base - (height - r) * swell * (0.55 + 0.45 * random()),
      r,
    };
  });
  const crown: Pt[][] = [];
  let shown = Number.NaN;
  for (let px = x - width / 2; px <= x + width / 2; px += 1.5) {
    let best = -1;
    let top = base;
    balls.forEach((ball, index) => {
      const d = ball.r * ball.r - (px - ball.x) ** 2;
      if (d > 0 && ball.y - Math.sqrt(d) < top) {
        top = ball.y - Math.sqrt(d);
        best = index;
      }
    });
    if (best !== shown) crown.push([]);
    shown = best;
    crown[crown.length - 1].push([px, top]);
  }
  return crown;
}

/** Sun or moon: a disc, its halo, and the light it throws on the air. */
export function drawDisc(
  sheet: Sheet,
  centre: Pt,
  radius: number,
  fill: Hex,
  halo: Hex,
  reach: number,
): void {
  sheet.glow(centre, reach, halo, 0.55);
  sheet.form(ellipse(centre[0], centre[1], radius), { fill, ink: 0 });
}

export function drawMoon(sheet: Sheet, centre: Pt, radius: number, scene: Scene): void {
  drawDisc(sheet, centre, radius, '#f4efd2', scene.seaLight, radius * 3.4);
  const disc = ellipse(centre[0], centre[1], radius);
  sheet.within(disc, () => {
    for (const [dx, dy, r] of [
      [-0.35, -0.2, 0.28],
      [0.25, 0.3, 0.34],
      [0.3, -0.4, 0.16],
      [-0.2, 0.45, 0.18],
    ])
      sheet.mist(
        ellipse(centre[0] + dx * radius, centre[1] + dy * radius, r * radius, r * radius * 0.8),
        '#b9c4bd',
        3,
        0.6,
      );
  });
}

/** Stars as small four-pointed lights, thinning out toward the horizon. */
export function drawStars(
  sheet: Sheet,
  x0: number,
  x1: number,
  y0: number,
  y1: number,
  count: number,
  seed: number,
): void {
  const random = randomFrom(seed);
  for (let i = 0; i < count; i++) {
    const x = x0 + (x1 - x0) * random();
    const y = y0 + (y1 - y0) * random() ** 1.7;
    const r = 0.6 + 1.5 * random() ** 4;
    sheet.tint(
      polygon([
        [x, y - r * 2],
        [x + r * 0.5, y - r * 0.5],
        [x + r * 2, y],
        [x + r * 0.5, y + r * 0.5],
        [x, y + r * 2],
        [x - r * 0.5, y + r * 0.5],
        [x - r * 2, y],
        [x - r * 0.5, y - r * 0.5],
      ]),
      '#e9efe0',
    );
    if (r > 1.2) sheet.bloom(ellipse(x, y, 9), '#b8d8e8', [x, y], 9, 0.5);
  }
}

/** Rain as slanting strokes, some in ink, some taken out of the black. */
export function drawRain(
  sheet: Sheet,
  x0: number,
  y0: number,
  x1: number,
  y1: number,
  count: number,
  colour: Hex,
  seed: number,
): void {
  const random = randomFrom(seed);
  for (let i = 0; i < count; i++) {
    const x = x0 + (x1 - x0) * random();
    const y = y0 + (y1 - y0) * random();
    const long = 14 + 34 * random();
    const way = line(straight(x, y, x - long * 0.32, y + long));
    const touch = { weight: 0.7 + random() * 0.8, swell: 0.7, thin: 0.3 };
    if (i % 3 === 0) sheet.stroke(way, touch);
    else {
      sheet.scratch(way, touch);
      sheet.colourStroke(way, touch, colour);
    }
  }
}
