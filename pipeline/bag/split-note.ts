import { formatLength } from '../../config/figures.js';
import type { IssuePage, Job } from '../../config/job.js';
import { halfBleedBox, halfTrim, sideOf } from '../../config/spread-halves.js';

/** What a delivery says of spreads that go out as two single pages. */

/** For delivery.json: the single pages of a spread that is delivered split; their files bear the page number as `half`. */
export function splitRecord({ numbers, spec }: IssuePage): Record<string, unknown> {
  if (numbers.length !== 2 || spec.spreads === 'whole') return {};
  const [trim, box] = [halfTrim(spec), halfBleedBox(spec)];
  const halves = numbers.map((number) => ({
    page: String(number),
    side: sideOf(numbers, number),
    trimMm: [trim.widthMm, trim.heightMm],
    bleedMm: spec.bleedMm,
    foldBleedMm: spec.foldBleedMm,
    trimPlusBleedMm: [box.widthMm, box.heightMm],
  }));
  return { delivered: spec.spreads, halves };
}

/**
 * For the receiver's note.
 * @param sent ids of the pages that the delivery holds
 */
export function splitNote({ pages, units }: Job, sent: ReadonlySet<string>): string[] {
  const lines = pages.flatMap(({ id, numbers, spec }) => {
    if (numbers.length !== 2 || spec.spreads === 'whole' || !sent.has(id)) return [];
    const [left, right] = numbers;
    const also = spec.spreads === 'both' ? ' besides the whole; print one of the two' : '';
    const fold =
      spec.foldBleedMm === 0
        ? 'They end at the fold.'
        : `At the fold each goes on for ${formatLength(spec.foldBleedMm, units)} with the picture of the other.`;
    return [`Spread ${id} is delivered as single pages ${left} (left) and ${right} (right)${also}. ${fold}`];
  });
  return lines.length === 0 ? [] : [...lines, ''];
}
