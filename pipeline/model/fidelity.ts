/**
 * How near a page's print comes to what was painted, as plain data. Differences are CIEDE2000 between the page as painted, taken
 * through the press condition and nothing else done to it, and what prints; measured on a sample of the page's pixels.
 */

/** Differences over some part of a page. */
export interface Difference {
  /** Mean over its area. */
  readonly meanDe: number;
  /** What 95 % of its area does not exceed. */
  readonly p95De: number;
  /** What 99.9 % of its area does not exceed. */
  readonly p999De: number;
  /** The most that was found. */
  readonly mostDe: number;
  /** Share of it that differs by more than 3, in percent. */
  readonly over3Percent: number;
}

/** Where on the page, from the top left corner of the trim; negative in the bleed. */
export interface DifferingPlace {
  /** From the left of the trim, millimetres. */
  readonly xMm: number;
  /** From the top of the trim, millimetres. */
  readonly yMm: number;
  /** The largest difference, or step that nobody painted, found around it. */
  readonly mostDe: number;
}

export interface Fidelity {
  /** Black line and its soft edges, where the trade wants black ink instead of a mix; undefined without line. */
  readonly line: Difference | undefined;
  /** Everything else. */
  readonly rest: Difference;
  /** Steps between neighbouring pixels in print where the page as painted is smooth. */
  readonly edges: {
    /** How long they are together, millimetres. */
    readonly lengthMm: number;
    /** The largest of them, beyond what the page itself has there. */
    readonly mostDe: number;
  };
  /** The worst places, the worst first; at most five. */
  readonly places: readonly DifferingPlace[];
}
