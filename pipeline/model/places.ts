import { type PrintSpec, trimBoxPx } from '../../config/print-spec.js';
import { pxToMm, type SizePx } from '../../config/units.js';
import {
  type Finding,
  type FoundPlaces,
  mostPlaces,
  type Place,
  type Severity,
  worstFirst,
} from './findings.js';

/** A box on a picture, in its pixels from its upper left corner. */
export interface MeasuredBox extends SizePx {
  readonly left: number;
  readonly top: number;
  /** What was measured there, with its unit, where places differ. */
  readonly measured?: string;
}

/** A picture of trim plus bleed that boxes lie on. */
export interface PlacedPicture {
  readonly size: SizePx;
  readonly spec: Pick<PrintSpec, 'trim'>;
  /** Pixels per inch of the picture. */
  readonly ppi: number;
}

/** A figure for every spot of a page (trim plus bleed), small enough to be kept and shown over its proof. */
export interface HeatMap extends SizePx {
  /** Pixels per inch of the map. */
  readonly ppi: number;
  /** width x height figures, row by row, in steps of `perStep`. */
  readonly values: Uint8Array;
  /** What a step is worth, in `unit`. */
  readonly perStep: number;
  /** Such as `CIEDE2000` or `percent`. */
  readonly unit: string;
}

/** Side of the box around a point that is told, in millimetres: small enough to show where, large enough to be seen. Own choice. */
const pointBoxMm = 2.4;

/**
 * Points on a page, each measured from the upper left corner of the trim, as boxes around them.
 * @returns undefined for none
 */
export function placesAround(
  points: readonly { readonly xMm: number; readonly yMm: number; readonly measured: string }[],
): FoundPlaces | undefined {
  if (points.length === 0) return undefined;
  const from = (middleMm: number) => Math.round((middleMm - pointBoxMm / 2) * 100) / 100;
  const shown = points.slice(0, mostPlaces).map(({ xMm, yMm, measured }): Place => {
    return { xMm: from(xMm), yMm: from(yMm), widthMm: pointBoxMm, heightMm: pointBoxMm, measured };
  });
  return { shown, inAll: points.length };
}

/**
 * Boxes on a picture as places on the page.
 * @param boxes the gravest first
 * @param inAll how many there are in all, where not all of them were kept; default as many as boxes
 * @returns undefined for none
 */
export function placesOf(
  boxes: readonly MeasuredBox[],
  { size, spec, ppi }: PlacedPicture,
  inAll = boxes.length,
): FoundPlaces | undefined {
  if (boxes.length === 0) return undefined;
  const trim = trimBoxPx(size, spec, ppi);
  const mm = (px: number) => Math.round(pxToMm(px, ppi) * 100) / 100;
  const shown = boxes.slice(0, mostPlaces).map(({ left, top, width, height, measured }): Place => {
    const box = {
      xMm: mm(left - trim.left),
      yMm: mm(top - trim.top),
      widthMm: mm(width),
      heightMm: mm(height),
    };
    return measured === undefined ? box : { ...box, measured };
  });
  return { shown, inAll };
}

/** A place with the number of its finding: the same on the proof, in its list and in the report. */
export interface NumberedPlace {
  /** Counted from 1 over all findings of the page, the gravest first. */
  readonly number: number;
  readonly severity: Severity;
  readonly place: Place;
}

/** All places of a page's findings, numbered. */
export function numberedPlaces(findings: readonly Pick<Finding, 'severity' | 'places'>[]): NumberedPlace[] {
  return worstFirst(findings).flatMap(({ severity, places }, index) => {
    return (places?.shown ?? []).map((place) => ({ number: index + 1, severity, place }));
  });
}
