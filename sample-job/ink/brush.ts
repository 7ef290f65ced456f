import { normalAt, type Outline, type Pt } from './geometry.js';
import { noise1 } from './random.js';

/** How a brush touches the paper along one stroke. Fractions are of the stroke's length. */
export interface Touch {
  /** Widest place, in page units. */
  readonly weight: number;
  /** Share of the stroke over which it swells from its first point. */
  readonly swell?: number;
  /** Share of the stroke over which it thins to its last point. */
  readonly thin?: number;
  /** Width left at the two ends, as a share of the weight. */
  readonly ends?: number;
  readonly seed?: number;
}

/** One brush stroke along an open line, as the outline of its ink. */
export function stroke(line: readonly Pt[], touch: Touch): Outline {
  const way = divided(line);
  const { weight, swell = 0.3, thin = 0.5, ends = 0.08, seed = 1 } = touch;
  const length = lengths(way);
  const total = length[length.length - 1] || 1;
  return ribbon(way, (index) => {
    const t = length[index] / total;
    const rise = swell > 0 ? Math.min(1, t / swell) : 1;
    const fall = thin > 0 ? Math.min(1, (1 - t) / thin) : 1;
    const press = ends + (1 - ends) * Math.sqrt(Math.min(rise, fall));
    return weight * press * (1 + 0.16 * noise1(length[index] / 9 + seed * 7.3, seed));
  });
}

/**
 * The contour of a shape as strokes from corner to corner. It is heavier on the side away from the light, which is
 * what makes a flat shape look solid.
 * @param light direction in which the light travels, of length 1
 */
export function contour(outline: Outline, weight: number, light: Pt, seed: number): Outline[] {
  return pieces(outline).map((way, index) => {
    const length = lengths(way);
    const total = length[length.length - 1] || 1;
    const side = Math.sign(area(outline.points)) || 1;
    return ribbon(way, (at) => {
      const [nx, ny] = normalAt(way, at);
      const away = (nx * light[0] + ny * light[1]) * side;
      const t = length[at] / total;
      const lift = 0.62 + 0.38 * Math.min(1, Math.min(t, 1 - t) * 6);
      const wobble = 1 + 0.14 * noise1(length[at] / 11 + index * 5.1, seed);
      return weight * (0.66 + 0.62 * Math.max(0, away)) * lift * wobble;
    });
  });
}

/** Adds points on long straight pieces, so that a brush can swell and thin there too. */
function divided(way: readonly Pt[]): readonly Pt[] {
  if (way.length > 12) return way;
  const out: Pt[] = [];
  const parts = Math.ceil(16 / way.length);
  for (let i = 0; i + 1 < way.length; i++)
    for (let s = 0; s < parts; s++) {
      const t = s / parts;
      out.push([way[i][0] + (way[i + 1][0] - way[i][0]) * t, way[i][1] + (way[i + 1][1] - way[i][1]) * t]);
    }
  out.push(way[way.length - 1]);
  return out;
}

/** The ways between corners; a closed shape without corners is one way that meets itself. */
function pieces({ points, corners, closed }: Outline): Pt[][] {
  if (!closed) return [points.slice()];
  if (corners.length === 0) return [[...points, points[0], points[1]]];
  return corners.map((from, index) => {
    const to = corners[(index + 1) % corners.length];
    if (to > from) return points.slice(from, to + 1);
    return [...points.slice(from), ...points.slice(0, to + 1)];
  });
}

/** A band of varying width along a line, with blunt caps so that strokes meet at corners. */
function ribbon(way: readonly Pt[], widthAt: (index: number) => number): Outline {
  const left: Pt[] = [];
  const right: Pt[] = [];
  way.forEach((point, index) => {
    const [nx, ny] = normalAt(way, index);
    const half = widthAt(index) / 2;
    const first = index === 0 ? -1 : index === way.length - 1 ? 1 : 0;
    const [px, py] = [point[0] - ny * first * half * 0.7, point[1] + nx * first * half * 0.7];
    left.push([px + nx * half, py + ny * half]);
    right.push([px - nx * half, py - ny * half]);
  });
  return { points: [...left, ...right.reverse()], corners: [], closed: true };
}

function lengths(way: readonly Pt[]): number[] {
  const out = [0];
  for (let i = 1; i < way.length; i++)
    out.push(out[i - 1] + Math.hypot(way[i][0] - way[i - 1][0], way[i][1] - way[i - 1][1]));
  return out;
}

function area(points: readonly Pt[]): number {
  let sum = 0;
  for (let i = 0; i < points.length; i++) {
    const a = points[i];
    const b = points[(i + 1) % points.length];
    sum += a[0] * b[1] - b[0] * a[1];
  }
  return sum;
}
