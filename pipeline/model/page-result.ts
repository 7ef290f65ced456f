import type { Fidelity } from './fidelity.js';
import type { Finding } from './findings.js';
import type { ProcessInkName } from './separation.js';

/**
 * What platehand makes of a page: `press` is the composite and the line plate, `plates` the process inks. All there is to know of
 * each stands in the table outputs/products.ts.
 */
export const productNames = ['press', 'plates', 'proof', 'thumbnail'] as const;
/** One of `productNames`. */
export type ProductName = (typeof productNames)[number];

/** One file made of a page. */
export interface OutputFile {
  readonly product: ProductName;
  /** What it is: `composite`, `line`, `cyan`, `magenta`, `yellow`, `black`, `proof`, `differences`, `thumbnail`. */
  readonly role: string;
  /** File name, without folder. */
  readonly name: string;
  readonly bytes: number;
  readonly sha256: string;
  readonly width: number;
  readonly height: number;
  readonly ppi: number;
}

/** A working page that went into a result. */
export interface UsedFile {
  readonly name: string;
  readonly part: string;
  readonly version: number | undefined;
  readonly bytes: number;
  readonly sha256: string;
}

/** Figures of one page that reports and the delivery show. Percentages run from 0 to 100 (ink sums to 400). */
export interface PageMeasures {
  readonly colourPpi: number | undefined;
  readonly linePpi: number | undefined;
  /** The most C+M+Y+K on the page before and after the ink limit, in percent. */
  readonly inkBeforePercent: number;
  readonly inkAfterPercent: number;
  /** Mean ink coverage of each plate, by the ink's name, and of the line plate, in percent of the page. */
  readonly coveragePercent: Readonly<Record<ProcessInkName | 'line', number>>;
  /** Share of the line art that moved to the colour plates, in percent of its area. */
  readonly lineHeldPercent: number;
  /** Whether the black was lifted from a flat picture. */
  readonly lifted: boolean;
  /** How near print comes to what was painted; undefined for colour that came as CMYK. */
  readonly fidelity: Fidelity | undefined;
}

/** What a page was separated for. */
export interface Condition {
  /** Name of the shipped condition, or `icc-` and the start of the profile's SHA-256. */
  readonly id: string;
  readonly title: string;
  /** The characterization data set behind it; undefined for the printer's own profile. */
  readonly dataSet: string | undefined;
  readonly profileSha256: string;
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
  /** undefined when the page was stopped before it could be separated. */
  readonly measures: PageMeasures | undefined;
  readonly outputs: readonly OutputFile[];
}
