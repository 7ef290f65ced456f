import { formatLength, type LengthUnit, pxToMm } from '../../config/units.js';
import type { Noticed } from '../model/findings.js';
import type { FoldMatch } from './fold-match.js';
import type { HalvedPart } from './half-kinds.js';
import type { Fold, HalfLayout } from './half-layout.js';
import type { Moved } from './join-rasters.js';

/**
 * From this far on, halves that did not meet ask for a look although they were moved. What sheet-fed offset holds from ink to ink:
 * common practice, no published source.
 */
const shiftLimitMm = 0.1;

/** One part of a spread as its halves were joined. */
export interface JoinedPart {
  readonly part: HalvedPart;
  readonly fold: Fold;
  readonly layouts: readonly [HalfLayout, HalfLayout];
  readonly match: FoldMatch | undefined;
  /** What the right half was found to be off, and was moved back by. */
  readonly moved: Moved;
}

/** What is told of joining a part: a note in any case, and that asks for a look where the halves did not meet. */
export function noticeJoined(joined: JoinedPart, units: LengthUnit): Noticed[] {
  const { fold, moved } = joined;
  const farthestMm = pxToMm(Math.max(Math.abs(moved.dxPx), Math.abs(moved.dyPx)), fold.ppi);
  const noticed = [joinedNote(joined, units)];
  return farthestMm > shiftLimitMm ? [...noticed, shifted(joined)] : noticed;
}

const partNames = { colour: 'colour', line: 'line', lettering: 'lettering' } as const;

function joinedNote({ part, fold, layouts, match }: JoinedPart, units: LengthUnit): Noticed {
  const [left, right] = layouts.map(({ beyondPx }) => pxToMm(beyondPx, fold.ppi));
  const told = {
    overlap: 'a strip that stands on both shows where they meet',
    edge: 'what crosses the fold shows where they meet',
    nothing: 'nothing at the fold shows whether they meet, so they were laid by their size',
  } as const;
  const how = match === undefined ? 'layers were laid by their size' : told[match.by];
  return {
    code: 'spread-joined',
    severity: 'note',
    message: `The halves of the ${partNames[part]} were joined at the fold: ${how}`,
    measured: `left ${beyond(left, units)}, right ${beyond(right, units)}`,
    remedy: 'Look at the fold on the proof.',
  };
}

/** `3 mm past the fold, cut away`, or where it ends. */
function beyond(lengthMm: number, units: LengthUnit): string {
  if (Math.abs(lengthMm) <= shiftLimitMm) return 'ends at the fold';
  const text = formatLength(Math.abs(lengthMm), units);
  return lengthMm > 0 ? `${text} past the fold, cut away` : `${text} short of the fold`;
}

function shifted({ part, fold, moved }: JoinedPart): Noticed {
  const sided = (px: number, above: string, below: string) =>
    px === 0 ? [] : [`${Math.abs(pxToMm(px, fold.ppi)).toFixed(2)} mm ${px > 0 ? above : below}`];
  const where = [...sided(moved.dxPx, 'to the right', 'to the left'), ...sided(moved.dyPx, 'down', 'up')];
  return {
    code: 'spread-shifted',
    severity: 'warn',
    message: `The halves of the ${partNames[part]} did not meet at the fold; the right one was moved into place, by whole pixels`,
    measured: where.join(', '),
    limit: `${shiftLimitMm} mm`,
    source: 'register in sheet-fed offset: common practice, no published source',
    remedy: 'Look at the fold on the proof; better export both halves from one canvas.',
  };
}
