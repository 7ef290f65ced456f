import { isInkPart } from '../../config/extra-ink.js';
import type { FilePart, IssuePage } from '../../config/job.js';
import type { MatchedFile, PageMatch } from '../model/reconciliation.js';
import { andList } from './answers.js';
import type { FileClaim, Settlement } from './contest.js';
import { anyPart } from './part-of-name.js';

/** Beside a line file the whole page is the colour: the line comes from the file that has nothing else. */
export function inTheirRoles(winners: readonly FileClaim[]): MatchedFile[] {
  const hasLine = ({ half }: MatchedFile) =>
    winners.some((claim) => claim.part === 'line' && (claim.half ?? half) === (half ?? claim.half));
  return [...winners]
    .sort((first, second) => (first.half ?? 0) - (second.half ?? 0))
    .sort((first, second) => placeOf(first.part) - placeOf(second.part))
    .map(({ isAssigned: _, ...file }) => {
      if (file.part !== 'whole' || !hasLine(file)) return file;
      return {
        ...file,
        part: 'colour',
        rule: `${file.rule}; the whole page serves as colour beside the line file`,
      };
    });
}

/** Extra inks stand behind the parts of the picture. */
function placeOf(part: FilePart): number {
  return isInkPart(part) ? anyPart.length : anyPart.indexOf(part);
}

/** Parts that the page still lacks, given those that arrived; contested parts have arrived. */
export function missingParts(page: IssuePage, arrived: ReadonlySet<FilePart>): FilePart[] {
  // The plate of an extra ink is no page.
  if ([...arrived].every(isInkPart)) return ['whole'];
  const needs = page.needs === undefined || page.needs.length === 0 ? undefined : page.needs;
  const wanted: readonly FilePart[] = needs ?? ['colour', 'line'];
  return wanted.filter((part) => {
    if (arrived.has(part)) return false;
    return !(arrived.has('whole') && (part === 'colour' || part === 'line'));
  });
}

/** Why a page is ready. */
export function readyRule(parts: readonly FilePart[]): string {
  const inks = parts.filter(isInkPart);
  const withInks = inks.length === 0 ? '' : `, with ${andList(inks)}`;
  if (parts.includes('whole') && parts.includes('line')) {
    return `line is there, and the whole page serves as colour${withInks}`;
  }
  if (parts.includes('whole')) return `the whole page is there${withInks}`;
  return `${andList(parts)} ${parts.length === 1 ? 'is' : 'are'} there`;
}

/** A page of which something is there waits for the rest, and says for what. */
function lackOf(missing: readonly FilePart[], arrived: readonly FilePart[]) {
  if (arrived.length === 0) return { state: 'missing', rule: 'nothing has arrived' } as const;
  if (missing.includes('whole')) {
    return { state: 'waiting', rule: `waits for the page itself; ${andList(arrived)} is there` } as const;
  }
  const isOne = arrived.length === 1 && arrived[0] !== 'flats';
  const rule = `waits for ${andList(missing)}; ${andList(arrived)} ${isOne ? 'is' : 'are'} there`;
  return { state: 'waiting', rule } as const;
}

/** A page that is held back or contested, whatever else has arrived of it; undefined for any other. */
export function heldOrContested(
  page: IssuePage,
  contested: Settlement['contested'],
): Pick<PageMatch, 'state' | 'rule'> | undefined {
  if (page.heldReason !== undefined) return { state: 'held', rule: `held back: ${page.heldReason}` };
  if (contested.length === 0) return undefined;
  return { state: 'contested', rule: contested.map(({ rule }) => rule).join('; ') };
}

/** The state of one page: held back by the job first, then contested, then lacking something, then ready. */
export function matchPage(page: IssuePage, settlement: Settlement): PageMatch {
  const { winners, contested } = settlement;
  const files = inTheirRoles(winners);
  const facts = { page: page.id, files, missing: missingParts(page, new Set(settlement.arrived)) };
  const kept = heldOrContested(page, contested);
  if (kept !== undefined) return { ...facts, ...kept };
  if (facts.missing.length > 0) return { ...facts, ...lackOf(facts.missing, settlement.arrived) };
  return { ...facts, state: 'ready', rule: readyRule(settlement.arrived) };
}
