import { isInkPart } from '../../config/extra-ink.js';
import type { FilePart } from '../../config/job.js';
import type { ContestedClaim, MatchedFile, SupersededFile } from '../model/reconciliation.js';
import { compareNaturally } from './incoming.js';
import { ignoreLine, pageLine } from './job-lines.js';

/** A file that claims one part of one page. */
export interface FileClaim extends MatchedFile {
  /** Said by job.yaml, which wins over everything that names say. */
  readonly isAssigned: boolean;
}

/** What the claims to one page come to. */
export interface Settlement {
  readonly winners: readonly FileClaim[];
  readonly contested: readonly ContestedClaim[];
  readonly superseded: readonly SupersededFile[];
  /** Parts that have arrived, contested ones included, replaced ones not. */
  readonly arrived: readonly FilePart[];
}

/** Files that compete with each other: a whole page brings its colour with it, so it competes with colour. */
const pictureSlots: readonly (readonly FilePart[])[] = [
  ['whole', 'colour'],
  ['line'],
  ['lettering'],
  ['flats'],
];

/** The same of some files, with a slot for each extra ink that they bring. */
export function slotsOf(claims: readonly FileClaim[]): readonly (readonly FilePart[])[] {
  const inks = new Set(claims.map(({ part }) => part).filter(isInkPart));
  return [...pictureSlots, ...[...inks].sort().map((part) => [part])];
}

const byName = (first: FileClaim, second: FileClaim): number => compareNaturally(first.name, second.name);

/** A name without explicit version is older than any that has one. */
const rankOf = (claim: FileClaim): number => claim.version ?? Number.NEGATIVE_INFINITY;

const spoken = (version: number | undefined): string =>
  version === undefined ? 'without a version' : `version ${version}`;

const stemOf = (name: string): string => name.replace(/\.[^./]*$/, '');

/** What the names of contested files have in common, so that people see at once why platehand cannot choose. */
function likeness(names: readonly string[]): string {
  const areOne = (fold: (name: string) => string) => new Set(names.map(fold)).size === 1;
  const composed = (name: string) => name.normalize('NFC');
  const lower = (name: string) => composed(name).toLowerCase();
  if (areOne(composed)) return '; their names differ only in how accents are stored';
  if (areOne(lower)) return '; their names differ only in upper and lower case';
  if (areOne((name) => stemOf(lower(name)))) return '; they are one name in several formats';
  return '';
}

function remedyFor(claims: readonly FileClaim[]): string {
  const [first] = claims;
  const last = claims[claims.length - 1];
  const composed = new Set(claims.map((claim) => claim.name.normalize('NFC')));
  if (composed.size < claims.length)
    return 'Rename or remove all but one; job.yaml cannot tell such names apart';
  if (claims.every((claim) => claim.isAssigned)) {
    return `Keep one line in job.yaml and set the others aside: ${ignoreLine(last.name)}`;
  }
  const line = pageLine(first.name, first.page, first.part);
  return `Keep one of them, or say in job.yaml which one counts: ${line}`;
}

/** Files of which none is used, because nothing tells which one is meant. */
function contest(claims: readonly FileClaim[], part: FilePart): ContestedClaim {
  const names = claims.map((claim) => claim.name);
  const [{ page, version }] = claims;
  const versions = new Set(claims.map((claim) => claim.version));
  const tail = versions.size === 1 ? `, ${spoken(version)}` : '';
  const what = part === 'whole' ? 'the whole page' : `its ${part}`;
  const mixed =
    new Set(claims.map((claim) => claim.part)).size > 1 ? '; a whole page brings its colour too' : '';
  return {
    page,
    part,
    names,
    rule: `${names.length} files claim page ${page}, ${what}${tail}${likeness(names)}${mixed}`,
    remedy: remedyFor(claims),
  };
}

function supersede(older: FileClaim, newest: FileClaim, rule: string): SupersededFile {
  return { name: older.name, page: older.page, part: older.part, by: newest.name, rule };
}

/** The newest claims to one part, more than one where they tie, and the older ones that they replace. */
function newestOf(claims: readonly FileClaim[]) {
  const newest = claims.map(rankOf).reduce((best, rank) => Math.max(best, rank));
  const top = claims.filter((claim) => rankOf(claim) === newest);
  const superseded = claims
    .filter((claim) => rankOf(claim) !== newest)
    .map((claim) =>
      supersede(claim, top[0], `${spoken(top[0].version)} is newer than ${spokenOld(claim.version)}`),
    );
  return { top, superseded };
}

const spokenOld = (version: number | undefined): string =>
  version === undefined ? 'a name without a version' : spoken(version);

/** Settles one slot: job.yaml first, then the newest version of each part, then whole page against colour. */
function settleSlot(claims: readonly FileClaim[]): Settlement {
  const assigned = claims.filter((claim) => claim.isAssigned);
  const pool = assigned.length > 0 ? assigned : claims;
  const tops: FileClaim[] = [];
  const superseded: SupersededFile[] = [];
  for (const part of new Set(pool.map((claim) => claim.part))) {
    const settled = newestOf(pool.filter((claim) => claim.part === part));
    tops.push(...settled.top);
    superseded.push(...settled.superseded);
  }
  for (const claim of claims) {
    if (assigned.length === 0 || claim.isAssigned) continue;
    superseded.push(supersede(claim, tops[0], `job.yaml names "${tops[0].name}" for this`));
  }
  const arrived = [...new Set(tops.map((claim) => claim.part))];
  if (tops.length === 1) return { winners: tops, contested: [], superseded, arrived };
  const contested = contest(tops.sort(byName), arrived.length > 1 ? 'colour' : arrived[0]);
  return { winners: [], contested: [contested], superseded, arrived };
}

/** Settles all claims to one page: which files to use, which are contested, and which are replaced by newer ones. */
export function settleClaims(claims: readonly FileClaim[]): Settlement {
  const settlements = slotsOf(claims)
    .map((slot) => claims.filter((claim) => slot.includes(claim.part)).sort(byName))
    .filter((slot) => slot.length > 0)
    .map(settleSlot);
  return {
    winners: settlements.flatMap((each) => each.winners),
    contested: settlements.flatMap((each) => each.contested),
    arrived: settlements.flatMap((each) => each.arrived),
    superseded: settlements
      .flatMap((each) => each.superseded)
      .sort((first, second) => compareNaturally(first.name, second.name)),
  };
}
