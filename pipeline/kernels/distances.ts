import { bandPixels, type KernelMemory } from './kernel-memory.js';

/** The lengths of steps from pixel to pixel. */
export interface Steps {
  readonly straight: number;
  readonly diagonal: number;
}

/** As many pixels side by side and above each other as lie between two: 4-connected rings are so far from what they surround. */
export const cityBlocks: Steps = { straight: 1, diagonal: 2 };

/** In thirds of a pixel; Borgefors, Distance transformations in digital images, 1986. */
export const chamferThirds: Steps = { straight: 3, diagonal: 4 };

/**
 * Measures how far each pixel is from the nearest marked one, in steps, up to a limit.
 * @param distances 0 where a pixel is marked, the limit elsewhere (at most 255); become the distances, in place
 * @param width of a row
 */
export function sweepDistances(
  distances: Uint8Array,
  width: number,
  limit: number,
  { straight, diagonal }: Steps,
  memory: KernelMemory,
): void {
  const { kernels } = memory;
  const height = distances.length / width;
  const most = Math.max(1, Math.floor(bandPixels / width));
  const [place] = memory.scratch((most + 1) * width);
  for (let y = 0; y < height; y += most) {
    // The row that was swept last comes along.
    const above = Math.min(1, y);
    const band = distances.subarray((y - above) * width, (y + most) * width);
    const at = memory.addressOf(band, place);
    const rows = band.length / width - above;
    kernels.sweepDown(at + above * width, width, rows, above, limit, straight, diagonal);
    memory.store(at, band);
  }
  for (let end = height; end > 0; end -= most) {
    const below = end < height ? 1 : 0;
    const band = distances.subarray(Math.max(0, end - most) * width, (end + below) * width);
    const at = memory.addressOf(band, place);
    kernels.sweepUp(at, width, band.length / width - below, below, limit, straight, diagonal);
    memory.store(at, band);
  }
}
