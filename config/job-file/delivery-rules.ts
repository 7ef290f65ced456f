import { isTimeZone } from '../calendar-day.js';
import { unportableName } from '../portable-name.js';
import type { BlackPlate } from '../print-spec.js';
import { deliveryDefaults, deliveryName, deliverySuffixes, deliveryTokens } from './delivery-naming.js';
import type { Draft } from './job-draft.js';
import { type FoundProblem, wrongValue } from './job-problem.js';
import { longestNameBytes, missingNumber, patternProblem, soundIssue } from './naming-rules.js';
import type { ListedPage } from './page-schema.js';
import { printDefaults } from './print-defaults.js';
import { mergeSettings } from './resolve-spec.js';

/** A number that no issue's deliveries reach: names are tried out with it. */
const highNumber = 9999;

/**
 * Whether every delivery gets a name of its own that every system can hold, whether its time zone is known, and whether
 * somebody can print from the files that go out.
 */
export function deliveryProblems(draft: Draft, pages: readonly ListedPage[]): FoundProblem[] {
  return [...namingProblems(draft), ...zoneProblems(draft), ...filesProblems(draft, pages)];
}

function filesProblems(draft: Draft, pages: readonly ListedPage[]): FoundProblem[] {
  const { files } = draft.delivery;
  if (files === undefined) return [];
  const at = ['delivery', 'files'];
  const twice = files.findIndex((kind, i) => files.indexOf(kind) < i);
  if (twice >= 0)
    return [wrongValue([...at, twice], `${files[twice]} stands in the list twice`, 'every kind once', '')];
  if (files.every((kind) => kind === 'proofs')) {
    const expected = 'pdf, composite, line or plates among them';
    return [wrongValue(at, 'nobody can print from proofs alone', expected, 'files: [pdf, proofs]')];
  }
  if (!files.includes('plates') || files.includes('line')) return [];
  const without = pages.find((page) => blackPlateOf(page, draft) !== 'withLine');
  if (without === undefined) return [];
  const message = `plates would go out without the line: the black plate of page ${without.id} holds none, and no line file is among the files`;
  const example = `files: [${[...files, 'line'].join(', ')}]`;
  return [wrongValue(at, message, 'line beside plates, or blackPlate: withLine below print', example)];
}

function blackPlateOf({ kind, entry }: ListedPage, { print, kinds }: Draft): BlackPlate {
  const ofKind = kinds.entries.find(({ key }) => key === kind)?.value;
  return mergeSettings([print, ofKind, entry.print]).blackPlate ?? printDefaults.blackPlate;
}

function namingProblems(draft: Draft): FoundProblem[] {
  // An issue code that no file can bear is told once, where the names of pages are looked at.
  if (unportableName(soundIssue(draft)) !== undefined) return [];
  const pattern = draft.delivery.naming ?? deliveryDefaults.naming;
  const at = draft.delivery.naming === undefined ? ['issue'] : ['delivery', 'naming'];
  const example = `naming: "${deliveryDefaults.naming}"`;
  const found = (message: string, expected: string, line = example) =>
    wrongValue(at, message, expected, line);
  const formProblem = patternProblem(pattern, deliveryTokens, found);
  if (formProblem !== undefined) return [formProblem];
  if (!pattern.includes('{delivery}')) {
    return [
      found(
        'the pattern has no {delivery} in it, so all deliveries get one name',
        'a pattern with {delivery}',
      ),
    ];
  }
  const missing = missingNumber(pattern, draft, found);
  if (missing !== undefined) return [missing];
  const job = { issue: soundIssue(draft), number: draft.number, delivery: { naming: pattern } };
  const longest = Object.keys(deliverySuffixes) as (keyof typeof deliverySuffixes)[];
  const names = longest.map((kind) => deliveryName(job, highNumber, kind));
  const unfit = names.map(unportableName).find((why) => why !== undefined);
  if (unfit !== undefined) {
    return [found(`a delivery would get a name that cannot be kept everywhere: ${unfit}`, 'another pattern')];
  }
  const bytes = Math.max(...names.map((name) => Buffer.byteLength(name)));
  if (bytes <= longestNameBytes) return [];
  return [
    found(`a delivery would get a name of ${bytes} bytes`, `names of at most ${longestNameBytes} bytes`),
  ];
}

function zoneProblems({ delivery: { timeZone } }: Draft): FoundProblem[] {
  if (timeZone === undefined || isTimeZone(timeZone)) return [];
  const expected = 'a time zone such as Europe/Vienna, UTC, or hours from UTC such as "+01:00"';
  const message = `there is no time zone "${timeZone}"`;
  return [wrongValue(['delivery', 'timeZone'], message, expected, 'timeZone: Europe/Vienna')];
}
