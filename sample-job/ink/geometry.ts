/** Shapes as plain points. Page units are hundredths of an inch, x to the right, y down, from the corner of the bleed. */

export type Pt = readonly [number, number];

/** A point that a curve passes; a third value of 1 makes it a sharp corner. */
export type Knot = readonly [x: number, y: number, corner?: 0 | 1];

/** A line or a shape, flattened to short straight pieces. `corners` are indices where a pen would be lifted. */
export interface Outline {
  readonly points: readonly Pt[];
  readonly corners: readonly number[];
  readonly closed: boolean;
}

/** Moves a point from a drawing's own space to the page. */
export type Place = (point: Pt) => Pt;

const stepsPerKnot = 9;

/** Reads knots from rows of `x,y`; a star after a knot makes it a corner: `0,0* 40,-12 80,0*`. */
export function knots(...rows: readonly string[]): Knot[] {
  return rows
    .join(' ')
    .split(' ')
    .map((text): Knot => {
      const [x, y] = text.replace('*', '').split(',').map(Number);
      return text.endsWith('*') ? [x, y, 1] : [x, y];
    });
}

/** The two knots of a straight stroke. */
export function straight(x0: number, y0: number, x1: number, y1: number): Knot[] {
  return [
    [x0, y0, 1],
    [x1, y1, 1],
  ];
}

/** A closed shape that runs smoothly through its knots. */
export function shape(way: readonly Knot[]): Outline {
  return flatten(way, true);
}

/** An open line that runs smoothly through its knots. */
export function line(way: readonly Knot[]): Outline {
  return flatten(way, false);
}

/** A closed shape with straight sides. */
export function polygon(points: readonly Knot[]): Outline {
  return flatten(
    points.map(([x, y]): Knot => [x, y, 1]),
    true,
  );
}

export function box(x: number, y: number, width: number, height: number): Outline {
  return polygon([
    [x, y],
    [x + width, y],
    [x + width, y + height],
    [x, y + height],
  ]);
}

export function ellipse(cx: number, cy: number, rx: number, ry = rx, turn = 0): Outline {
  const points: Pt[] = [];
  const steps = 48;
  const c = Math.cos(turn);
  const s = Math.sin(turn);
  for (let i = 0; i < steps; i++) {
    const angle = (i / steps) * 2 * Math.PI;
    const x = rx * Math.cos(angle);
    const y = ry * Math.sin(angle);
    points.push([cx + x * c - y * s, cy + x * s + y * c]);
  }
  return { points, corners: [], closed: true };
}

/** A tube along three joints, such as an arm or a leg, with a width at each joint. */
export function limb(joints: readonly Knot[], widths: readonly number[]): Outline {
  const spine = line(joints).points;
  const left: Pt[] = [];
  const right: Pt[] = [];
  spine.forEach((point, index) => {
    const [nx, ny] = normalAt(spine, index);
    const t = (index / (spine.length - 1)) * (widths.length - 1);
    const at = Math.min(widths.length - 2, Math.floor(t));
    const half = (widths[at] + (widths[at + 1] - widths[at]) * (t - at)) / 2;
    left.push([point[0] + nx * half, point[1] + ny * half]);
    right.push([point[0] - nx * half, point[1] - ny * half]);
  });
  const points = [...left, ...right.reverse()];
  return { points, corners: [0, left.length - 1, left.length, points.length - 1], closed: true };
}

/** The unit normal of a line at one of its points, to the left of its way. */
export function normalAt(points: readonly Pt[], index: number): Pt {
  const before = points[Math.max(0, index - 1)];
  const after = points[Math.min(points.length - 1, index + 1)];
  const dx = after[0] - before[0];
  const dy = after[1] - before[1];
  const length = Math.hypot(dx, dy) || 1;
  return [dy / length, -dx / length];
}

export interface Placing {
  readonly x: number;
  readonly y: number;
  readonly scale?: number;
  /** Clockwise, in degrees. */
  readonly turn?: number;
  /** Mirrors left and right before turning. */
  readonly flip?: boolean;
}

export function placing({ x, y, scale = 1, turn = 0, flip = false }: Placing): Place {
  const angle = (turn * Math.PI) / 180;
  const c = Math.cos(angle) * scale;
  const s = Math.sin(angle) * scale;
  return ([px, py]) => {
    const mx = flip ? -px : px;
    return [x + mx * c - py * s, y + mx * s + py * c];
  };
}

export function moved(outline: Outline, place: Place): Outline {
  return { ...outline, points: outline.points.map(place) };
}

/** The box around an outline. */
export function boundsOf(outline: Outline): { x0: number; y0: number; x1: number; y1: number } {
  let x0 = Infinity;
  let y0 = Infinity;
  let x1 = -Infinity;
  let y1 = -Infinity;
  for (const [x, y] of outline.points) {
    if (x < x0) x0 = x;
    if (x > x1) x1 = x;
    if (y < y0) y0 = y;
    if (y > y1) y1 = y;
  }
  return { x0, y0, x1, y1 };
}

function flatten(way: readonly Knot[], closed: boolean): Outline {
  const points: Pt[] = [];
  const corners: number[] = [];
  const count = way.length;
  const pieces = closed ? count : count - 1;
  const at = (index: number): Knot =>
    closed ? way[(index + count) % count] : way[Math.min(count - 1, Math.max(0, index))];
  for (let i = 0; i < pieces; i++) {
    const a = at(i);
    const b = at(i + 1);
    if (a[2] === 1) corners.push(points.length);
    if (a[2] === 1 && b[2] === 1) {
      points.push([a[0], a[1]]);
      continue;
    }
    const before = a[2] === 1 ? a : at(i - 1);
    const after = b[2] === 1 ? b : at(i + 2);
    for (let s = 0; s < stepsPerKnot; s++) points.push(between(before, a, b, after, s / stepsPerKnot));
  }
  if (!closed) {
    const last = way[count - 1];
    points.push([last[0], last[1]]);
  }
  return { points, corners, closed };
}

/** A point of the Catmull-Rom curve from `a` to `b`: E. Catmull and R. Rom, 'A class of local interpolating splines', 1974. */
function between(before: Knot, a: Knot, b: Knot, after: Knot, t: number): Pt {
  return [
    hermite(a[0], b[0], (b[0] - before[0]) / 2, (after[0] - a[0]) / 2, t),
    hermite(a[1], b[1], (b[1] - before[1]) / 2, (after[1] - a[1]) / 2, t),
  ];
}

function hermite(a: number, b: number, slopeA: number, slopeB: number, t: number): number {
  const t2 = t * t;
  const t3 = t2 * t;
  return (2 * t3 - 3 * t2 + 1) * a + (t3 - 2 * t2 + t) * slopeA + (3 * t2 - 2 * t3) * b + (t3 - t2) * slopeB;
}
