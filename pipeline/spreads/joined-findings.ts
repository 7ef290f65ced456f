import { figureBeside, formatMeasured } from '../../config/figures.js';
import { type LengthUnit, pxToMm } from '../../config/units.js';
import type { Noticed } from '../model/findings.js';
import { registerLimitMm } from '../model/movement.js';
import type { FoldMatch } from './fold-match.js';
import type { HalvedPart } from './half-kinds.js';
import type { Fold, HalfLayout } from './half-layout.js';
import type { Moved } from './join-rasters.js';

/** One part of a spread as its halves were joined. */
export interface JoinedPart {
  readonly part: HalvedPart;
  readonly fold: Fold;
  readonly layouts: readonly [HalfLayout, HalfLayout];
  readonly match: FoldMatch | undefined;
  /** What the right half was found to be off, and was moved back by. */
  readonly moved: Moved;
}

/** What is told of joining a spread: a note in any case, and for each part whose halves did not meet that somebody should look. */
export function noticeJoined(joined: readonly JoinedPart[], units: LengthUnit): Noticed[] {
  if (joined.length === 0) return [];
  return [joinedNote(joined, units), ...joined.flatMap((part) => (isShifted(part) ? [shifted(part)] : []))];
}

function isShifted({ fold, moved }: JoinedPart): boolean {
  return pxToMm(Math.max(Math.abs(moved.dxPx), Math.abs(moved.dyPx)), fold.ppi) > registerLimitMm;
}

/** How it is known where halves meet, the best way first. */
const ways = [
  ['overlap', 'a strip that stands on both shows where they meet'],
  ['edge', 'what crosses the fold shows where they meet'],
  ['nothing', 'nothing at the fold shows whether they meet, so they were laid by their size'],
] as const;

function joinedNote(joined: readonly JoinedPart[], units: LengthUnit): Noticed {
  const way = ways.find(([by]) => joined.some(({ match }) => match?.by === by));
  const how = way === undefined ? 'layers were laid by their size' : way[1];
  const lengths = joined.map(({ fold, layouts }) => {
    const [left, right] = layouts.map(({ beyondPx }) => beyond(pxToMm(beyondPx, fold.ppi), units));
    return left === right ? `both ${left}` : `left ${left}, right ${right}`;
  });
  const isOne = new Set(lengths).size === 1;
  const measured = isOne ? lengths[0] : lengths.map((text, i) => `${joined[i].part}: ${text}`).join('; ');
  const parts = joined.map(({ part }) => part).join(' and ');
  return {
    code: 'spread-joined',
    severity: 'note',
    message: `The halves of the ${parts} were joined at the fold: ${how}`,
    measured,
    remedy: 'Look at the fold on the proof.',
  };
}

/** `3 mm past the fold, cut away`, or where it ends. */
function beyond(lengthMm: number, units: LengthUnit): string {
  if (Math.abs(lengthMm) <= registerLimitMm) return 'at the fold';
  const text = formatMeasured(Math.abs(lengthMm), units);
  return lengthMm > 0 ? `${text} past the fold, cut away` : `${text} short of the fold`;
}

function shifted({ part, fold, moved }: JoinedPart): Noticed {
  const sided = (px: number, above: string, below: string) =>
    px === 0
      ? []
      : [`${figureBeside(Math.abs(pxToMm(px, fold.ppi)), registerLimitMm, 2)} mm ${px > 0 ? above : below}`];
  const where = [...sided(moved.dxPx, 'to the right', 'to the left'), ...sided(moved.dyPx, 'down', 'up')];
  return {
    code: 'spread-shifted',
    severity: 'warn',
    message: `The halves of the ${part} did not meet at the fold; the right one was moved into place, by whole pixels`,
    measured: where.join(', '),
    limit: `at most ${registerLimitMm} mm`,
    source: 'register in sheet-fed offset: common practice, no published source',
    remedy: 'Look at the fold on the proof; better export both halves from one canvas.',
  };
}
