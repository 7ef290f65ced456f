import { isInkPart } from '../../config/extra-ink.js';
import type { FilePart, IssuePage } from '../../config/job.js';
import type { ContestedClaim, PageMatch, SupersededFile } from '../model/reconciliation.js';
import { andList } from './answers.js';
import { type FileClaim, type Settlement, settleClaims, slotsOf } from './contest.js';
import { compareNaturally } from './incoming.js';
import { ignoreLine } from './job-lines.js';
import { heldOrContested, inTheirRoles, matchPage, missingParts, readyRule } from './page-match.js';

/** Settling the claims to a page, also where a spread comes in halves. */

/** What the files of one page come to. */
export interface SettledPage {
  /** The page with the files to use. */
  readonly match: PageMatch;
  /** Files of which none is used. */
  readonly contested: readonly ContestedClaim[];
  /** Files that others replace. */
  readonly superseded: readonly SupersededFile[];
}

/** Settles all claims to one page: which files to use, which are contested, which are replaced, and what is still missing. */
export function settlePage(page: IssuePage, claims: readonly FileClaim[]): SettledPage {
  const halves = page.numbers.length === 2 && claims.some(({ half }) => half !== undefined);
  if (halves) return settleSpread(page, claims);
  const settlement = settleClaims(claims);
  return { match: matchPage(page, settlement), ...settlement };
}

/** A spread of which halves have come: each half is settled by itself, then they are held against files of the whole spread. */
function settleSpread(page: IssuePage, claims: readonly FileClaim[]): SettledPage {
  const { kept, superseded } = withoutOverruled(claims);
  const whole = settleClaims(kept.filter(({ half }) => half === undefined));
  const halves = page.numbers.map((number) => settleHalf(page, number, kept));
  const both = slotsOf(kept).flatMap((slot) => wholeBesideHalf(page, whole, halves, slot) ?? []);
  const taken = new Set(both.flatMap(({ names }) => names));
  const all = [whole, ...halves];
  const settlement: Settlement = {
    winners: all.flatMap(({ winners }) => winners).filter(({ name }) => !taken.has(name)),
    contested: [...all.flatMap(({ contested }) => contested), ...both],
    superseded: [...superseded, ...all.flatMap((each) => each.superseded)].sort((one, other) =>
      compareNaturally(one.name, other.name),
    ),
    arrived: [...new Set(all.flatMap(({ arrived }) => arrived))],
  };
  return { match: matchSpread(page, settlement, whole, halves), ...settlement };
}

/** A word of job.yaml about the whole spread or about a half goes before what names say about the other. */
function withoutOverruled(claims: readonly FileClaim[]) {
  const superseded: SupersededFile[] = [];
  const kept = claims.filter((claim) => {
    const slot = slotsOf(claims).find((each) => each.includes(claim.part)) ?? [];
    const rivals = claims.filter(
      (other) => slot.includes(other.part) && (other.half === undefined) !== (claim.half === undefined),
    );
    const by = rivals.find(({ isAssigned }) => isAssigned);
    if (claim.isAssigned || by === undefined) return true;
    const { name, page, part } = claim;
    superseded.push({ name, page, part, by: by.name, rule: `job.yaml names "${by.name}" for this` });
    return false;
  });
  return { kept, superseded };
}

/** Claims to one half, settled as if it were a page: what is said about them names the half. */
function settleHalf(page: IssuePage, number: number, claims: readonly FileClaim[]): Settlement {
  const own = claims
    .filter(({ half }) => half === number)
    .map((claim) => ({ ...claim, page: String(number) }));
  const { winners, contested, superseded, arrived } = settleClaims(own);
  const ofSpread = <Claim extends { readonly page: string }>(claim: Claim): Claim => ({
    ...claim,
    page: page.id,
  });
  return {
    winners: winners.map(ofSpread),
    contested: contested.map(ofSpread),
    superseded: superseded.map(ofSpread),
    arrived,
  };
}

/** A file of the whole spread beside halves that bring the same: which is meant is never guessed. */
function wholeBesideHalf(
  page: IssuePage,
  whole: Settlement,
  halves: readonly Settlement[],
  slot: readonly FilePart[],
): ContestedClaim | undefined {
  const ofSlot = ({ winners }: Settlement) => winners.filter(({ part }) => slot.includes(part));
  const [spread] = ofSlot(whole);
  const parts = halves.flatMap(ofSlot);
  if (spread === undefined || parts.length === 0) return undefined;
  const what = slot.includes('colour') ? 'colour' : slot[0];
  const names = parts.map(({ name }) => `"${name}"`);
  const [verb, noun] = names.length === 1 ? ['is', 'half'] : ['are', 'halves'];
  return {
    page: page.id,
    part: what,
    names: [spread, ...parts].map(({ name }) => name).sort(compareNaturally),
    rule: `"${spread.name}" is the whole spread ${page.id}, and ${andList(names)} ${verb} ${noun} of it; both bring its ${what}`,
    remedy: `Keep the whole spread or its halves; or set one of the two aside in job.yaml: ${ignoreLine(spread.name)}`,
  };
}

/** Parts that one half lacks: those that the page needs, and those that only the other half brings. */
function missingOf(page: IssuePage, own: ReadonlySet<FilePart>, other: ReadonlySet<FilePart>): FilePart[] {
  const missing = missingParts(page, own);
  if (missing.includes('whole')) return missing;
  const inPairs = ['line', 'lettering', ...[...other].filter(isInkPart)] as const;
  const unpaired = inPairs.filter((part) => other.has(part) && !own.has(part));
  return [...new Set([...missing, ...unpaired])];
}

/** The state of a spread in halves; which half is waited for is told. */
function matchSpread(
  page: IssuePage,
  settlement: Settlement,
  whole: Settlement,
  halves: readonly Settlement[],
): PageMatch {
  const arrived = halves.map((half) => new Set([...half.arrived, ...whole.arrived]));
  const lacking = page.numbers.map((number, index) => ({
    number,
    parts: missingOf(page, arrived[index], arrived[1 - index]),
  }));
  const missing = [...new Set(lacking.flatMap(({ parts }) => parts))];
  const facts = { page: page.id, files: inTheirRoles(settlement.winners), missing };
  const kept = heldOrContested(page, settlement.contested);
  if (kept !== undefined) return { ...facts, ...kept };
  if (missing.length > 0) return { ...facts, state: 'waiting', rule: missingRule(page, lacking) };
  return { ...facts, state: 'ready', rule: `${readyRule(settlement.arrived)}, in two halves` };
}

function missingRule(
  page: IssuePage,
  lacking: readonly { readonly number: number; readonly parts: readonly FilePart[] }[],
): string {
  const words = lacking.flatMap(({ number, parts }) => {
    if (parts.length === 0) return [];
    if (parts.includes('whole')) return [`page ${number}`];
    return [`${andList(parts)} of page ${number}`];
  });
  return `waits for ${andList(words)}; the spread ${page.id} comes in halves`;
}
