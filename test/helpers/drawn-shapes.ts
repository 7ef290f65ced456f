/** Shapes as points, and how they are filled: what pages are drawn of. All lengths in pixels of the colour. */

/** A point in pixels of the colour. */
export type Point = readonly [x: number, y: number];

/** A rectangle that what is drawn is cut at. */
export interface Clip {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

export function closed([cx, cy]: Point, radius: number, random: () => number, out = 0): Point[] {
  const waves = Array.from(
    { length: 5 },
    (_, i) => [(0.35 * (random() - 0.5)) / (1 + i * 0.4), random() * 7] as const,
  );
  const steps = Math.max(24, Math.round(radius));
  return Array.from({ length: steps }, (_, i) => {
    const turn = (2 * Math.PI * i) / steps;
    let r = 1;
    waves.forEach(([height, phase], wave) => {
      r += height * Math.sin((wave + 2) * turn + phase);
    });
    return [cx + (radius * r + out) * Math.cos(turn), cy + (radius * r + out) * Math.sin(turn)] as const;
  });
}

export function curve([cx, cy]: Point, radius: number, random: () => number): Point[] {
  const from = random() * 7;
  const bend = random() - 0.5;
  return Array.from({ length: 20 }, (_, i) => {
    const way = i / 19 - 0.5;
    const [x, y] = [way * radius * 1.6, bend * radius * Math.cos(way * 4) * 0.8];
    return [
      cx + x * Math.cos(from) - y * Math.sin(from),
      cy + x * Math.sin(from) + y * Math.cos(from),
    ] as const;
  });
}

/** A polygon grown outwards from its middle. */
export function grown(points: readonly Point[], out: number): Point[] {
  const cx = points.reduce((sum, [x]) => sum + x, 0) / points.length;
  const cy = points.reduce((sum, [, y]) => sum + y, 0) / points.length;
  return points.map(([x, y]) => {
    const far = Math.hypot(x - cx, y - cy);
    return [x + ((x - cx) / far) * out, y + ((y - cy) / far) * out] as const;
  });
}

export function boxOf({ left, top, right, bottom }: Clip): Point[] {
  return [
    [left, top],
    [right, top],
    [right, bottom],
    [left, bottom],
  ];
}

/** Calls `set` for each run of pixels whose middles lie in a polygon (even-odd), within a clip. */
export function fill(
  points: readonly Point[],
  clip: Clip,
  set: (y: number, from: number, to: number) => void,
): void {
  const ys = points.map(([, y]) => y);
  const first = Math.max(Math.ceil(clip.top - 0.5), Math.ceil(Math.min(...ys) - 0.5));
  const last = Math.min(clip.bottom, Math.max(...ys));
  for (let y = first; y + 0.5 < last; y++) {
    const crossings: number[] = [];
    for (let i = 0; i < points.length; i++) {
      const [x1, y1] = points[i];
      const [x2, y2] = points[(i + 1) % points.length];
      if (y1 <= y + 0.5 !== y2 <= y + 0.5) crossings.push(x1 + ((y + 0.5 - y1) / (y2 - y1)) * (x2 - x1));
    }
    crossings.sort((a, b) => a - b);
    for (let i = 0; i + 1 < crossings.length; i += 2) {
      const from = Math.max(Math.ceil(clip.left - 0.5), Math.ceil(crossings[i] - 0.5));
      const to = Math.min(Math.floor(clip.right + 0.5), Math.ceil(crossings[i + 1] - 0.5));
      if (to > from) set(y, from, to);
    }
  }
}

export function thick([x1, y1]: Point, [x2, y2]: Point, from: number, to: number): Point[] {
  const far = Math.hypot(x2 - x1, y2 - y1) || 1;
  const [nx, ny] = [-(y2 - y1) / far / 2, (x2 - x1) / far / 2];
  const [ax, ay] = [((x2 - x1) / far) * 0.4 * from, ((y2 - y1) / far) * 0.4 * from];
  return [
    [x1 - ax + nx * from, y1 - ay + ny * from],
    [x2 + ax + nx * to, y2 + ay + ny * to],
    [x2 + ax - nx * to, y2 + ay - ny * to],
    [x1 - ax - nx * from, y1 - ay - ny * from],
  ];
}
