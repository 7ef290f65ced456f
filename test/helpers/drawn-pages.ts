import type { Bitmap, Raster } from '../../pipeline/model/raster.js';
import { seeded } from './rasters.js';

/** Pages of several styles, drawn by code: colour at its ppi and line at twice as many, the line moved as it is asked for. */

/** A point in pixels of the colour. */
type Point = readonly [x: number, y: number];

/** How the line lies on the colour: about the middle of the page. */
export interface Laid {
  /** Pixels of the colour. */
  readonly dx?: number;
  readonly dy?: number;
  /** Clockwise. */
  readonly degrees?: number;
  /** Percent that the line is larger. */
  readonly scalePercent?: number;
}

export const fittingStyles = [
  'brush',
  'pen',
  'manga',
  'cel',
  'painted',
  'painted-in',
  'sparse',
  'panels',
] as const;
export const tellingNothing = ['wash', 'flat-colour', 'blooms', 'grain', 'stripes', 'white'] as const;
/** Colour that follows its line. */
export type FittingStyle = (typeof fittingStyles)[number];
export type Style = (typeof fittingStyles)[number] | (typeof tellingNothing)[number] | 'shapes';

export interface DrawnPage {
  readonly colour: Raster;
  readonly line: Bitmap;
}

interface Blob {
  readonly points: readonly Point[];
  readonly colour: readonly number[];
  readonly panel: Panel;
  readonly inner: readonly (readonly Point[])[];
  readonly trapPx: number;
}

interface Panel {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
  readonly colour: readonly number[];
}

interface Scene {
  readonly width: number;
  readonly height: number;
  readonly panels: readonly Panel[];
  readonly blobs: readonly Blob[];
}

/** What may be told of a page. */
export interface PageWish {
  /** Size of the colour in pixels; default 825 x 1260, four tenths of a comic page at 300 ppi. */
  readonly width?: number;
  readonly height?: number;
  /** What is on the page; pages of one `grid` share their panels. */
  readonly seed: number;
  readonly grid?: number;
  readonly laid?: Laid;
  /** Seed of the inks where they are another page's. */
  readonly inksOf?: number;
}

export function drawPage(style: Style, wish: PageWish): DrawnPage {
  const { width = 825, height = 1260, seed, grid = seed, inksOf = seed } = wish;
  const scene = sceneOf(style, { width, height }, seed, grid);
  const inked =
    inksOf === seed
      ? scene
      : sceneOf(style, { width, height }, inksOf, inksOf === seed ? grid : (wish.grid ?? inksOf));
  return { colour: paint(style, scene, seed), line: ink(style, inked, inksOf, wish.laid ?? {}) };
}

function sceneOf(style: Style, size: { width: number; height: number }, seed: number, grid: number): Scene {
  const panels = style === 'sparse' ? [] : gridOf(size, seeded(grid * 7 + 1), seeded(seed * 31 + 5));
  const random = seeded(seed * 13 + 3);
  const blobs: Blob[] = [];
  if (style === 'panels') return { ...size, panels, blobs };
  const rooms = panels.length > 0 ? panels : [sparseRoom(size, random)];
  for (const panel of rooms) {
    const area = (panel.right - panel.left) * (panel.bottom - panel.top);
    const many = Math.max(2, Math.min(14, Math.round(area / 26000)));
    for (let i = 0; i < many; i++) blobs.push(blobIn(panel, random, i === 0 ? 1.6 : 1));
  }
  return { ...size, panels, blobs };
}

function sparseRoom({ width, height }: { width: number; height: number }, random: () => number): Panel {
  const left = width * (0.15 + 0.2 * random());
  const top = height * (0.2 + 0.2 * random());
  return { left, top, right: left + width * 0.45, bottom: top + height * 0.35, colour: [255, 255, 255] };
}

function gridOf(
  { width, height }: { width: number; height: number },
  random: () => number,
  paint: () => number,
): Panel[] {
  const margin = 40;
  const gutter = 14;
  const rows = 3 + Math.floor(random() * 2);
  const panels: Panel[] = [];
  const high = (height - 2 * margin - (rows - 1) * gutter) / rows;
  for (let row = 0; row < rows; row++) {
    const top = Math.round(margin + row * (high + gutter));
    const cut = random() < 0.3 ? [] : [0.3 + 0.4 * random()];
    let left = margin;
    for (const end of [...cut, 1]) {
      const right = Math.round(margin + (width - 2 * margin) * end - (end < 1 ? gutter / 2 : 0));
      panels.push({ left, top, right, bottom: Math.round(top + high), colour: colourOf(paint) });
      left = right + gutter;
    }
  }
  return panels;
}

