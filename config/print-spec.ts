import type { CheckLimits } from './check-limits/index.js';
import { mmToPx, type SizeMm, type SizePx } from './units.js';

/** Rendering intents of ICC.1 that a job may ask for. */
export const intents = ['perceptual', 'relative', 'saturation', 'absolute'] as const;
/** One of the intents. */
export type Intent = (typeof intents)[number];

/** The process inks, in the order in which they print. */
export const processInkNames = ['cyan', 'magenta', 'yellow', 'black'] as const;
/** One of the process inks. */
export type ProcessInkName = (typeof processInkNames)[number];
/** Which of them a page prints in: all four, or black alone. */
export type PageInkNames = typeof processInkNames | readonly ['black'];

/** How the press files of a spread are delivered: as one picture, as two single pages, or as both. */
export const spreadForms = ['whole', 'split', 'both'] as const;
/** One of the forms. */
export type SpreadForm = (typeof spreadForms)[number];

/** The forms of PDF/X that pages are written in: PDF/X-1a:2003 (ISO 15930-4) and PDF/X-4 (ISO 15930-7). */
export const pdfForms = ['x-1a', 'x-4'] as const;
/** One of the forms. */
export type PdfForm = (typeof pdfForms)[number];

/** What the black plate holds: the black of the colour alone, or the line as well. */
export const blackPlates = ['withoutLine', 'withLine'] as const;
/** One of them. */
export type BlackPlate = (typeof blackPlates)[number];

/** The press condition: one that ships with platehand, by name, or the printer's own ICC profile, by absolute path. */
export type PressChoice =
  | {
      readonly kind: 'shipped';
      /** One of `shippedPressNames` (config/press/press-conditions.ts). */
      readonly name: string;
    }
  | {
      readonly kind: 'file';
      /** Absolute path of an ICC output profile for CMYK. */
      readonly path: string;
    };

/** How black line art is told from everything else. Levels are percent of full brightness, 0 black to 100 white. */
export interface LineSettings {
  /** Ink coverage from which a pixel of line art is ink; below it is paper. Percent, 1 to 99; default 50. */
  readonly thresholdPercent: number;
  /** A pixel brighter than this in any channel is no longer black: its line is a hold. Percent, 0 to 100; default 24. */
  readonly blackMaxLevelPercent: number;
  /** A pixel whose channels differ by more than this is coloured: its line is a hold. Percent, 0 to 100; default 10. */
  readonly blackMaxChromaPercent: number;
  /**
   * In a flat picture, ink is at most this bright in every channel, noise aside. Percent, 0 to 100; default
   * 15. Counts only with `liftFromFlat`. Full black ink taken to rgb by common conversions arrives near 14 % (35, 31, 32):
   * from memory.
   */
  readonly liftMaxLevelPercent: number;
  /** Whether ink is lifted from a page that is one flat picture, or layers of which none is line; default true. Paint never is. */
  readonly liftFromFlat: boolean;
}

/** Ink beneath large solid blacks, so that they print deep; pulled back from their edge. */
export interface SupportSettings {
  /** Whether there is any; default true. */
  readonly enabled: boolean;
  /** Cyan, magenta and yellow beneath the black. Percent, 0 to 100 each; default 60, 40, 40. The ink limit counts them. */
  readonly inkPercent: { readonly cyan: number; readonly magenta: number; readonly yellow: number };
  /** How far the support stays away from the edge of the black. Millimetres, 0 to 5; default 0.25. */
  readonly chokeMm: number;
  /** Blacks narrower than this get none. Millimetres, more than twice the choke, at most 100; default 2. */
  readonly minWidthMm: number;
}

/** How far print may be from the page as painted, beside black line. CIEDE2000, 0.5 to 100 each. */
export interface FidelityLimits {
  /** More than this on over 0.1 % of it asks for a look; default 3. */
  readonly warnDe: number;
  /** More than this on over 0.1 % of it stops the page; not below `warnDe`; default 10. */
  readonly stopDe: number;
  /** A step between neighbouring pixels larger by this than the painted one is an edge that nobody painted; default 8. */
  readonly edgeDe: number;
}

