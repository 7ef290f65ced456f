import { mmToPx } from '../../config/units.js';
import type { PageSketch, PageTrace } from '../model/page-result.js';
import { phaseCorrelation } from './phase-correlation.js';
import {
  type Fit,
  fitMovement,
  type Movement,
  mostDisplacement,
  type Sight,
  still,
  sureMovement,
} from './similarity.js';
import { keptPx, type OpenSketch, openSketch } from './sketches.js';
import { squaresIn, type TraceMatch, traceMatch } from './traces.js';
import { fade, windowPx } from './windows.js';

/** Whether a part of a page shows the same as its last version, and where. */

/**
 * `same`: in its place. `moved`: elsewhere. `other`: another picture. `blank`: next to nothing, where there was a picture. `unknown`: too
 * little to tell, or too much changed.
 */
export interface VersionFit {
  readonly verdict: 'same' | 'moved' | 'other' | 'blank' | 'unknown';
  /** What of the movement is beyond doubt, in pixels of the sketch. */
  readonly movement: Movement;
  readonly displacementPx: number;
  readonly ppi: number;
  readonly places: number;
  readonly agreeing: number;
  readonly likeness: number;
}

/** What is told: less than a pixel at 600 ppi (0.042 mm), and more than two exports of one drawing differ. Our own choice. */
export const versionLimitMm = 0.03;

/** A window says something from this clarity on: chance alone gives 3 to 5. */
const leastClarity = 6;
/** So many windows have to agree, and this share of those that say something. */
const leastAgreeing = 4;
const agreeingShare = 0.5;

/** Pixels that a window of one version may lie beside one of the other and still show enough of the same. */
const farthestApartPx = windowPx / 4;

/** And no more than this share of the page's width, or chance finds something on a small page. */
const farShare = 1 / 8;

/** Traces of one drawing have 0.4 and more. */
export const sameLikeness = 0.4;
/** Below this, and with so many squares in both that stand out, they are of two drawings. */
export const otherLikeness = 0.15;
/** Fewer squares that stand out tell nothing. */
export const leastSquares = 60;
/** A picture of which less than this share of its squares is left shows next to nothing of it. Own choice. */
const blankShare = 0.02;
/** On a small page chance makes more likeness: so many times the reciprocal of the root of its squares. */
const chance = 8;

/** Squares of a trace to each side that are searched for a picture that lies far off: some 25 mm. */
const farSquares = 9;

/** What a window of an unchanged drawing may mislead, in millimetres: rounding to 16 steps, and another export. */
const misleadingMm = 0.006;
/** Windows of an unchanged drawing scatter by less than this, in pixels. */
const unchangedScatterPx = 0.2;
/** What a window of a drawing that was worked on may mislead, in millimetres: its borders are drawn anew, colour trapped otherwise. */
const workedOnMm = 0.085;

/** Pages this alike are not told by their panels alone. */
const sureLikeness = 0.3;

/**
 * Holds a version of a part against its last one.
 * @returns undefined where they cannot be laid on each other: another page size, or a version that nothing was kept of
 */
export function compareVersions(before: PageTrace, now: PageTrace): VersionFit | undefined {
  if (before.columns !== now.columns || before.rows !== now.rows) return undefined;
  const near = traceMatch(before, now);
  const seen = { ...unseen, likeness: near.value, ppi: now.sketch?.ppi ?? 0 };
  if (isBlankNow(before, now)) return { ...seen, verdict: 'blank' };
  const sketches = sketchPair(before.sketch, now.sketch);
  if (sketches === undefined) return { ...seen, verdict: verdictOn(before, now, near) };
  // Pages of a series share their panels: where the rest is not alike, only the rest counts.
  const withoutUprights = areTelling(before, now) && near.value < sureLikeness;
  const far = withoutUprights ? traceMatch(before, now, farReach(now)) : near;
  if (verdictOn(before, now, far) === 'other') return { ...seen, likeness: far.value, verdict: 'other' };
  const inPlace = fitAt(sketches, { dx: 0, dy: 0 }, withoutUprights);
  if (inPlace.fit !== undefined) return told(inPlace, near, sketches);
  if (far.value >= sameLikeness) {
    const px = Math.max(sketches.page.width / now.columns, sketches.page.height / now.rows);
    const moved = fitAt(sketches, { dx: far.right * px, dy: far.down * px }, false);
    if (moved.fit !== undefined) return told(moved, far, sketches);
  }
  return { ...seen, places: inPlace.places, likeness: far.value, verdict: 'unknown' };
}

