import type { LineSettings } from '../../config/print-spec.js';

/**
 * The test behind the rule about holds: is a pixel of the flattened page what black line over the page beneath would
 * give, or has an effect or a hold coloured it? All samples here are 16 bit, 0 to 65535.
 */

/** How far a pixel may be from pure black and still be black. */
export interface BlackTolerance {
  /** Most brightness of any channel. */
  readonly level: number;
  /** Most difference between channels. */
  readonly chroma: number;
}

const full16 = 65535;

/** Two steps of an 8-bit file: rounding in the layers alone can set two flattened pixels apart by that much. */
const roundingSlack = (2 * full16) / 255;

export function blackTolerance(line: LineSettings): BlackTolerance {
  return {
    level: (line.blackMaxLevelPercent / 100) * full16,
    chroma: (line.blackMaxChromaPercent / 100) * full16,
  };
}

/** Whether a colour is black: dark in every channel, and neutral. */
export function isBlack(red: number, green: number, blue: number, tolerance: BlackTolerance): boolean {
  const most = Math.max(red, green, blue);
  return most <= tolerance.level && most - Math.min(red, green, blue) <= tolerance.chroma;
}

/**
 * Measures what black line leaves unexplained at one pixel, as a share of what the tolerance allows: up to 1 the pixel
 * is black line over the page beneath, above 1 something coloured it.
 *
 * With the page F, the page without line U and the amount of line a, black line gives F = U (1 - a), and an effect
 * above it that shines with strength k gives F = U (1 - a) + k a. So what exceeds U (1 - a) is held against the
 * tolerance times a: a line's soft edge is then judged as its core is, and neither loses its edge to the other.
 *
 * @param r0 g0 b0 the flattened page F
 * @param r1 g1 b1 the flattened page without line U
 * @param amount amount of line a
 */
export function unexplained(
  r0: number,
  g0: number,
  b0: number,
  r1: number,
  g1: number,
  b1: number,
  amount: number,
  tolerance: BlackTolerance,
): number {
  const bare = 1 - amount / full16;
  const red = Math.abs(r0 - r1 * bare);
  const green = Math.abs(g0 - g1 * bare);
  const blue = Math.abs(b0 - b1 * bare);
  const most = Math.max(red, green, blue);
  const spread = most - Math.min(red, green, blue);
  const share = amount / full16;
  return Math.max(
    most / Math.max(tolerance.level * share, roundingSlack),
    spread / Math.max(tolerance.chroma * share, roundingSlack),
  );
}

/**
 * Whether a pixel of line may show light that an eye would see: two steps of an 8-bit file or more, by what `unexplained` gave.
 * @param rest what it gave, not infinite
 */
export function mayBeLit(rest: number, amount: number, tolerance: BlackTolerance): boolean {
  const share = amount / full16;
  return rest * Math.max(tolerance.level, tolerance.chroma) * share > roundingSlack || rest > 1;
}

/** How little of a line may shine through before it no longer counts as covered, as a share of its own darkness. */
const shinesThrough = 0.02;

/**
 * Whether a line is covered: the flattened page shows what it would show without that line, as under a white balloon.
 * Such a piece prints nowhere, so it is neither black line nor held back.
 */
export function isCovered(
  r0: number,
  g0: number,
  b0: number,
  r1: number,
  g1: number,
  b1: number,
  amount: number,
): boolean {
  const most = Math.max(Math.abs(r0 - r1), Math.abs(g0 - g1), Math.abs(b0 - b1));
  return most <= shinesThrough * amount + roundingSlack;
}