/** Black ink instead of the grey that cyan, magenta and yellow make together. */
export interface InkSaving {
  /** Whether there is any; default false. */
  readonly enabled: boolean;
  /** How far any colour may move by it. CIEDE2000, 0.1 to 10; default 1. */
  readonly mostDe: number;
  /** How far light skin tones may move by it. CIEDE2000, 0 to 10 and not above `mostDe`; default 0.5. */
  readonly skinDe: number;
  /** How much black light skin tones may gain. Percent, 0 to 100; default 0: they keep their inks. */
  readonly skinBlackPercent: number;
}

/** Everything that the printer asks for about one page, with the overrides of its kind already applied. */
export interface PrintSpec {
  /** The cut page, 25 to 1200 mm a side (no default); a spread is as wide as its two pages together. */
  readonly trim: SizeMm;
  /** How far the art extends past the cut, on all four sides. Millimetres, 0 to 25.4; no default. */
  readonly bleedMm: number;
  /** The inner margin that keeps content from the cut. Millimetres, less than half the trim; no default. Drawn on proofs. */
  readonly safeMm: number;
  /** Pixels per inch of the separated colour (composite and plates), 72 to 1200; default 300. */
  readonly colourPpi: number;
  /** Pixels per inch of the 1-bit line plate, 72 to 2400 and not below `colourPpi`; default 600. */
  readonly linePpi: number;
  /** Pixels per inch of the proof, 36 to 300 and not above `colourPpi`; default 120, or `colourPpi` where that is less. */
  readonly proofPpi: number;
  /** What the page is separated for; no default. */
  readonly press: PressChoice;
  /** Process inks that the page prints in: all four, the default, or black alone. */
  readonly inks: PageInkNames;
  /** The most C+M+Y+K. Percent, 150 to 400; undefined (the default) takes the press condition's suggestion. */
  readonly inkLimitPercent: number | undefined;
  /** Rendering intent of the separation; default `relative`. */
  readonly intent: Intent;
  /** Whether the darkest colour of the page is laid on the darkest black of the press; default and only with `relative`. */
  readonly blackPointCompensation: boolean;
  /** Whether proofs show the colour of the paper (absolute colorimetric on the way back to the screen); default false. */
  readonly proofPaperWhite: boolean;
  /** Whether proofs show findings as numbered boxes over the page; default true. */
  readonly proofBoxes: boolean;
  /** What RGB or grey without a profile is taken as; default and only choice `srgb`. Reported either way. */
  readonly untaggedAs: 'srgb';
  /** Whether job.yaml says that itself: then it is for the record, and nobody need look. */
  readonly untaggedStated: boolean;
  /** Whether a page may be enlarged past the resolution it was painted at; default false. Reported either way. */
  readonly allowEnlarging: boolean;
  /** How black line art is told from everything else. */
  readonly line: LineSettings;
  /** Ink beneath large solid blacks; never enabled where black alone prints. */
  readonly support: SupportSettings;
  /** How far print may be from the page as painted. */
  readonly fidelity: FidelityLimits;
  /** What is noticed on the page is held against these; 0 leaves a check out. Defaults in check-limits/. */
  readonly checks: CheckLimits;
  /** Black instead of cyan, magenta and yellow. */
  readonly inkSaving: InkSaving;
  /**
   * How far two plates may lie beside each other on press. Millimetres, 0 to 1; 0 leaves the simulation out; undefined (the
   * default) takes the press condition's figure.
   */
  readonly plateShiftMm: number | undefined;
  /** How a spread's press files and plates are delivered; default `whole`. Says nothing to single pages. */
  readonly spreads: SpreadForm;
  /** How far each half of a split spread goes on past the fold, with the other half's picture. Millimetres, 0 to 25.4; default as `bleedMm`. */
  readonly foldBleedMm: number;
  /** The form of PDF/X; default `x-4`. `x-1a` takes profiles of version 2 only. */
  readonly pdf: PdfForm;
  /** Whether the PDF has marks outside the bleed: trim and register marks, a colour bar, a line of text; default false. */
  readonly marks: boolean;
  /** What the black plate holds; default `withoutLine`. `withLine` makes the plates complete by themselves, black at `linePpi`. */
  readonly blackPlate: BlackPlate;
  /** Whether the printer has confirmed the ink limit; the receiver's sheet says so. Default false. */
  readonly inkLimitConfirmed: boolean;
}

