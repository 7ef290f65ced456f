import type { FilePart } from '../../config/job.js';
import type { SizePx } from '../../config/units.js';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import type { Noticed } from '../model/findings.js';
import type { Bitmap, Plate, Raster, StatedPpi } from '../model/raster.js';

/** One plane of a page at the size it was worked at. */
export interface Plane<Pixels> {
  readonly pixels: Pixels;
  readonly ppi: StatedPpi | undefined;
  /** Brought to its print size already. */
  readonly isFitted?: boolean;
  /** Size of the picture that it comes from, where it has another by now. */
  readonly canvas?: SizePx;
}

/** A page taken apart for print: the colour, and the line that goes to its own plate. */
export interface PageArt {
  /** No alpha. Beneath the line where that is known, with the line painted in where it is not; undefined: all paper. */
  readonly colour: Plane<Raster> | undefined;
  /** Embedded profile of the colour; undefined where it is untagged. */
  readonly profile: Uint8Array | undefined;
  /** The page as it was painted, line included, like the colour; undefined where it is the colour with the line over it. */
  readonly painted: Plane<Raster> | undefined;
  /** How bright whatever lies above the line makes it, 0 to 255; undefined where nothing does. */
  readonly light: Plane<Plate> | undefined;
  /** Ink amount 0 to 255, or ink and paper where it came so; undefined for a page without line. */
  readonly line: Plane<Plate | Bitmap> | undefined;
  /** 255 where lettering shows, for every second pixel of the colour across and down; undefined where none came apart. */
  readonly lettering?: Plate | undefined;
  /** Share of the line that moved to the colour plates, in percent of its area. */
  readonly heldPercent: number;
  /** The black was lifted from a flat picture. */
  readonly lifted: boolean;
  /** The colour came in a file of its own, so it may show the line painted in. */
  readonly colourApart: boolean;
  /** The colour's own black ink already prints the line; the line plate is a sharper copy of it. */
  readonly lineInColour: boolean;
  readonly noticed: readonly Noticed[];
}

/** Whether a file brings colour: the colour part, or a whole page. */
export function bringsColour(part: FilePart): boolean {
  return part === 'colour' || part === 'whole';
}

/** What stays known of a page when its pictures are used up. */
export interface ArtFacts extends Omit<PageArt, 'colour' | 'painted' | 'light' | 'line' | 'lettering'> {
  readonly hasLine: boolean;
  /** What its pictures took outside the arena. */
  readonly bytes: number;
}

/** What of a page goes on without its pictures, which nobody holds then. */
export function factsOf(
  { colour, painted, light, line, lettering, ...facts }: PageArt,
  memory: KernelMemory,
): ArtFacts {
  const bytesOf = (plane: PageArt['line'] | PageArt['colour']) => {
    if (plane === undefined) return 0;
    const samples = 'bits' in plane.pixels ? plane.pixels.bits : plane.pixels.data;
    return memory.has(samples) ? 0 : samples.byteLength;
  };
  const bytes = [colour, painted, light, line].reduce((sum, plane) => sum + bytesOf(plane), 0);
  return { ...facts, hasLine: line !== undefined, bytes };
}
