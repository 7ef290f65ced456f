import { basename } from 'node:path';
import { counted } from '../../config/figures.js';
import type { BagNote } from './bag-notes.js';
import { type DeliveryFacts, readDeliveryFacts } from './delivery-facts.js';
import { deliveryWords } from './next-delivery.js';
import { pagesWords } from './page-content.js';
import { type VerifyReport, verifyBag } from './verify.js';

/**
 * Holds the deliveries that a receiver has against each other: whether a base and its supplements make a whole issue, and
 * which page is to be taken from which. The newest of them says what it builds on; the others must be just that.
 */

/** One of the deliveries that were given. */
export interface SetMember {
  /** As it was given. */
  readonly path: string;
  /** Name of its bag. */
  readonly name: string;
  /** undefined for a bag that is no delivery of pages. */
  readonly delivery: Pick<DeliveryFacts, 'number' | 'kind' | 'date' | 'issue' | 'title'> | undefined;
  /** Its own check, file by file. */
  readonly report: VerifyReport;
  /** Ids of the pages that are to be taken from it; empty for one that is replaced. */
  readonly pages: readonly string[];
}

/** What several deliveries make together. */
export interface SetReport {
  /** Every one is valid, and together they make a whole issue. */
  readonly ok: boolean;
  /** Issue code of the newest; undefined when none is a delivery. */
  readonly issue: string | undefined;
  readonly title: string | undefined;
  /** In the order in which they were made. */
  readonly members: readonly SetMember[];
  readonly problems: readonly BagNote[];
  readonly warnings: readonly BagNote[];
}

interface Given {
  readonly path: string;
  readonly facts: DeliveryFacts | undefined;
  readonly report: VerifyReport;
}

/**
 * Verifies each bag, and all of them together.
 * @param paths ZIPs or folders, in any order; one at least
 * @throws PlatehandError bundle-invalid when there is nothing at one of the paths
 */
export async function verifySet(paths: readonly string[]): Promise<SetReport> {
  const given: Given[] = [];
  for (const path of paths) {
    const report = await verifyBag(path);
    given.push({ path, report, facts: await readDeliveryFacts(path) });
  }
  const problems = given.flatMap(ownProblems);
  const warnings: BagNote[] = [];
  const known = withoutTwins(given, problems, warnings).sort(asMade);
  const newest = known.at(-1)?.facts;
  if (newest !== undefined) checkTogether(newest, known, problems, warnings);
  const members = known.map((one) => memberOf(one, newest));
  const { issue, title } = newest ?? {};
  return { ok: problems.length === 0, issue, title, members, problems, warnings };
}

function memberOf({ path, facts, report }: Given, newest: DeliveryFacts | undefined): SetMember {
  const isOfIssue = facts !== undefined && facts.issue === newest?.issue;
  const sources = isOfIssue ? newest.sources.filter(({ delivery }) => delivery === facts.name) : [];
  return {
    ...{ path, report, name: facts?.name ?? report.bagName },
    delivery: facts,
    pages: sources.map(({ page }) => page),
  };
}

function asMade(one: Given, other: Given): number {
  return (one.facts?.number ?? 0) - (other.facts?.number ?? 0);
}

function ownProblems({ path, facts, report }: Given): BagNote[] {
  if (!report.ok) {
    const count = counted(report.problemCount, 'problem');
    const first = report.problems[0];
    const where = first.path === undefined ? '' : `${first.path}: `;
    return [
      note('bag-invalid', path, `It is not whole: ${count}, first ${where}${first.what}`, first.remedy),
    ];
  }
  if (facts !== undefined) return [];
  return [note('not-a-delivery', path, 'It is a bag, but no delivery of pages', 'Leave it out.')];
}

/** The same delivery given twice, packed and unpacked perhaps, counts once; two of one number cannot both be right. */
function withoutTwins(given: readonly Given[], problems: BagNote[], warnings: BagNote[]): Given[] {
  const kept: Given[] = [];
  for (const one of given) {
    const twin = kept.find(({ facts }) => facts !== undefined && isTwin(facts, one.facts));
    if (twin?.facts === undefined) kept.push(one);
    else if (twin.facts.manifestSha256 === one.facts?.manifestSha256) {
      warnings.push(note('given-twice', one.path, `It is the same as ${twin.path}`, 'Nothing to do.'));
    } else {
      const what = `It bears the number of ${twin.path}, and holds something else`;
      problems.push(note('number-twice', one.path, what, 'Ask the sender which of them counts.'));
    }
  }
  return kept;
}

function isTwin(one: DeliveryFacts, other: DeliveryFacts | undefined): boolean {
  return (
    one.issue === other?.issue &&
    one.number === other.number &&
    (one.number !== null || one.name === other.name)
  );
}

/** Whether the newest finds all that it builds on, and whether every page of the issue has its delivery. */
function checkTogether(
  newest: DeliveryFacts,
  known: readonly Given[],
  problems: BagNote[],
  warnings: BagNote[],
): void {
  for (const { path, facts } of known) {
    if (facts === undefined || facts.name === newest.name) continue;
    if (facts.issue !== newest.issue) {
      const what = `It is of the issue ${facts.issue}, not of ${newest.issue}`;
      problems.push(note('issue-differs', path, what, 'Verify the issues one by one.'));
    } else if (!newest.sources.some(({ delivery }) => delivery === facts.name)) {
      const what = `Nothing of it is to be used any more: ${deliveryWords(newest)} replaces it`;
      warnings.push(note('replaced', path, what, 'Put it aside.'));
    }
  }
  for (const { name, manifestSha256, ...other } of newest.builtOn) {
    const pages = pagesWords(
      newest.sources.filter(({ delivery }) => delivery === name).map(({ page }) => page),
    );
    const found = known.find(({ facts }) => facts?.issue === newest.issue && facts.name === name);
    const words = deliveryWords({ name, ...other });
    if (found === undefined) {
      const what = `It is not among them, and ${pages} should come from it (${words})`;
      problems.push(note('delivery-missing', name, what, 'Name it too, or ask the sender for it.'));
    } else if (found.facts?.manifestSha256 !== manifestSha256) {
      const what = `It is not the ${words} that ${newest.name} was made for`;
      problems.push(note('delivery-differs', found.path, what, 'Ask the sender which of them counts.'));
    }
  }
  const absent = newest.pageList.filter((page) => !newest.sources.some((source) => source.page === page));
  if (absent.length > 0) {
    const what = `No delivery so far holds ${pagesWords(absent)} of the issue`;
    problems.push(note('page-missing', basename(newest.name), what, 'Wait for them, or ask the sender.'));
  }
}

function note(code: string, path: string, what: string, remedy: string): BagNote {
  return { code, path, what, remedy };
}
