import type { Draft } from './job-draft.js';
import { closest, type FoundProblem, fold, type JobPath } from './job-problem.js';
import { namingTokens, outputBaseName, tokensOf } from './naming.js';
import type { ListedPage } from './page-list.js';
import { printDefaults } from './print-defaults.js';

/** Names that Windows keeps for devices, with any extension: RFC 8493, section 6.1.2. */
const deviceName = /^(con|prn|aux|nul|com[1-9]|lpt[1-9])(\.|$)/i;

/** File systems take 255 bytes; suffix and extension need some. Common practice, no published source. */
const longestName = 120;

/** Whether the naming pattern gives every page a name of its own that every system and every ZIP can hold. */
export function namingProblems(draft: Draft, listed: readonly ListedPage[]): FoundProblem[] {
  const pattern = draft.print.naming ?? printDefaults.naming;
  const at: JobPath = draft.print.naming === undefined ? ['print'] : ['print', 'naming'];
  const found = (
    message: string,
    expected: string,
    example = `naming: "${printDefaults.naming}"`,
  ): FoundProblem => {
    return { at, on: 'value', message, expected, example };
  };
  const formProblem = patternProblem(pattern, found);
  if (formProblem !== undefined) return [formProblem];
  if (pattern.includes('{number}') && draft.number === undefined) {
    return [
      found(
        'the pattern has {number} in it, but the job has no number',
        'a number, or a pattern without it',
        'number: 3',
      ),
    ];
  }
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

type Found = (message: string, expected: string, example?: string) => FoundProblem;

function patternProblem(pattern: string, found: Found): FoundProblem | undefined {
  const known = namingTokens.map((token) => `{${token}}`);
  const unknown = tokensOf(pattern).find((token) => !known.includes(token));
  if (unknown !== undefined) {
    const meant = closest(unknown, known);
    const hint = meant === undefined ? '' : ` (did you mean ${meant}?)`;
    return found(`${unknown} is not a token of naming patterns${hint}`, `one of ${known.join(' ')}`);
  }
  if (!pattern.includes('{page}'))
    return found('the pattern has no {page} in it, so all pages get one name', 'a pattern with {page}');
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
  const pages = listed.map((page) => ({ ...page, scene: page.entry.scene }));
  const job = { issue: draft.issue ?? 'X', number: draft.number, naming: pattern, pages };
  const owner = new Map<string, ListedPage>();
  for (const page of pages) {
    const name = outputBaseName(job, page);
    const other = owner.get(fold(name));
    if (other !== undefined && !isSamePage(other, page)) {
      const message = `pages ${other.id} and ${page.id} would both be called ${name}`;
      return [found(message, 'a pattern that keeps pages apart')];
    }
    if (deviceName.test(name)) {
      const message = `page ${page.id} would be called ${name}, which Windows keeps for itself`;
      return [found(message, 'a pattern with more than that')];
    }
    if (name.length > longestName) {
      const message = `page ${page.id} would get a name of ${name.length} characters`;
      return [found(message, `names of at most ${longestName}`)];
    }
    owner.set(fold(name), page);
  }
  return [];
}

/** The same page standing in the list twice is a mistake of its own, reported elsewhere. */
function isSamePage(one: ListedPage, other: ListedPage): boolean {
  return fold(one.id) === fold(other.id) || one.numbers.some((number) => other.numbers.includes(number));
}
