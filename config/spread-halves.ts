import { bleedBoxPx, type PageBox, type PrintSpec } from './print-spec.js';
import type { SizeMm, SizePx } from './units.js';

/** The halves of a spread: the left one bears the lower page number. */
export const halfSides = ['left', 'right'] as const;
/** One of the halves. */
export type HalfSide = (typeof halfSides)[number];

/** The side of a spread on which one of its two pages lies; books run from left to right. */
export function sideOf(numbers: readonly number[], half: number): HalfSide {
  return half === numbers[0] ? 'left' : 'right';
}

/** What the size of a half depends on. */
export type HalfBox = PageBox & Pick<PrintSpec, 'foldBleedMm'>;

/** The cut page of a half: half the width of the spread. */
export function halfTrim({ trim }: Pick<PrintSpec, 'trim'>): SizeMm {
  return { widthMm: trim.widthMm / 2, heightMm: trim.heightMm };
}

/** A half from its outer bleed to its bleed at the fold. */
export function halfBleedBox(spec: HalfBox): SizeMm {
  const { widthMm, heightMm } = halfTrim(spec);
  return { widthMm: widthMm + spec.bleedMm + spec.foldBleedMm, heightMm: heightMm + 2 * spec.bleedMm };
}

/**
 * Pixels of a half at the colour's or the line's resolution. With bleed at the fold as on the other sides it has the size of a single
 * page. Halves without any share the middle column of a spread that is an odd number of pixels wide: no pixel is lost.
 * @returns its width and height, and in pixels of the whole spread where its left edge lies
 */
export function halfPx(spec: HalfBox, ppi: number, side: HalfSide): SizePx & { readonly left: number } {
  const whole = bleedBoxPx(spec, spec.colourPpi);
  const widthMm = halfBleedBox(spec).widthMm - 2 * spec.bleedMm;
  const wanted = bleedBoxPx({ ...spec, trim: { ...spec.trim, widthMm } }, spec.colourPpi).width;
  const colourWidth = Math.min(whole.width, Math.max(wanted, Math.ceil(whole.width / 2)));
  const { width: wholeWidth, height } = bleedBoxPx(spec, ppi);
  const width = Math.round((colourWidth * ppi) / spec.colourPpi);
  return { left: side === 'left' ? 0 : wholeWidth - width, width, height };
}
