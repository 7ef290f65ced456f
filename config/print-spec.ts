import { coverPx, type SizeMm, type SizePx } from './units.js';

/** Rendering intents of ICC.1 that a job may ask for. */
export const intents = ['perceptual', 'relative', 'saturation', 'absolute'] as const;
export type Intent = (typeof intents)[number];

/** The press condition: one that ships with platehand, by name, or the printer's own ICC profile, by absolute path. */
export type PressChoice =
  | { readonly kind: 'shipped'; readonly name: string }
  | { readonly kind: 'file'; readonly path: string };

/** How black line art is told from everything else. Levels are percent of full brightness, 0 black to 100 white. */
export interface LineSettings {
  /** Ink coverage in percent from which a pixel of line art is ink; below it is paper. */
  readonly thresholdPercent: number;
  /** A pixel brighter than this in any channel is no longer black, so its line moves to the colour plates. */
  readonly blackMaxLevelPercent: number;
  /** A pixel whose channels differ by more than this is coloured, so its line moves to the colour plates. */
  readonly blackMaxChromaPercent: number;
  /**
   * In a flat picture, a pixel at most this bright in every channel is black to be lifted. Full black ink taken to rgb
   * by common conversions arrives near 14 % (35, 31, 32): from memory.
   */
  readonly liftMaxLevelPercent: number;
  /** Whether black is lifted from a page that is one flat picture. */
  readonly liftFromFlat: boolean;
}

/** Ink beneath large solid blacks, so that they print deep; pulled back from their edge. */
export interface SupportSettings {
  readonly enabled: boolean;
  /** Cyan, magenta and yellow beneath the black, in percent. */
  readonly inkPercent: { readonly cyan: number; readonly magenta: number; readonly yellow: number };
  /** How far the support stays away from the edge of the black, in millimetres. */
  readonly chokeMm: number;
  /** Blacks narrower than this get none, in millimetres. */
  readonly minWidthMm: number;
}

/** Everything that the printer asks for about one page, with the overrides of its kind already applied. */
export interface PrintSpec {
  /** The cut page; a spread is as wide as its two pages together. */
  readonly trim: SizeMm;
  readonly bleedMm: number;
  readonly safeMm: number;
  /** Pixels per inch of the separated colour (composite and the four plates). */
  readonly colourPpi: number;
  /** Pixels per inch of the 1-bit line plate. */
  readonly linePpi: number;
  /** Pixels per inch of the proof. */
  readonly proofPpi: number;
  readonly press: PressChoice;
  /** The most C+M+Y+K in percent; undefined takes the press condition's suggestion. */
  readonly inkLimitPercent: number | undefined;
  readonly intent: Intent;
  readonly blackPointCompensation: boolean;
  /** Whether proofs show the colour of the paper (absolute colorimetric on the way back to the screen). */
  readonly proofPaperWhite: boolean;
  /** What RGB or grey without a profile is taken as; reported either way. */
  readonly untaggedAs: 'srgb';
  /** Whether a page may be enlarged past the resolution it was painted at. */
  readonly allowEnlarging: boolean;
  readonly line: LineSettings;
  readonly support: SupportSettings;
}

/** Trim plus bleed on all four sides. */
export function bleedBox(spec: Pick<PrintSpec, 'trim' | 'bleedMm'>): SizeMm {
  return {
    widthMm: spec.trim.widthMm + 2 * spec.bleedMm,
    heightMm: spec.trim.heightMm + 2 * spec.bleedMm,
  };
}

/** The pixel size of trim plus bleed at a resolution, each side rounded outward. */
export function bleedBoxPx(spec: Pick<PrintSpec, 'trim' | 'bleedMm'>, ppi: number): SizePx {
  const box = bleedBox(spec);
  return { width: coverPx(box.widthMm, ppi), height: coverPx(box.heightMm, ppi) };
}