function farReach({ columns }: PageTrace): number {
  return Math.min(farSquares, Math.floor(columns * farShare));
}

const unseen = { verdict: 'unknown', movement: still, displacementPx: 0, places: 0, agreeing: 0 } as const;

function verdictOn(before: PageTrace, now: PageTrace, { value }: TraceMatch): 'other' | 'unknown' {
  const most = Math.max(otherLikeness, Math.min(sureLikeness, chance / Math.sqrt(now.columns * now.rows)));
  return areTelling(before, now) && value < most ? 'other' : 'unknown';
}

function isBlankNow(before: PageTrace, now: PageTrace): boolean {
  const squares = squaresIn(before);
  return squares >= leastSquares && squaresIn(now) < blankShare * squares;
}

function areTelling(before: PageTrace, now: PageTrace): boolean {
  return squaresIn(before) >= leastSquares && squaresIn(now) >= leastSquares;
}

interface SketchPair {
  readonly page: PageSketch;
  readonly before: OpenSketch;
  readonly now: OpenSketch;
}

function sketchPair(before: PageSketch | undefined, now: PageSketch | undefined): SketchPair | undefined {
  if (before === undefined || now === undefined) return undefined;
  if (before.width !== now.width || before.height !== now.height || before.ppi !== now.ppi) return undefined;
  return { page: now, before: openSketch(before), now: openSketch(now) };
}

interface SketchFit {
  /** undefined where too few windows agree. */
  readonly fit: Fit | undefined;
  readonly places: number;
}

/** Lays all windows on each other that show the same place, if the page lies off by so much. */
function fitAt(
  { page, before, now }: SketchPair,
  offset: { readonly dx: number; readonly dy: number },
  withoutUprights: boolean,
): SketchFit {
  const sights: Sight[] = [];
  for (const [i, one] of before.windows.entries()) {
    for (const [j, other] of now.windows.entries()) {
      const [dx, dy] = [other.left - one.left, other.top - one.top];
      if (Math.max(Math.abs(dx - offset.dx), Math.abs(dy - offset.dy)) > farthestApartPx) continue;
      const re = new Float64Array(keptPx * keptPx);
      const im = new Float64Array(keptPx * keptPx);
      before.see(i, re);
      now.see(j, im);
      fade(re);
      fade(im);
      const shift = phaseCorrelation({ width: keptPx, height: keptPx, re, im }, { withoutUprights });
      sights.push({
        x: one.left + (windowPx - page.width) / 2,
        y: one.top + (windowPx - page.height) / 2,
        dx: 2 * shift.dx + dx,
        dy: 2 * shift.dy + dy,
        clarity: shift.clarity,
      });
    }
  }
  const clear = sights.filter(({ clarity }) => clarity >= leastClarity);
  const fit = fitMovement(clear);
  const agreeing = fit?.agreeing.length ?? 0;
  const isAgreed = agreeing >= leastAgreeing && agreeing >= agreeingShare * clear.length;
  return { fit: isAgreed ? fit : undefined, places: sights.length };
}

function told({ fit, places }: SketchFit, { value }: TraceMatch, { page }: SketchPair): VersionFit {
  if (fit === undefined) throw new Error('windows agree on nothing');
  const mayMisleadMm = fit.scatterPx < unchangedScatterPx ? misleadingMm : workedOnMm;
  const movement = sureMovement(fit, mmToPx(mayMisleadMm, page.ppi));
  const displacementPx = mostDisplacement(movement, page);
  const isMoved = displacementPx > mmToPx(versionLimitMm, page.ppi);
  const verdict = isMoved ? 'moved' : 'same';
  const agreeing = fit.agreeing.length;
  return { verdict, movement, displacementPx, ppi: page.ppi, places, agreeing, likeness: value };
}
