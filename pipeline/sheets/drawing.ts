import type { KernelMemory } from '../kernels/kernel-memory.js';
import { LruCache } from '../kernels/lru-cache.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Raster } from '../model/raster.js';
import { type TypePlace, textPath } from './type.js';

/**
 * Drawing for proofs and contact sheets: pictures are copied sample for sample, and everything else is SVG of plain
 * shapes laid over them. Ground and surround are neutral (R = G = B), so that they do not tint the eye's judgement.
 */

/** A rectangle in whole pixels. */
export interface PxBox {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

/** Greys of proofs and sheets, 0 black to 255 white. Our own choice. */
export const ground = { proof: 222, sheet: 237 } as const;

/** Ink of text and rules. */
export const ink = {
  strong: '#1c1c1c',
  plain: '#3d3d3d',
  quiet: '#6a6a6a',
  rule: '#bdbdbd',
  paper: '#fbfbfb',
} as const;

/** What is drawn on: rgb, 8 bit, without alpha. */
export type Canvas = Raster & { readonly data: Uint8Array };

/** A neutral canvas, allocated in the arena: width x height x 3 samples of 8 bit. */
export function canvasOf(width: number, height: number, grey: number, arena: PageArena): Canvas {
  const data = arena.allocate(width * height * 3).fill(grey);
  return { width, height, model: 'rgb', alpha: false, data };
}

/**
 * Proofs and sheets are drawn from soft-proofed pictures only.
 * @throws TypeError for a raster that is not rgb of 8 bit without alpha: a fault of the caller, not of the page
 */
function requireScreenPicture(picture: Raster): void {
  if (picture.model === 'rgb' && !picture.alpha && picture.data instanceof Uint8Array) return;
  throw new TypeError('A picture for proofs and sheets must be rgb, 8 bit, without alpha');
}

/** Copies a picture (rgb, 8 bit, no alpha) onto a canvas; what lies outside the canvas is left out. */
export function place(canvas: Canvas, picture: Raster, left: number, top: number): void {
  requireScreenPicture(picture);
  const first = Math.max(0, -left);
  const last = Math.min(picture.width, canvas.width - left);
  if (last <= first) return;
  const rows = Math.min(picture.height, canvas.height - top);
  for (let row = Math.max(0, -top); row < rows; row++) {
    const from = row * picture.width;
    const to = ((top + row) * canvas.width + left + first) * 3;
    canvas.data.set(picture.data.subarray((from + first) * 3, (from + last) * 3), to);
  }
}

/**
 * Scales an 8-bit rgb picture, or a part of it, to an exact pixel size by Lanczos; one that has it already is returned as
 * it is.
 */
export async function scaled(
  picture: Raster,
  width: number,
  height: number,
  part: PxBox = { left: 0, top: 0, width: picture.width, height: picture.height },
): Promise<Raster> {
  requireScreenPicture(picture);
  const isWhole = part.width === picture.width && part.height === picture.height;
  if (isWhole && picture.width === width && picture.height === height) return picture;
  const { default: sharp } = await import('sharp');
  const data = await sharp(picture.data, {
    raw: { width: picture.width, height: picture.height, channels: 3 },
  })
    .extract({ ...part })
    .resize(width, height, { fit: 'fill', kernel: 'lanczos3' })
    .raw()
    .toBuffer();
  return {
    width,
    height,
    model: 'rgb',
    alpha: false,
    data: new Uint8Array(data.buffer, data.byteOffset, data.length),
  };
}

/** Shapes (the inside of an SVG element, in the canvas's pixels) and the part of the canvas that they are drawn on. */
export interface Drawn {
  readonly shapes: readonly string[];
  /** Shapes end at its edge. The smaller, the quicker. */
  readonly window: PxBox;
}

/**
 * Lays shapes over parts of a canvas, in place; untouched pixels stay exact. The shapes are drawn apart, all parts on one
 * drawing, and laid over here, since the library's own compositing takes four times as long.
 */
export function drawWithin(canvas: Canvas, parts: readonly Drawn[], memory: KernelMemory): Promise<void> {
  return layParts(canvas, parts, render, memory);
}

/** As `drawWithin`, and keeps the drawing: what is the same on page after page is drawn for the first of them only. */
export function drawRecurring(canvas: Canvas, parts: readonly Drawn[], memory: KernelMemory): Promise<void> {
  return layParts(canvas, parts, renderOnce, memory);
}

async function layParts(
  canvas: Canvas,
  parts: readonly Drawn[],
  draw: typeof render,
  memory: KernelMemory,
): Promise<void> {
  requireScreenPicture(canvas);
  const windows = parts.map(({ window }) => window);
  const { places, width, height } = spread(windows);
  const inside = parts.map(({ shapes, window: { left, top, width, height } }, i) => {
    const { x, y } = places[i];
    const place = `x="${x}" y="${y}" width="${width}" height="${height}"`;
    return `<svg ${place} viewBox="${left} ${top} ${width} ${height}">${shapes.join('')}</svg>`;
  });
  const drawn = await draw(inside.join(''), width, height);
  for (const [i, window] of windows.entries()) {
    const { x, y } = places[i];
    layWindow(canvas, window, drawn, y * width + x, width, memory);
  }
}

/** Finds a place for each window on one drawing: side by side while they are equally high and fit into the widest's width. */
function spread(windows: readonly PxBox[]) {
  const width = Math.max(...windows.map((window) => window.width));
  const places: { x: number; y: number }[] = [];
  let [x, y, rowHeight] = [0, 0, 0];
  for (const window of windows) {
    if (window.height !== rowHeight || x + window.width > width) {
      [x, y, rowHeight] = [0, y + rowHeight, window.height];
    }
    places.push({ x, y });
    x += window.width;
  }
  return { places, width, height: y + rowHeight };
}

/** Drawings that recur, by their shapes: of single pages and spreads, of two sizes. Each takes up to 2 MB at 150 ppi. */
const drawings = new LruCache<Uint8Array>(4);

async function renderOnce(shapes: string, width: number, height: number): Promise<Uint8Array> {
  return drawings.get(shapes) ?? drawings.set(shapes, await render(shapes, width, height));
}

async function render(shapes: string, width: number, height: number): Promise<Uint8Array> {
  const { default: sharp } = await import('sharp');
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}">${shapes}</svg>`;
  const { data, info } = await sharp(Buffer.from(svg), { density: 72 })
    .ensureAlpha()
    .raw()
    .toBuffer({ resolveWithObject: true });
  if (info.width !== width || info.height !== height) {
    throw new Error(`shapes were drawn at ${info.width} x ${info.height} instead of ${width} x ${height}`);
  }
  return data;
}

