/**
 * The colours of a page as plain data: a few dozen fine colours with their shares, measured once in the page process. What scenes,
 * swatches and the colour script say is judged from these, so that a page is not prepared again for it.
 */

/**
 * A colour in OKLab: lightness 0 (black) to 1 (white), a from green to red and b from blue to yellow, both within some -0.4 to 0.4.
 * Relative to D65, the white of a screen.
 */
export type OkLab = readonly [l: number, a: number, b: number];

/** A page has at most so many fine colours: enough for cel colours, and for paint in steps that an eye hardly sees. Own choice. */
export const mostFineColours = 48;

/** One colour of a page: the mean of what was painted nearly alike. */
export interface FineColour {
  /** Rounded to 0.0001. */
  readonly oklab: OkLab;
  /** Its area in percent of the page's colour, line and lettering left out: those of a page come to 100. Rounded to 0.001. */
  readonly sharePercent: number;
  /** A place where it is to be seen, as far as there is one of its own colour alone: millimetres from the top left corner of the trim. */
  readonly xMm: number;
  readonly yMm: number;
}

/** What colours a page was painted in, within its trim and as on a screen: before it was separated; CMYK as it looks in print. */
export interface PagePalette {
  /** How much of the trimmed page is colour, in percent: what line and lettering do not cover. */
  readonly colourPercent: number;
  /** The largest first; at most `mostFineColours`. Empty for a page of line alone. */
  readonly colours: readonly FineColour[];
}
