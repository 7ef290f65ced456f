import type { Raster } from '../model/raster.js';
import { lightOf } from './oklab.js';
import { type Matrix, redGreen, tritan, unchanged } from './vision-tables.js';

/**
 * Colour as other eyes see it: without red, green or blue cones, or lightness alone. All of it happens in linear light, on sRGB: inks go
 * through the soft proof first.
 */

/** Whose eyes a picture may be seen with, in the order in which they are told. */
export const otherEyes = ['grey', 'protanopia', 'deuteranopia', 'tritanopia'] as const;
/**
 * One of them: `grey` is the squint view, lightness alone; `protanopia` and `deuteranopia` lack red and green cones, `tritanopia` blue ones.
 */
export type Eyes = (typeof otherEyes)[number];

/** Red, green and blue in linear light, 0 to 1. */
export type LinearRgb = readonly [red: number, green: number, blue: number];

/** How a colour changes: linear sRGB in and out, the result within 0 to 1. */
export type Seeing = (red: number, green: number, blue: number) => LinearRgb;

/** Lightness by luminance: the second row of the matrix from linear sRGB to XYZ (IEC 61966-2-1). Its grey has the same CIE L*. */
const luminance = [0.2126, 0.7152, 0.0722] as const;

/**
 * How somebody sees.
 * @param eyes whose
 * @param severity 0 (as most people see) to 1, how far red or green cones are off: 1, the default, is protanopia and deuteranopia, less is
 * protanomaly and deuteranomaly. `grey` and `tritanopia` have no steps in between: what is published for those is an approximation
 * @throws RangeError for a severity that is none, or less than 1 with `grey` or `tritanopia`
 */
export function seeingOf(eyes: Eyes, severity = 1): Seeing {
  if (!(severity >= 0 && severity <= 1)) throw new RangeError('a severity is from 0 to 1');
  if (eyes === 'protanopia' || eyes === 'deuteranopia') return through(matrixAt(eyes, severity));
  if (severity !== 1) throw new RangeError(`${eyes} is seen in full only`);
  if (eyes === 'tritanopia') return tritanopia();
  return (red, green, blue) => {
    const light = held(luminance[0] * red + luminance[1] * green + luminance[2] * blue);
    return [light, light, light];
  };
}

/** Between two steps of the table, linear. */
function matrixAt(eyes: keyof typeof redGreen, severity: number): Matrix {
  const steps = redGreen[eyes];
  const above = steps.find((step) => step.severity >= severity) ?? steps[steps.length - 1];
  const below = steps.findLast((step) => step.severity <= severity) ?? steps[0];
  if (above === below) return above.matrix;
  const part = (severity - below.severity) / (above.severity - below.severity);
  return unchanged.map((_, i) => below.matrix[i] * (1 - part) + above.matrix[i] * part) as unknown as Matrix;
}

const held = (value: number) => Math.min(1, Math.max(0, value));

function through([rr, rg, rb, gr, gg, gb, br, bg, bb]: Matrix): Seeing {
  return (r, g, b) => [
    held(rr * r + rg * g + rb * b),
    held(gr * r + gg * g + gb * b),
    held(br * r + bg * g + bb * b),
  ];
}

function tritanopia(): Seeing {
  const [first, second] = [through(tritan.first), through(tritan.second)];
  const [nr, ng, nb] = tritan.normal;
  return (r, g, b) => (nr * r + ng * g + nb * b >= 0 ? first(r, g, b) : second(r, g, b));
}

/** Linear light of every level. */
const linear = Float64Array.from({ length: 256 }, (_, level) => lightOf(level));

/** From which linear light on a level is the nearest: halfway between two levels as they are encoded. Nothing is nearest to 256. */
const begins = Float64Array.from({ length: 257 }, (_, level) =>
  level === 256 ? 2 : lightBetween(level - 0.5),
);

/** As `lightOf`, for what lies between two levels (IEC 61966-2-1). */
function lightBetween(level: number): number {
  const value = level / 255;
  return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
}

/** So many steps of linear light, each with the level at its beginning: from there it is a step or few to the right one. */
const guesses = 4096;
const guessed = Uint8Array.from({ length: guesses + 1 }, (_, i) => levelFrom(0, i / guesses));

function levelFrom(start: number, light: number): number {
  let level = start;
  while (light >= begins[level + 1]) level++;
  return level;
}

/** The nearest level of 0 to 255; many times as quick as the power that it stands for. @param light linear, 0 to 1 */
export function nearestLevel(light: number): number {
  return levelFrom(guessed[(light * guesses) | 0], light);
}

/**
 * A picture as somebody sees it.
 * @param picture rgb, 8 bit, sRGB, without alpha
 * @param eyes whose
 * @param severity as for `seeingOf`
 * @returns the same size; memory of its own
 * @throws TypeError for another kind of raster
 */
export function pictureSeenBy(picture: Raster, eyes: Eyes, severity = 1): Raster & { data: Uint8Array } {
  const { model, alpha, data } = picture;
  if (model !== 'rgb' || alpha || !(data instanceof Uint8Array)) {
    throw new TypeError('only rgb of 8 bit without alpha can be seen with other eyes');
  }
  const see = seeingOf(eyes, severity);
  const seen = new Uint8Array(data.length);
  for (let at = 0; at < data.length; at += 3) {
    if (at > 0 && isAsBefore(data, at)) {
      seen.copyWithin(at, at - 3, at);
      continue;
    }
    const [red, green, blue] = see(linear[data[at]], linear[data[at + 1]], linear[data[at + 2]]);
    seen[at] = nearestLevel(red);
    seen[at + 1] = nearestLevel(green);
    seen[at + 2] = nearestLevel(blue);
  }
  return { ...picture, data: seen };
}

/** Whether a pixel has the colour of the one before, as most of a proof has. */
function isAsBefore(data: Uint8Array, at: number): boolean {
  return data[at] === data[at - 3] && data[at + 1] === data[at - 2] && data[at + 2] === data[at - 1];
}