/** Lays a part of a drawing (red, green, blue, alpha) over a canvas, beginning at one of the drawing's pixels. */
function layWindow(
  canvas: Canvas,
  { left, top, width, height }: PxBox,
  drawn: Uint8Array,
  first: number,
  stride: number,
  memory: KernelMemory,
): void {
  const [under, over] = memory.scratch(width * 3, width * 4);
  for (let row = 0; row < height; row++) {
    const start = ((top + row) * canvas.width + left) * 3;
    const ground = canvas.data.subarray(start, start + width * 3);
    const from = (first + row * stride) * 4;
    const at = memory.addressOf(ground, under);
    memory.kernels.layOver(at, memory.addressOf(drawn.subarray(from, from + width * 4), over), width);
    memory.store(at, ground);
  }
}

export interface TextLook extends Omit<TypePlace, 'x' | 'y'> {
  readonly fill?: string;
}

/** One line of text as a shape; `y` is its baseline. */
export function text(content: string, x: number, y: number, look: TextLook): string {
  const data = textPath(content, { ...look, x, y });
  return data === '' ? '' : `<path fill="${look.fill ?? ink.plain}" d="${data}"/>`;
}

export interface StrokeLook {
  readonly stroke: string;
  /** Stroke width in pixels, default 1. */
  readonly width?: number;
  readonly opacity?: number;
  /** Lengths of dash and gap in pixels. */
  readonly dash?: readonly number[];
  /** Where in the dash pattern the line starts, in pixels. */
  readonly dashOffset?: number;
}

/** An open or closed line given as SVG path data, not filled. */
export function line(data: string, look: StrokeLook): string {
  const dash = look.dash === undefined ? '' : ` stroke-dasharray="${look.dash.join(' ')}"`;
  const offset = look.dashOffset === undefined ? '' : ` stroke-dashoffset="${look.dashOffset}"`;
  const opacity = look.opacity === undefined ? '' : ` stroke-opacity="${look.opacity}"`;
  return `<path fill="none" stroke="${look.stroke}" stroke-width="${look.width ?? 1}"${dash}${offset}${opacity} d="${data}"/>`;
}

/** A filled shape given as SVG path data. */
export function fill(data: string, colour: string, opacity = 1): string {
  return `<path fill="${colour}"${opacity === 1 ? '' : ` fill-opacity="${opacity}"`} d="${data}"/>`;
}

/** Path data of a rectangle. */
export function box(x: number, y: number, width: number, height: number): string {
  return `M${x} ${y}h${width}v${height}h${-width}Z`;
}

/** Path data of a circle. */
export function circle(x: number, y: number, radius: number): string {
  const r = radius;
  return `M${x - r} ${y}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0Z`;
}
