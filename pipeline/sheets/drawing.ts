import sharp from 'sharp';
import { desk } from '../kernels/desk.js';
import type { Raster } from '../raster.js';
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

/** A neutral canvas: width x height x 3 samples of 8 bit. */
export function canvasOf(width: number, height: number, grey: number): Raster & { data: Uint8Array } {
  const data = desk()
    .hold(width * height * 3)
    .fill(grey);
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
export function place(
  canvas: Raster & { data: Uint8Array },
  picture: Raster,
  left: number,
  top: number,
): void {
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

/** Scales an 8-bit rgb picture to an exact pixel size by Lanczos; one that has it already is returned as it is. */
export async function scaled(picture: Raster, width: number, height: number): Promise<Raster> {
  requireScreenPicture(picture);
  if (picture.width === width && picture.height === height) return picture;
  const data = await sharp(picture.data, {
    raw: { width: picture.width, height: picture.height, channels: 3 },
  })
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

/**
 * Lays shapes (the inside of an SVG element, in the canvas's pixels) over a canvas, in place; untouched pixels stay exact.
 * The shapes are drawn apart and laid over here, since the library's own compositing takes four times as long.
 * @param window the part of the canvas that is drawn on; shapes end at its edge. The smaller, the quicker
 */
export async function drawOver(
  canvas: Raster & { data: Uint8Array },
  shapes: readonly string[],
  window: PxBox = { left: 0, top: 0, width: canvas.width, height: canvas.height },
): Promise<void> {
  requireScreenPicture(canvas);
  const { left, top, width, height } = window;
  const size = `width="${width}" height="${height}" viewBox="${left} ${top} ${width} ${height}"`;
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" ${size}>${shapes.join('')}</svg>`;
  const { data: drawn, info } = await sharp(Buffer.from(svg), { density: 72 })
    .ensureAlpha()
    .raw()
    .toBuffer({ resolveWithObject: true });
  if (info.width !== width || info.height !== height) {
    throw new Error(`shapes were drawn at ${info.width} x ${info.height} instead of ${width} x ${height}`);
  }
  const on = desk();
  const [under, over] = on.lay(width * 3, width * 4);
  for (let row = 0; row < height; row++) {
    const start = ((top + row) * canvas.width + left) * 3;
    const ground = canvas.data.subarray(start, start + width * 3);
    const at = on.reach(ground, under);
    on.kernels.layOver(at, on.reach(drawn.subarray(row * width * 4, (row + 1) * width * 4), over), width);
    on.take(at, ground);
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
