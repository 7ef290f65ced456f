import type { Bitmap } from '../../pipeline/model/raster.js';
import type { Panel, Scene, Style } from './drawn-scene.js';
import { boxOf, fill, type Point, thick } from './drawn-shapes.js';
import { seeded } from './rasters.js';

/** The line of a drawn page, in its style and where it is asked for. */

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

export function ink(style: Style, scene: Scene, seed: number, laid: Laid): Bitmap {
  const mask = inkMask(style, scene, seed, laid, 2);
  const [width, height] = [scene.width * 2, scene.height * 2];
  const rowBytes = Math.ceil(width / 64) * 8;
  const bits = new Uint8Array(rowBytes * height);
  for (let y = 0, i = 0; y < height; y++)
    for (let x = 0; x < width; x++, i++) if (mask[i] === 1) bits[y * rowBytes + (x >> 3)] |= 1 << (x & 7);
  return { width, height, rowBytes, bits };
}

/** The inks, 0 and 1, at so many times the pixels of the colour. */
export function inkMask(style: Style, scene: Scene, seed: number, laid: Laid, times: number): Uint8Array {
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
