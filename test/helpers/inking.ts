import type { SizePx } from '../../config/units.js';
import type { Bitmap } from '../../pipeline/model/raster.js';

type Point = readonly [number, number];

/** Line drawn straight onto a plate: a pixel is ink where its middle lies in a shape. All lengths in pixels. */
export class Inking {
  private readonly bits: Uint8Array;
  private readonly rowBytes: number;

  constructor(private readonly size: SizePx) {
    this.rowBytes = Math.ceil(size.width / 64) * 8;
    this.bits = new Uint8Array(this.rowBytes * size.height);
  }

  /** What has been drawn so far; goes on being drawn on. */
  bitmap(): Bitmap {
    return { ...this.size, rowBytes: this.rowBytes, bits: this.bits };
  }

  /** @param ink 0 draws in white */
  box(left: number, top: number, width: number, height: number, ink = 1): void {
    for (let y = top; y < top + height; y++) this.run(y, left, left + width, ink);
  }

  line(from: Point, to: Point, width: number, ink = 1): void {
    this.taper(from, to, width, width, ink);
  }

  /** A stroke whose width goes from one to the other. */
  taper([x0, y0]: Point, [x1, y1]: Point, wide0: number, wide1: number, ink = 1): void {
    const long = Math.hypot(x1 - x0, y1 - y0);
    const [ex, ey] = [-(y1 - y0) / long / 2, (x1 - x0) / long / 2];
    this.polygon(
      [
        [x0 + ex * wide0, y0 + ey * wide0],
        [x1 + ex * wide1, y1 + ey * wide1],
        [x1 - ex * wide1, y1 - ey * wide1],
        [x0 - ex * wide0, y0 - ey * wide0],
      ],
      ink,
    );
  }

  /** A frame by its left, top, right and bottom, turned clockwise about a point. */
  frame(
    [left, top, right, bottom]: readonly number[],
    width: number,
    degrees = 0,
    about: Point = [0, 0],
  ): void {
    const [sin, cos] = [Math.sin((degrees * Math.PI) / 180), Math.cos((degrees * Math.PI) / 180)];
    const corners = [
      [left, top],
      [right, top],
      [right, bottom],
      [left, bottom],
    ].map(([x, y]): Point => {
      const [u, v] = [x - about[0], y - about[1]];
      return [about[0] + u * cos - v * sin, about[1] + u * sin + v * cos];
    });
    for (let i = 0; i < 4; i++) this.line(corners[i], corners[(i + 1) % 4], width);
  }

  polygon(points: readonly Point[], ink = 1): void {
    const downs = points.map(([, y]) => y);
    const first = Math.max(0, Math.floor(Math.min(...downs)));
    const last = Math.min(this.size.height - 1, Math.ceil(Math.max(...downs)));
    for (let y = first; y <= last; y++) {
      const crossings: number[] = [];
      for (let i = 0; i < points.length; i++) {
        const [[x1, y1], [x2, y2]] = [points[i], points[(i + 1) % points.length]];
        if (y1 <= y + 0.5 !== y2 <= y + 0.5) crossings.push(x1 + ((y + 0.5 - y1) / (y2 - y1)) * (x2 - x1));
      }
      crossings.sort((a, b) => a - b);
      for (let i = 0; i + 1 < crossings.length; i += 2) {
        this.run(y, Math.ceil(crossings[i] - 0.5), Math.ceil(crossings[i + 1] - 0.5), ink);
      }
    }
  }

  private run(y: number, from: number, to: number, ink: number): void {
    if (y < 0 || y >= this.size.height) return;
    for (let x = Math.max(0, from); x < Math.min(this.size.width, to); x++) {
      const at = y * this.rowBytes + (x >> 3);
      if (ink === 0) this.bits[at] &= ~(1 << (x & 7));
      else this.bits[at] |= 1 << (x & 7);
    }
  }
}
