import type { FilePart } from '../../config/job.js';
import type { PageInkNames } from '../../config/print-spec.js';
import type { PixelBox } from '../../config/units.js';
import type { Fidelity } from './fidelity.js';
import type { Finding } from './findings.js';
import type { PagePalette } from './palette.js';
import type { ProcessInkName } from './separation.js';

/**
 * What platehand makes of a page: `press` is the composite and the line plate, `plates` the process inks, `pdf` the
 * page as PDF/X, `views` small pictures for the report. All there is to know of
 * each stands in the table outputs/products.ts.
 */
export const productNames = ['press', 'plates', 'pdf', 'proof', 'thumbnail', 'views'] as const;
/** One of `productNames`. */
export type ProductName = (typeof productNames)[number];

/** One file made of a page. */
export interface OutputFile {
  readonly product: ProductName;
  /**
   * What it is: `composite`, `line`, `cyan`, `magenta`, `yellow`, `black`, the id of an extra ink, `page`, `proof`, `differences`,
   * `register`, `flats-report`, `gamut`, `cleaned`, `thumbnail`, `view`, `plates` (a strip of them), `heat` (a strip of heat pictures).
   */
  readonly role: string;
  /** Page number of the single page that it is, where a spread is delivered split. */
  readonly half?: number;
  /** File name, without folder. */
  readonly name: string;
  readonly bytes: number;
  readonly sha256: string;
  readonly width: number;
  readonly height: number;
  readonly ppi: number;
  /** What a strip of pictures shows, from its top. */
  readonly shows?: readonly string[];
  /** Where the trim lies on a proof, in its pixels; undefined where words beside the page reach beyond the trim. */
  readonly trim?: PixelBox;
}

/** A working page that went into a result. */
export interface UsedFile {
  readonly name: string;
  readonly part: string;
  /** Page number of the half of a spread that it is. */
  readonly half?: number;
  readonly version: number | undefined;
  readonly bytes: number;
  readonly sha256: string;
}

/** How line lies on colour: what was measured, whatever of it is beyond doubt. */
export interface RegisterMeasures {
  /** `fits`: how far it is off was measured. `apart`: it is another page's. `unknown`: it cannot be told. */
  readonly verdict: 'fits' | 'apart' | 'unknown';
  /** Where the line lies beside its place, about the middle of the page; millimetres to the right and down. */
  readonly rightMm: number;
  readonly downMm: number;
  /** How far it is turned clockwise, in degrees, and how much it is larger, in percent. */
  readonly turnedDegrees: number;
  readonly largerPercent: number;
  /** The farthest that any corner of the page lies off by what is beyond doubt, in millimetres. */
  readonly farthestMm: number;
  /** Places of the page that were looked at, and those that agree with these figures. */
  readonly places: number;
  readonly agreeing: number;
  /** How alike the edges of line and colour are all over the page, -1 to 1. */
  readonly likeness: number;
  /** The line was moved into place: these figures are from before. */
  readonly putRight: boolean;
}

/** Where a page has edges, in a few hundred bytes (register/traces.ts). */
export interface PageTrace {
  /** Squares of the page, row by row: a bit each, the first the lowest bit of a byte; base64. */
  readonly columns: number;
  readonly rows: number;
  readonly bits: string;
  /** What a later version is laid on; undefined where there is too little to see, and in a result that the store was not asked for them. */
  readonly sketch: PageSketch | undefined;
  /** How it looks, cell by cell; base64 (register/looks.ts). */
  readonly look?: string;
}

/** Some windows of a page, small and in 16 steps, in some ten thousand bytes (register/sketches.ts). */
export interface PageSketch {
  /** Pixels of the page that the windows were cut from, and how many an inch. */
  readonly width: number;
  readonly height: number;
  readonly ppi: number;
  /** Upper left corners in those pixels, left and top by turns. */
  readonly corners: readonly number[];
  /** Depths of all windows, two to a byte, deflated; base64. */
  readonly depths: string;
}

/** The parts of a page by which versions and pages are told from each other. */
export const tracedParts = ['colour', 'line', 'lettering'] as const;
/** One of `tracedParts`; `colour` also stands for a page that came as one whole file. */
export type TracedPart = (typeof tracedParts)[number];

/** The edges of a page's parts; undefined where it has none in a file of its own. */
export type PageTraces = Readonly<Record<TracedPart, PageTrace | undefined>>;

/** What became of a part of a page from its last version to this one, where that is worth telling. */
export interface VersionChange {
  readonly part: TracedPart;
  /** The files, relative to incoming/. */
  readonly file: string;
  readonly fileBefore: string;
  /**
   * `moved`: the same picture, elsewhere. `other`: another picture. `blank`: next to nothing, where there was a picture. `same`: the same
   * picture, though it is another file.
   */
  readonly verdict: 'moved' | 'other' | 'blank' | 'same';
  /** Another picture that was there before the last one: so this may put a wrong one right. */
  readonly isBack?: boolean;
  /** Where it lies beside its last place, as in `RegisterMeasures`; 0 for `other`, `blank` and `same`. */
  readonly rightMm: number;
  readonly downMm: number;
  readonly turnedDegrees: number;
  readonly largerPercent: number;
  readonly farthestMm: number;
  /** Places that were looked at, and those that agree. */
  readonly places: number;
  readonly agreeing: number;
  /** How alike the edges of both are all over the page, -1 to 1. */
  readonly likeness: number;
  /** The last version's, so that a page that shows it now can be told; undefined for `moved`; of `same` what was there before, if anything was known. */
  readonly traceBefore: PageTrace | undefined;
}

