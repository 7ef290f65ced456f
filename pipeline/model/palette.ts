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

/** One of the few colours that a page or scene comes down to. */
export interface CommonColour {
  readonly oklab: OkLab;
  /** Of the page or scene, in percent; together 100. */
  readonly sharePercent: number;
}

/** Colour as a few figures, paper white left out as long as there is anything else. */
export interface ColourFigures {
  /** Mean lightness by area, OKLab: 0 is black, 1 is white. */
  readonly lightness: number;
  /** Mean distance from grey by area, OKLab: 0 to some 0.3. */
  readonly chroma: number;
  /** How warm it is on the whole: mean by area of what each colour has towards orange (hue 60 degrees); below 0 is cool, towards blue. */
  readonly temperature: number;
  /** Lightness from the darkest tenth of the area to the lightest, OKLab. */
  readonly contrast: number;
}

/** A page as it stands in the story. */
export interface PageColours {
  readonly page: string;
  readonly kind: string;
  /** undefined for a page that belongs to no scene, a cover among them. */
  readonly scene: string | undefined;
  /** None for a cover, one for a page, two for a spread. */
  readonly numbers: readonly number[];
  /** The largest first; empty for a page of which no colour is known. */
  readonly palette: readonly CommonColour[];
  /** undefined where there is no colour. */
  readonly figures: ColourFigures | undefined;
  /** How far its colours are from those of the other pages of its scene; undefined where there is nothing to compare. */
  readonly fromScene: number | undefined;
}

/** What binds a scene: the colour that the pages of a scene have in common, and other pages have not. */
export interface UnifyingColour {
  readonly oklab: OkLab;
  /** Its share on the page of the scene that has the middle place by it, in percent. */
  readonly medianPercent: number;
  /** Its mean share on the pages of all other scenes, in percent. */
  readonly elsewherePercent: number;
}

/** A scene in the story. */
export interface SceneColours {
  readonly scene: string;
  readonly title: string;
  /** Whether job.yaml has it set off from the scenes around it. */
  readonly setOff: boolean;
  /** Ids of its pages that colour is known of. */
  readonly pages: readonly string[];
  readonly palette: readonly CommonColour[];
  /** undefined for a scene that nothing binds. */
  readonly unifying: UnifyingColour | undefined;
  readonly figures: ColourFigures | undefined;
}

/** Where the story goes from one scene into another. */
export interface SceneStep {
  readonly from: string;
  readonly to: string;
  /** The first page of the later one. */
  readonly page: string;
  /** Distance of their palettes: how far colour moves from one to the other, in OKLab, on average over the area. */
  readonly distance: number;
  /** What the later one has more of; below 0: less. */
  readonly lightness: number;
  readonly chroma: number;
  readonly temperature: number;
}

/** The story's colour. */
export interface StoryColours {
  /** In reading order. */
  readonly pages: readonly PageColours[];
  /** In the order of job.yaml; those without any page of known colour have empty palettes. */
  readonly scenes: readonly SceneColours[];
  readonly steps: readonly SceneStep[];
  /** All covers, and all numbered pages, as one each, without those in black alone as long as there are others; undefined where there are none. */
  readonly covers: ColourFigures | undefined;
  readonly interiors: ColourFigures | undefined;
}