/** Whether a page prints in black ink alone: one plate, and line. */
export function isBlackOnly({ inks }: { readonly inks?: PageInkNames | undefined }): boolean {
  return inks?.length === 1;
}

/** Trim plus bleed on all four sides. */
export function bleedBox(spec: Pick<PrintSpec, 'trim' | 'bleedMm'>): SizeMm {
  return {
    widthMm: spec.trim.widthMm + 2 * spec.bleedMm,
    heightMm: spec.trim.heightMm + 2 * spec.bleedMm,
  };
}

/** What decides how many pixels a page has. */
export type PageBox = Pick<PrintSpec, 'trim' | 'bleedMm' | 'colourPpi' | 'linePpi'>;

/**
 * The pixel size of trim plus bleed at a resolution, so chosen that every resolution covers the same millimetres: colour has
 * the whole pixels that are nearest, and everything else follows from the colour's, line without a remainder.
 *
 * Where linePpi is no whole multiple of colourPpi, the colour's size is the nearest from which the line's comes out whole: at
 * 350 and 800 ppi (16 to 7) a multiple of 7 px, so that trim plus bleed is up to 3.5 px off, 0.13 mm a side. Ratios with more
 * than 8 parts (300 and 610 ppi) would take more from the bleed than they give: there both are the nearest whole pixels.
 * @param ppi colourPpi and linePpi give what is printed, any other the nearest whole pixels of the same area
 */
export function bleedBoxPx(spec: PageBox, ppi: number): SizePx {
  const box = bleedBox(spec);
  const step = colourStepPx(spec);
  const at = (lengthMm: number) => {
    const steps = Math.max(1, nearest(mmToPx(lengthMm, spec.colourPpi) / step));
    return Math.max(1, nearest((steps * step * ppi) / spec.colourPpi));
  };
  return { width: at(box.widthMm), height: at(box.heightMm) };
}

/** The most colour pixels in which a whole number of line pixels is looked for. Our own choice. */
const mostStepPx = 8;

/** Longer than the noise of floating point, shorter than anything that is meant. */
const noise = 1e-6;

/** The fewest colour pixels that have a whole number of line pixels; 1 where those are more than `mostStepPx`. */
function colourStepPx({ colourPpi, linePpi }: PageBox): number {
  for (let step = 1; step <= mostStepPx; step++) {
    const linePx = (step * linePpi) / colourPpi;
    if (Math.abs(linePx - Math.round(linePx)) < noise) return step;
  }
  return 1;
}

/** Rounded, half a pixel upward, so that the bleed does not fall short. */
function nearest(lengthPx: number): number {
  return Math.round(lengthPx + noise);
}

/**
 * Where the trim lies on a picture of trim plus bleed: in its middle, to whole pixels.
 * @param picture size of the picture in pixels
 * @param ppi its pixels per inch
 */
export function trimBoxPx(
  picture: SizePx,
  spec: Pick<PrintSpec, 'trim'>,
  ppi: number,
): SizePx & { readonly left: number; readonly top: number } {
  const width = Math.min(picture.width, Math.round(mmToPx(spec.trim.widthMm, ppi)));
  const height = Math.min(picture.height, Math.round(mmToPx(spec.trim.heightMm, ppi)));
  return {
    left: Math.floor((picture.width - width) / 2),
    top: Math.floor((picture.height - height) / 2),
    width,
    height,
  };
}
