import { limitSource } from '../../config/check-limits/index.js';
import { figureBeside } from '../../config/figures.js';
import { pxToMm } from '../../config/units.js';
import type { LineFaults } from '../line-faults/measure-line.js';
import type { StraightEdge } from '../line-faults/straight-edges.js';
import type { Noticed } from '../model/findings.js';
import { type MeasuredBox, placesOf } from '../model/places.js';
import { type CheckedLine, pictureOf } from './thin-line.js';

/** From this share of the angle that asks for a look on, skew is told for the record. Own choice. */
const toldShare = 0.2;

/** Says how far a page is turned, as the borders of its panels tell, and which of them the trim cuts. */
export function noticeBorders(faults: LineFaults, on: CheckedLine): Noticed[] {
  return [...noticeSkew(faults, on), ...noticeCut(faults, on)];
}

function noticeSkew({ skew }: LineFaults, on: CheckedLine): Noticed[] {
  const { checks } = on.spec;
  if (skew === undefined || Math.abs(skew.degrees) < toldShare * checks.skewDegrees) return [];
  const amount = Math.abs(skew.degrees);
  const places = placesOf(skew.edges.map(boxOf), pictureOf(on));
  return [
    {
      code: 'page-skewed',
      severity: amount > checks.skewDegrees ? 'warn' : 'note',
      message: `The page is turned ${skew.degrees > 0 ? 'clockwise' : 'counterclockwise'}: the borders of its panels agree on it`,
      measured: `${figureBeside(amount, checks.skewDegrees, 2)} degrees`,
      limit: `at most ${checks.skewDegrees} degrees, told from ${(toldShare * checks.skewDegrees).toFixed(2)}`,
      source: limitSource(checks, 'skewDegrees'),
      remedy: 'Scan the page again, or turn it back before the colour is laid on it.',
      ...(places === undefined ? {} : { places }),
    },
  ];
}

function noticeCut({ cutBorders }: LineFaults, on: CheckedLine): Noticed[] {
  if (cutBorders.length === 0) return [];
  const { checks, linePpi } = on.spec;
  const farthestMm = pxToMm(Math.max(...cutBorders.map(({ beyondPx }) => beyondPx)), linePpi);
  const sides = [...new Set(cutBorders.map(({ side }) => side))].join(', ');
  const places = placesOf(
    cutBorders.map(({ edge }) => boxOf(edge)),
    pictureOf(on),
  );
  return [
    {
      code: 'border-cut',
      severity: 'warn',
      message: `The trim cuts away or cuts through borders of panels (${sides})`,
      measured: `up to ${figureBeside(farthestMm, checks.cutBorderMm, 1)} mm past the trim`,
      limit: `at most ${checks.cutBorderMm} mm`,
      source: limitSource(checks, 'cutBorderMm'),
      remedy: 'Move the panels inside the trim, or let their art run through the bleed without a border.',
      ...(places === undefined ? {} : { places }),
    },
  ];
}

function boxOf({ isLevel, from, to, atFrom, atTo, inkPx, opensInk }: StraightEdge): MeasuredBox {
  const thick = opensInk ? [0, inkPx] : [-inkPx, 0];
  const [low, high] = [Math.min(atFrom, atTo) + thick[0], Math.max(atFrom, atTo) + thick[1]];
  return isLevel
    ? { left: from, top: low, width: to - from, height: high - low }
    : { left: low, top: from, width: high - low, height: to - from };
}
