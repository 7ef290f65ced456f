import type { ExtraInk } from '../../config/extra-ink.js';
import { type PageInkNames, type ProcessInkName, processInkNames } from '../../config/print-spec.js';
import type { SizePx } from '../../config/units.js';
import type { Bitmap, Plate } from './raster.js';

/** The inks of a page as plain data, in the order in which they print. */

/** The process inks are the first four of every separation, in the order in which they print. */
export { type ProcessInkName, processInkNames };

/** One ink of a page. */
export interface Ink {
  /** As its plate is named; see `processInkNames`. */
  readonly name: string;
  /** width x height x 1 samples of 8 bit, 0 no ink, 255 full ink. */
  readonly plane: Uint8Array;
}

/** The inks of a page, all of one size: the process inks, and whatever prints after them from the same picture; see `ExtraPlate`. */
export interface Separation {
  readonly width: number;
  readonly height: number;
  readonly inks: readonly Ink[];
}

/** The plate of an ink that a file of its own brings; in memory of its own, not in a page's arena. */
export interface ExtraPlate {
  readonly ink: ExtraInk;
  /** Trim plus bleed: amounts at the colour ppi for 8 bits, ink or none at the line ppi for 1. */
  readonly plate: Plate | Bitmap;
}

/** Cyan, magenta, yellow and black: what kernels and colour tables, which are four wide, work on. */
export type ProcessPlanes = readonly [Uint8Array, Uint8Array, Uint8Array, Uint8Array];

/**
 * The planes of the four process inks.
 * @throws Error where others come first: a fault of the stage that made the separation
 */
export function processPlanes({ inks }: Separation): ProcessPlanes {
  const [cyan, magenta, yellow, black] = processInkNames.map((name, i) => {
    const ink = inks[i];
    if (ink?.name !== name) throw new Error(`expected ${name} as ink ${i + 1} but found ${ink?.name}`);
    return ink.plane;
  });
  return [cyan, magenta, yellow, black];
}

/**
 * The process inks of a page.
 * @param planeOf makes or finds the plane of each, asked for in printing order
 */
export function separationOf(
  { width, height }: SizePx,
  planeOf: (name: ProcessInkName) => Uint8Array,
): Separation {
  return { width, height, inks: processInkNames.map((name) => ({ name, plane: planeOf(name) })) };
}

/** The same inks, one of them with another plane. */
export function withPlane(separation: Separation, name: ProcessInkName, plane: Uint8Array): Separation {
  const inks = separation.inks.map((ink) => (ink.name === name ? { name, plane } : ink));
  return { ...separation, inks };
}

/**
 * The inks that a page prints in: those of the process that it is printed with, and whatever prints after them. A page in black
 * alone has the other three in its separation, without any ink.
 */
export function printingInks({ inks }: Separation, process: PageInkNames): readonly Ink[] {
  const names: readonly string[] = process;
  return inks.filter(({ name }, i) => i >= processInkNames.length || names.includes(name));
}
