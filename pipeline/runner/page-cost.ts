import { availableParallelism, totalmem } from 'node:os';
import type { PageBox } from '../../config/print-spec.js';
import { mmToPx } from '../../config/units.js';

/** The most memory that one page in flight is to take, in bytes: what a page counts as in the budget. */
export const pageMemoryBytes = 700e6;

/**
 * Bytes of memory that one pixel of a page in hand takes at the most: 700 MB for 4350 x 6300 pixels. Measured on such pages,
 * after many of them, colour at 300 ppi and at 600: colour and line 385 and 617 MB, lettering in a file of its own 621 and 647;
 * flat pages 505, layers 596; pages of all kinds in turn 604 to 643 MB.
 */
const bytesPerPixel = 26;

/** An uncompressed RGB picture has 3 bytes for each pixel; a compressed one has more pixels than its bytes tell. */
const bytesPerFilePixel = 3;

/** What a page's cost depends on. */
export interface CostlyPage {
  readonly page: { readonly spec: PageBox };
  readonly files: readonly { readonly bytes: number }[];
}

/**
 * Pixels that a page counts as while it is worked on: its print size at the highest resolution it has, or what its files
 * hold if that is more.
 */
export function pagePixels({ page, files }: CostlyPage): number {
  const { trim, bleedMm, colourPpi, linePpi } = page.spec;
  const ppi = Math.max(colourPpi, linePpi);
  const printed = mmToPx(trim.widthMm + 2 * bleedMm, ppi) * mmToPx(trim.heightMm + 2 * bleedMm, ppi);
  const dropped = files.reduce((sum, { bytes }) => sum + bytes, 0) / bytesPerFilePixel;
  return Math.ceil(Math.max(printed, dropped));
}

/** Memory that pages in flight may take together, in bytes: half of the machine's is left to others. */
function memoryForPages(): number {
  return totalmem() / 2;
}

/** How many pixels may be in hand at once in that much memory, in bytes. */
export function pixelsWithin(memoryBytes: number): number {
  return Math.floor(memoryBytes / bytesPerPixel);
}

/** Pages side by side, 1 or more: one a core, as long as each has its memory. */
export function defaultJobs(): number {
  const byMemory = Math.floor(memoryForPages() / pageMemoryBytes);
  return Math.max(1, Math.min(availableParallelism(), byMemory));
}

/** Pixels in hand at once, over all pages: what fits into the memory for pages. */
export function defaultPixelBudget(): number {
  return pixelsWithin(memoryForPages());
}

/** Pixels in hand at the moment and at most. */
export class PixelBudget {
  private used = 0;

  constructor(readonly most: number) {}

  /** A page larger than the whole budget is worked on alone. */
  hasRoomFor(pixels: number): boolean {
    return this.used === 0 || this.used + pixels <= this.most;
  }

  /** Counts pixels as in hand while the work goes on, also where there is no room for them. */
  async during<T>(pixels: number, work: () => Promise<T>): Promise<T> {
    this.take(pixels);
    try {
      return await work();
    } finally {
      this.give(pixels);
    }
  }

  /** Pixels in hand. */
  get inHand(): number {
    return this.used;
  }

  /** Counts pixels as in hand, also where there is no room for them. */
  take(pixels: number): void {
    this.used += pixels;
  }

  /** Counts them as in hand no more. */
  give(pixels: number): void {
    this.used -= pixels;
  }
}