function colourOf(random: () => number): number[] {
  return [90 + random() * 160, 90 + random() * 160, 90 + random() * 160].map(Math.round);
}

function blobIn(panel: Panel, random: () => number, size: number): Blob {
  const wide = panel.right - panel.left;
  const high = panel.bottom - panel.top;
  const centre: Point = [
    panel.left + wide * (0.1 + 0.8 * random()),
    panel.top + high * (0.1 + 0.8 * random()),
  ];
  const radius = Math.min(wide, high) * (0.1 + 0.2 * random()) * size;
  const points = closed(centre, radius, random);
  const inner = Array.from({ length: 3 }, () => curve(centre, radius * 0.7, random));
  return { points, colour: colourOf(random), panel, inner, trapPx: -1 + 3 * random() };
}

function closed([cx, cy]: Point, radius: number, random: () => number, out = 0): Point[] {
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

function curve([cx, cy]: Point, radius: number, random: () => number): Point[] {
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
function grown(points: readonly Point[], out: number): Point[] {
  const cx = points.reduce((sum, [x]) => sum + x, 0) / points.length;
  const cy = points.reduce((sum, [, y]) => sum + y, 0) / points.length;
  return points.map(([x, y]) => {
    const far = Math.hypot(x - cx, y - cy);
    return [x + ((x - cx) / far) * out, y + ((y - cy) / far) * out] as const;
  });
}

function boxOf({ left, top, right, bottom }: Panel): Point[] {
  return [
    [left, top],
    [right, top],
    [right, bottom],
    [left, bottom],
  ];
}

/** Calls `set` for each run of pixels whose middles lie in a polygon (even-odd), within a clip. */
function fill(
  points: readonly Point[],
  clip: { left: number; top: number; right: number; bottom: number },
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

function paint(style: Style, scene: Scene, seed: number): Raster {
  const { width, height } = scene;
  const data = new Uint8Array(width * height * 3).fill(255);
  const raster: Raster = { width, height, model: 'rgb', alpha: false, data };
  if (style === 'white') return raster;
  const lay = (points: readonly Point[], panel: Panel | undefined, colour: readonly number[]) => {
    const clip = {
      left: Math.max(0, panel?.left ?? 0),
      top: Math.max(0, panel?.top ?? 0),
      right: Math.min(width, panel?.right ?? width),
      bottom: Math.min(height, panel?.bottom ?? height),
    };
    fill(points, clip, (y, from, to) => {
      for (let x = from; x < to; x++) data.set(colour, (y * width + x) * 3);
    });
  };
  const random = seeded(seed * 17 + 11);
  if (style === 'flat-colour') data.fill(187);
  else if (style === 'wash' || style === 'blooms' || style === 'grain') wash(raster, style, random);
  else if (style === 'stripes') stripes(raster);
  else if (style === 'shapes') shapes(raster, random, lay);
  else paintScene(style, scene, lay, random);
  if (style === 'painted') soften(raster, random);
  if (style === 'painted-in') {
    const mask = inkMask(style, scene, seed, {}, 2);
    for (let y = 0; y < height; y++)
      for (let x = 0; x < width; x++) {
        const a = y * 2 * width * 2 + x * 2;
        const cover = (mask[a] + mask[a + 1] + mask[a + width * 2] + mask[a + width * 2 + 1]) / 4;
        for (let c = 0; c < 3; c++) data[(y * width + x) * 3 + c] *= 1 - cover;
      }
  }
  return raster;
}

function paintScene(
  style: Style,
  { panels, blobs, width }: Scene,
  lay: (points: readonly Point[], panel: Panel | undefined, colour: readonly number[]) => void,
  random: () => number,
): void {
  for (const panel of panels) lay(boxOf(panel), panel, panel.colour);
  for (const { points, colour, panel, trapPx } of blobs) {
    const clip = panels.length > 0 ? panel : undefined;
    if (style === 'sparse' && random() < 0.3) continue;
    const hue = style === 'manga' ? Array(3).fill(colour[0] > 170 ? 255 : colour[0]) : colour;
    const loose = style === 'painted' ? 2.5 : 0;
    const moved = points.map(
      ([x, y]) => [x + loose * (random() - 0.5), y + loose * (random() - 0.5)] as const,
    );
    lay(style === 'cel' ? grown(moved, trapPx) : moved, clip, hue);
    if (style !== 'cel') continue;
    const shade = closed([points[0][0] - width * 0.02, points[0][1]], 30, random);
    lay(
      shade,
      clip,
      hue.map((value) => value * 0.7),
    );
  }
}

/** Noise of a grain of so many pixels, -1 to 1. */
function noise(width: number, height: number, grainPx: number, random: () => number): Float32Array {
  const [cols, rows] = [Math.ceil(width / grainPx) + 2, Math.ceil(height / grainPx) + 2];
  const knots = Float32Array.from({ length: cols * rows }, () => random() * 2 - 1);
  const out = new Float32Array(width * height);
  for (let y = 0, i = 0; y < height; y++)
    for (let x = 0; x < width; x++, i++) {
      const [fx, fy] = [x / grainPx, y / grainPx];
      const [ix, iy] = [Math.floor(fx), Math.floor(fy)];
      const smooth = (t: number) => t * t * (3 - 2 * t);
      const [sx, sy] = [smooth(fx - ix), smooth(fy - iy)];
      const at = iy * cols + ix;
      out[i] =
        (knots[at] * (1 - sx) + knots[at + 1] * sx) * (1 - sy) +
        (knots[at + cols] * (1 - sx) + knots[at + cols + 1] * sx) * sy;
    }
  return out;
}

function wash({ width, height, data }: Raster, style: Style, random: () => number): void {
  const wide = noise(width, height, 160, random);
  const mid = noise(width, height, 40, random);
  const fine = noise(width, height, 3, random);
  for (let i = 0; i < width * height; i++) {
    const base = wide[i] + 0.4 * mid[i];
    // Blooms have hard drying edges; grain is paper.
    const level =
      style === 'blooms'
        ? Math.round(base * 3) / 3 + 0.04 * fine[i]
        : base + (style === 'grain' ? 0.5 : 0.03) * fine[i];
    data[3 * i] = 170 + 55 * level;
    data[3 * i + 1] = 180 + 40 * level;
    data[3 * i + 2] = 190 - 30 * level;
  }
}

function stripes({ width, height, data }: Raster): void {
  for (let y = 0, i = 0; y < height; y++)
    for (let x = 0; x < width; x++, i += 3) {
      data.set((x + 2 * y) % 180 < 90 ? [240, 200, 90] : [90, 160, 200], i);
    }
}

/** Hard shapes all over the page, without panels. */
function shapes(
  { width, height }: Raster,
  random: () => number,
  lay: (points: readonly Point[], panel: undefined, colour: readonly number[]) => void,
): void {
  for (let i = 0; i < 30; i++) {
    const middle: Point = [width * random(), height * random()];
    lay(closed(middle, 60 + 100 * random(), random), undefined, colourOf(random));
  }
}

/** Soft brush: edges of some ten pixels, light from one side, a little grain. */
function soften({ width, height, data }: Raster, random: () => number): void {
  const line = new Float64Array(Math.max(width, height));
  const blur = (start: number, step: number, count: number) => {
    for (let i = 0; i < count; i++) line[i] = data[start + i * step];
    for (let i = 0; i < count; i++) {
      let sum = 0;
      for (let d = -3; d <= 3; d++) sum += line[Math.max(0, Math.min(count - 1, i + d))];
      data[start + i * step] = sum / 7;
    }
  };
  for (let pass = 0; pass < 2; pass++)
    for (let c = 0; c < 3; c++) {
      for (let y = 0; y < height; y++) blur(y * width * 3 + c, 3, width);
      for (let x = 0; x < width; x++) blur(x * 3 + c, width * 3, height);
    }
  const light = noise(width, height, 90, random);
  for (let i = 0; i < data.length; i++)
    data[i] = Math.max(0, Math.min(255, data[i] + 22 * light[Math.floor(i / 3)] + 8 * (random() - 0.5)));
}

function ink(style: Style, scene: Scene, seed: number, laid: Laid): Bitmap {
  const mask = inkMask(style, scene, seed, laid, 2);
  const [width, height] = [scene.width * 2, scene.height * 2];
  const rowBytes = Math.ceil(width / 64) * 8;
  const bits = new Uint8Array(rowBytes * height);
  for (let y = 0, i = 0; y < height; y++)
    for (let x = 0; x < width; x++, i++) if (mask[i] === 1) bits[y * rowBytes + (x >> 3)] |= 1 << (x & 7);
  return { width, height, rowBytes, bits };
}

/** The inks, 0 and 1, at so many times the pixels of the colour. */
function inkMask(style: Style, scene: Scene, seed: number, laid: Laid, times: number): Uint8Array {
  const [width, height] = [scene.width * times, scene.height * times];
  const mask = new Uint8Array(width * height);
  const place = placing(scene, laid, times);
  const lay = (points: readonly Point[], clip: Panel | undefined, value: number) => {
    const corners =
      clip === undefined
        ? undefined
        : place([
            [clip.left, clip.top],
            [clip.right, clip.bottom],
          ]);
    const bounds = {
      left: Math.max(0, corners?.[0][0] ?? 0),
      top: Math.max(0, corners?.[0][1] ?? 0),
      right: Math.min(width, corners?.[1][0] ?? width),
      bottom: Math.min(height, corners?.[1][1] ?? height),
    };
    fill(place(points), bounds, (y, from, to) => mask.fill(value, y * width + from, y * width + to));
  };
  const random = seeded(seed * 19 + 7);
  for (const { points, panel, inner } of scene.blobs) {
    const clip = scene.panels.length > 0 ? panel : undefined;
    lay(points, clip, 0);
    if (style === 'pen' && random() < 0.6) for (const hatch of hatches(points, random)) lay(hatch, clip, 1);
    if (style === 'manga' && random() < 0.5) for (const dot of dots(points)) lay(dot, clip, 1);
    for (const quad of strokes([...points, points[0]], style, random)) lay(quad, clip, 1);
    for (const path of inner) for (const quad of strokes(path, style, random)) lay(quad, clip, 1);
  }
  for (const panel of scene.panels) {
    const box = boxOf(panel);
    for (let i = 0; i < 4; i++) lay(thick(box[i], box[(i + 1) % 4], 5, 5), undefined, 1);
  }
  return mask;
}

function placing(
  { width, height }: Scene,
  { dx = 0, dy = 0, degrees = 0, scalePercent = 0 }: Laid,
  times: number,
) {
  const scale = 1 + scalePercent / 100;
  const cos = scale * Math.cos((degrees * Math.PI) / 180);
  const sin = scale * Math.sin((degrees * Math.PI) / 180);
  const [cx, cy] = [width / 2, height / 2];
  return (points: readonly Point[]): Point[] =>
    points.map(
      ([x, y]) =>
        [
          times * (cx + (x - cx) * cos - (y - cy) * sin + dx),
          times * (cy + (x - cx) * sin + (y - cy) * cos + dy),
        ] as const,
    );
}

const widths: Partial<Record<Style, readonly [least: number, most: number]>> = {
  brush: [2, 8],
  pen: [1.5, 2.5],
  manga: [2, 4],
  cel: [3.5, 3.5],
};

/** The quads of a stroke whose width swells along its way. */
function strokes(path: readonly Point[], style: Style, random: () => number): Point[][] {
  const [least, most] = widths[style] ?? [2, 6];
  const beat = random() * 7;
  const widthAt = (i: number) => least + (most - least) * (0.5 + 0.5 * Math.sin(beat + i * 0.35));
  return path.slice(1).map((end, i) => thick(path[i], end, widthAt(i), widthAt(i + 1)));
}

function thick([x1, y1]: Point, [x2, y2]: Point, from: number, to: number): Point[] {
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

/** Lines at 45 degrees within a shape, some of them crossed. */
function hatches(points: readonly Point[], random: () => number): Point[][] {
  const cx = points.reduce((sum, [x]) => sum + x, 0) / points.length;
  const cy = points.reduce((sum, [, y]) => sum + y, 0) / points.length;
  const reach = Math.min(...points.map(([x, y]) => Math.hypot(x - cx, y - cy))) * 0.9;
  const out: Point[][] = [];
  for (const way of random() < 0.5 ? [1] : [1, -1]) {
    for (let at = -reach; at < reach; at += 7) {
      const half = Math.sqrt(reach * reach - at * at);
      const mid: Point = [cx + at * 0.7, cy - way * at * 0.7];
      out.push(
        thick(
          [mid[0] - half * 0.7, mid[1] - way * half * 0.7],
          [mid[0] + half * 0.7, mid[1] + way * half * 0.7],
          1.2,
          1.2,
        ),
      );
    }
  }
  return out;
}

/** A screen of 45 degrees within a shape. */
function dots(points: readonly Point[]): Point[][] {
  const cx = points.reduce((sum, [x]) => sum + x, 0) / points.length;
  const cy = points.reduce((sum, [, y]) => sum + y, 0) / points.length;
  const reach = Math.min(...points.map(([x, y]) => Math.hypot(x - cx, y - cy)));
  const out: Point[][] = [];
  for (let b = -40; b <= 40; b++)
    for (let a = -40; a <= 40; a++) {
      const [x, y] = [(a + b) * 4, (a - b) * 4];
      if (x * x + y * y > reach * reach) continue;
      out.push(
        Array.from(
          { length: 8 },
          (_, i) => [cx + x + 1.8 * Math.cos(i * 0.785), cy + y + 1.8 * Math.sin(i * 0.785)] as const,
        ),
      );
    }
  return out;
}
