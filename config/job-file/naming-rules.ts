import { clashKey, isDeviceName, unportableName } from '../portable-name.js';
import type { Draft } from './job-draft.js';
import { closest, type FoundProblem, type JobPath, wrongValue } from './job-problem.js';
import { halvesOf, namingTokens, outputBaseName, tokensOf } from './naming.js';
import { type ListedPage, wordPattern } from './page-schema.js';
import { printDefaults } from './print-defaults.js';

/**
 * File systems take 255 bytes, whole paths on Windows 260 characters; folders, suffix and extension need some. Common
 * practice, no published source.
 */
export const longestNameBytes = 120;

/** Whether the naming pattern gives every page a name of its own that every system and every ZIP can hold. */
export function namingProblems(draft: Draft, listed: readonly ListedPage[]): FoundProblem[] {
  const unfitIssue = unportableName(soundIssue(draft));
  if (unfitIssue !== undefined) return [unfitIssueCode(unfitIssue)];
  const pattern = draft.print.naming ?? printDefaults.naming;
  const at: JobPath = draft.print.naming === undefined ? ['print'] : ['print', 'naming'];
  const found = (
    message: string,
    expected: string,
    example = `naming: "${printDefaults.naming}"`,
  ): FoundProblem => {
    return { at, on: 'value', message, expected, example };
  };
  const formProblem = patternProblem(pattern, namingTokens, found);
  if (formProblem !== undefined) return [formProblem];
  if (!pattern.includes('{page}')) {
    return [found('the pattern has no {page} in it, so all pages get one name', 'a pattern with {page}')];
  }
  const missing = missingNumber(pattern, draft, found);
  if (missing !== undefined) return [missing];
  const bare = listed.find((page) => page.entry.scene === undefined);
  if (pattern.includes('{scene}') && bare !== undefined) {
    return [
      found(
        `the pattern has {scene} in it, but page ${bare.id} has no scene`,
        'a scene for every page, or another pattern',
      ),
    ];
  }
  return nameProblems(pattern, draft, listed, found);
}

/** A pattern with the issue's number where the job has none; undefined for any other. */
export function missingNumber(
  pattern: string,
  draft: Draft,
  found: (message: string, expected: string, example: string) => FoundProblem,
): FoundProblem | undefined {
  if (!pattern.includes('{number}') || draft.number !== undefined) return undefined;
  const message = 'the pattern has {number} in it, but the job has no number';
  return found(message, 'a number, or a pattern without it', 'number: 3');
}

/** The issue code; a stand-in where its form is a mistake that is reported already. */
export function soundIssue({ issue }: Draft): string {
  return issue !== undefined && wordPattern.test(issue) ? issue : 'X';
}

/** Bundles bear the issue code. */
function unfitIssueCode(why: string): FoundProblem {
  const message = `the issue code cannot name a bundle: ${why}`;
  return wrongValue(['issue'], message, 'a code that every system can keep as a file name', 'issue: TDL03');
}

type Found = (message: string, expected: string, example?: string) => FoundProblem;

/** What is wrong with the form of a pattern: a token that it may not hold, or characters that file names cannot. */
export function patternProblem(
  pattern: string,
  tokens: readonly string[],
  found: Found,
): FoundProblem | undefined {
  const known = tokens.map((token) => `{${token}}`);
  const unknown = tokensOf(pattern).find((token) => !known.includes(token));
  if (unknown !== undefined) {
    const meant = closest(unknown, known);
    const hint = meant === undefined ? '' : ` (did you mean ${meant}?)`;
    return found(`${unknown} is not a token of naming patterns${hint}`, `one of ${known.join(' ')}`);
  }
  // RFC 8493, section 6.1.2, lists what Windows cannot hold; slashes would make folders.
  const odd = /[^\p{L}\p{M}\p{N} ._-]/u.exec(pattern.replace(/\{[^{}]*\}/g, ''));
  if (odd !== null)
    return found(
      `"${odd[0]}" cannot stand in file names everywhere`,
      'letters, digits, spaces, dots, hyphens, underscores',
    );
  if (/^[ .-]|[ .]$/.test(pattern)) {
    return found(
      'names cannot start with a space, dot or hyphen, nor end with a space or dot',
      'a pattern that starts and ends with a word',
    );
  }
  return undefined;
}

function nameProblems(
  pattern: string,
  draft: Draft,
  listed: readonly ListedPage[],
  found: Found,
): FoundProblem[] {
  const whole = listed.map((page) => ({ ...page, scene: page.entry.scene }));
  const pages = whole.flatMap((page) => [page, ...halvesOf(page)]);
  const job = { issue: soundIssue(draft), number: draft.number, naming: pattern, pages: whole };
  const owner = new Map<string, ListedPage>();
  for (const page of pages) {
    const name = outputBaseName(job, page);
    const other = owner.get(clashKey(name));
    if (other !== undefined && !isSamePage(other, page)) {
      const message = `pages ${other.id} and ${page.id} would both be called ${name}`;
      return [found(message, 'a pattern that keeps pages apart')];
    }
    if (isDeviceName(name)) {
      const message = `page ${page.id} would be called ${name}, which Windows keeps for itself`;
      return [found(message, 'a pattern with more than that')];
    }
    const unfit = unportableName(name);
    if (unfit !== undefined) {
      const message = `page ${page.id} would get a name that cannot be kept everywhere: ${unfit}`;
      return [
        found(message, 'a pattern of words with single spaces, dots, hyphens or underscores between them'),
      ];
    }
    const bytes = Buffer.byteLength(name);
    if (bytes > longestNameBytes) {
      const message = `page ${page.id} would get a name of ${bytes} bytes`;
      const expected = `names of at most ${longestNameBytes} bytes, of which letters beyond a to z take two to four`;
      return [found(message, expected)];
    }
    owner.set(clashKey(name), page);
  }
  return [];
}

/** The same page standing in the list twice is a mistake of its own, reported elsewhere. */
function isSamePage(one: ListedPage, other: ListedPage): boolean {
  return (
    clashKey(one.id) === clashKey(other.id) || one.numbers.some((number) => other.numbers.includes(number))
  );
}