/** What ink saving did to the colour of a page, black line aside; measured on a sample of its pixels. */
export interface InkSaved {
  /** How much less ink all four plates together take than without it, in percent of that. */
  readonly savedPercent: number;
  /** The largest CIEDE2000 between both ways, by the profile, and what 99.9 % of the colour does not exceed. */
  readonly mostDe: number;
  readonly p999De: number;
}

/** Where an edge does not stand a plate out of register, from the top left corner of the trim; negative in the bleed. */
export interface ShiftedPlace {
  readonly xMm: number;
  readonly yMm: number;
  /** `open`: paper, or what is much lighter than both sides. `fringe`: another ink beyond the edge of black. */
  readonly kind: 'open' | 'fringe';
  /** How long such edges are together around it, millimetres. */
  readonly lengthMm: number;
  /** The plate that shows it most, and where to it is moved, millimetres. */
  readonly plate: ProcessInkName;
  readonly rightMm: number;
  readonly downMm: number;
}

/** What plates out of register would show on a page: each moved in eight directions, the others in place. */
export interface PlateShift {
  /** By how much each was moved, millimetres. */
  readonly shiftMm: number;
  /** How long the edges are together along which paper opens, or another ink sticks out of black, millimetres. */
  readonly openMm: number;
  readonly fringeMm: number;
  /** The longest first; at most ten. */
  readonly places: readonly ShiftedPlace[];
}

/** An ink beside the process inks, on one page. */
export interface ExtraInkMeasures {
  /** Its id and, as the printer calls it, its name. */
  readonly id: string;
  readonly name: string;
  /** Whether it prints over what is beneath it; process inks and line are cleared there otherwise. */
  readonly overprints: boolean;
  /** Mean coverage of its plate, in percent of the page. */
  readonly coveragePercent: number;
}

/** The extra inks of a page. */
export interface ExtraInksMeasured {
  /** In the order in which they print. */
  readonly inks: readonly ExtraInkMeasures[];
  /** The most of all inks that the limit counts on any pixel, in percent, and the share of the page beyond the limit. */
  readonly mostPercent: number;
  readonly beyondPercent: number;
}

/** The strokes of a line, areas of black left out. */
export interface LineStrokes {
  /** Their median width, in millimetres. */
  readonly widthMm: number;
  /** How much of the page they cover, in percent. */
  readonly coveragePercent: number;
}

/** Figures of one page that reports and the delivery show. Percentages run from 0 to 100 (ink sums to 400). */
export interface PageMeasures {
  readonly colourPpi: number | undefined;
  readonly linePpi: number | undefined;
  /** The most C+M+Y+K on the page before and after the ink limit, in percent. */
  readonly inkBeforePercent: number;
  readonly inkAfterPercent: number;
  /** Mean ink coverage of each plate, by the ink's name (0 for inks that the page does not print in), and of the line plate, in percent of the page. */
  readonly coveragePercent: Readonly<Record<ProcessInkName | 'line', number>>;
  /** The strokes of the line plate; undefined for a page that has too few. */
  readonly strokes?: LineStrokes | undefined;
  /** Share of the line art that moved to the colour plates, in percent of its area. */
  readonly lineHeldPercent: number;
  /** Whether the black was lifted from a flat picture. */
  readonly lifted: boolean;
  /** How near print comes to what was painted; undefined for colour that came as CMYK. */
  readonly fidelity: Fidelity | undefined;
  /** What plates out of register would show; undefined where that is not simulated. */
  readonly plateShift: PlateShift | undefined;
  /** What ink saving did; undefined where it is off, and for colour that came in the inks of this press. */
  readonly inkSaved: InkSaved | undefined;
  /** How line lies on colour; undefined for a page that has not both, the line in a file of its own. */
  readonly register: RegisterMeasures | undefined;
  /** Inks beside the process inks; undefined for a page without any. */
  readonly extraInks?: ExtraInksMeasured;
  /** What colours it was painted in; undefined for a page that has no colour. */
  readonly palette?: PagePalette | undefined;
}

/** What a page was separated for. */
export interface Condition {
  /** Name of the shipped condition, or `icc-` and the start of the profile's SHA-256. */
  readonly id: string;
  readonly title: string;
  /** The characterization data set behind it; undefined for the printer's own profile. */
  readonly dataSet: string | undefined;
  readonly profileSha256: string;
  /** Process inks that the page prints in: all four, or black alone. */
  readonly inks: PageInkNames;
  readonly inkLimitPercent: number;
  readonly inkLimitSource: string;
}

/** The whole outcome of one page: what its key names. */
export interface PageResult {
  readonly page: string;
  /** Names the whole of it; see page-key.ts. */
  readonly key: string;
  /** Names what each product is made from: the same key, the same bytes, also in another result. */
  readonly productKeys: Readonly<Record<ProductName, string>>;
  readonly condition: Condition;
  readonly used: readonly UsedFile[];
  readonly findings: readonly Finding[];
  /** Parts that had not arrived: only the others were inspected. undefined for a whole page. */
  readonly awaits?: readonly FilePart[];
  /** undefined when the page was stopped before it could be separated. */
  readonly measures: PageMeasures | undefined;
  /** By which inks on the wrong page find theirs, and a new version is held against the last. */
  readonly traces: PageTraces | undefined;
  readonly outputs: readonly OutputFile[];
}
