import type { IssuePage } from '../../config/job.js';
import { type Answer, doubtful, quoted, rename } from './answers.js';
import type { NameClaims } from './file-name.js';
import type { NameWords } from './name-words.js';
import { type NumberClaim, weighNumbers } from './page-numbers.js';
import { bareHalf, isHalfOf } from './spread-halves.js';
import { coverWords } from './trade-words.js';

/** Pages as a sentence lists them. */
const listed = (pages: Iterable<string>): string => [...pages].join(' and ');

function numberRule(claim: NumberClaim): string {
  const numbers = claim.numbers.length === 1 ? 'page number' : 'page numbers';
  if (claim.strength === 'page word') return `${numbers} after "${claim.word}"`;
  if (claim.strength === 'after the issue code') return `${numbers} after the issue code`;
  return `the only ${numbers} in the name`;
}

/** The setting for letters, with the letters that studios use; common practice, no published source. */
const lettersLine = 'say so in job.yaml: letters: { c: colour, k: line, l: lettering }';

/** Why numbers that are on no page by themselves fit none, or fit several. */
function whyNoPage(claim: NumberClaim, words: NameWords): Answer<string> {
  const numbers = claim.numbers.join('-');
  const spread = claim.numbers.length === 1 ? words.spreads.get(claim.numbers[0]) : undefined;
  if (spread !== undefined) {
    return {
      kind: 'certain',
      value: spread,
      rule: `${numberRule(claim)}, which is half of the spread ${spread}`,
    };
  }
  const singles = claim.numbers.flatMap((each) => [...(words.pageNumbers.get(String(each)) ?? [])]);
  if (claim.numbers.length > 1 && singles.length === claim.numbers.length) {
    const rule = `fits pages ${listed(singles)}, which the page list has as pages of their own`;
    return doubtful(rule, singles, 'Save a file for each page, or list the pages as a spread in job.yaml');
  }
  const advice = 'Rename it, or add the page to the page list in job.yaml';
  return doubtful(`page ${numbers} is not on the page list`, singles, advice);
}

function pageOfNumbers(claim: NumberClaim, words: NameWords): Answer<string> {
  const numbers = claim.numbers.join('-');
  const pages = [...(words.pageNumbers.get(numbers) ?? [])];
  if (claim.letter !== '') {
    const rule = `page ${numbers}${claim.letter} is not on the page list, and is not taken for ${numbers}`;
    return doubtful(rule, pages, `${rename}; where letters behind page numbers tell parts, ${lettersLine}`);
  }
  if (pages.length === 0) return whyNoPage(claim, words);
  if (pages.length > 1) return doubtful(`fits pages ${listed(pages)}`, pages);
  return { kind: 'certain', value: pages[0], rule: numberRule(claim) };
}

/** From here on a number behind the page is a resolution or a size, and tells neither a version nor another page. Own choice. */
const leastResolution = 72;

/** A number behind the page that nobody has explained, as in `p07_2`: a version, a second picture, or the page itself. */
function numberBehind(page: NumberClaim, { numbers }: NameClaims): NumberClaim | undefined {
  return numbers
    .slice(numbers.indexOf(page) + 1)
    .find(
      ({ strength, numbers: [first, second] }) =>
        strength === 'bare' &&
        second === undefined &&
        first < leastResolution &&
        !page.numbers.includes(first),
    );
}

function doubtBehind(page: NumberClaim, behind: NumberClaim, words: NameWords): Answer<string> {
  const [number] = behind.numbers;
  const pages = [page.numbers.join('-'), String(number)].flatMap((each) => [
    ...(words.pageNumbers.get(each) ?? []),
  ]);
  const rule = `the number ${number} behind page ${page.numbers.join('-')} may be a version, or its page`;
  return doubtful(rule, pages, `Write a version as v${number}, and one page number`);
}

/** The page by its numbers alone. */
function pageByNumber(claims: NameClaims, words: NameWords): Answer<string> {
  const verdict = weighNumbers(claims.numbers, words);
  if (verdict.kind === 'none') return { kind: 'silent' };
  if (verdict.kind === 'one') {
    const behind = numberBehind(verdict.claim, claims);
    return behind === undefined
      ? pageOfNumbers(verdict.claim, words)
      : doubtBehind(verdict.claim, behind, words);
  }
  const numbers = verdict.claims.map((claim) => claim.numbers.join('-'));
  const maybe = numbers.flatMap((each) => [...(words.pageNumbers.get(each) ?? [])]);
  return doubtful(`has several numbers that may be its page: ${listed(numbers)}`, maybe);
}

/** A word beside a page's name, left over by every other rule, that may make it the name of another page. */
function doubtBesideName(page: IssuePage | undefined, claims: NameClaims): string | undefined {
  if (page === undefined) return undefined;
  if (page.numbers.length === 0) {
    const variant = claims.offPrint.find(({ means }) => means === 'an alternative')?.written.toLowerCase();
    const word = variant ?? claims.leftOver.find((each) => coverWords.has(each));
    if (word !== undefined) return `the word "${word}" may tell another page than ${page.id}`;
    if (claims.letterAfterName !== '') {
      return `the letter "${claims.letterAfterName}" may tell another page than ${page.id}`;
    }
  }
  return undefined;
}

/** The page by its id or another of its names; a number in the same file name must tell the same page. */
function pageByName(claims: NameClaims, words: NameWords): Answer<string> {
  const pages = [...claims.pageNames.keys()];
  if (pages.length === 0) return { kind: 'silent' };
  if (pages.length > 1) {
    return doubtful(`fits pages ${listed(pages)} by ${quoted(new Set(claims.pageNames.values()))}`, pages);
  }
  const [page] = pages;
  const name = claims.pageNames.get(page) ?? page;
  const other = claims.numbers.find(
    (claim) =>
      !words.pageNumbers.get(claim.numbers.join('-'))?.has(page) && !isHalfOf(claim.numbers, page, words),
  );
  if (other !== undefined) {
    return doubtful(
      `"${name}" tells page ${page}, but the number ${other.numbers.join('-')} stands beside it`,
      [page, ...(words.pageNumbers.get(other.numbers.join('-')) ?? [])],
    );
  }
  const byLetter = lettersDoubt(page, words);
  if (byLetter !== undefined) return byLetter;
  const doubt = doubtBesideName(words.pages.get(page), claims);
  if (doubt !== undefined) return doubtful(doubt, [page]);
  return { kind: 'certain', value: page, rule: `the page name "${name}"` };
}

/** Page 7c of the list, where c is also a letter for colour and the list has a page 7. */
function lettersDoubt(page: string, words: NameWords): Answer<string> | undefined {
  const [, number, letter] = /^0*(\d+)([a-z])$/i.exec(page) ?? [];
  if (letter === undefined || !words.letters.has(letter.toLowerCase())) return undefined;
  const others = [...(words.pageNumbers.get(number) ?? [])];
  if (others.length === 0) return undefined;
  const what = words.letters.get(letter.toLowerCase());
  return doubtful(`fits page ${page}, and by its letter the ${what} of page ${listed(others)}`, [
    page,
    ...others,
  ]);
}

/** A name that speaks of a cover that the page list does not have belongs to none of its pages. */
function unlistedCover(covers: readonly string[]): Answer<never> {
  const rule = `belongs elsewhere: ${quoted(covers)} is a cover or wrapper that the page list does not have`;
  return doubtful(rule, [], 'Move it to its own issue, or add that page to the page list in job.yaml');
}

function pageInFileName(claims: NameClaims, words: NameWords): Answer<string> {
  if (claims.unlistedCovers.length > 0) return unlistedCover(claims.unlistedCovers);
  const named = pageByName(claims, words);
  const answer = named.kind === 'silent' ? pageByNumber(claims, words) : named;
  if (answer.kind !== 'certain' || words.pages.get(answer.value)?.numbers.length !== 2) return answer;
  const half = bareHalf(claims, answer.value, words);
  if (half === undefined) return answer;
  const rule = `the word "${half}" tells half of the spread ${answer.value}, but not which`;
  return doubtful(rule, [answer.value], 'Name it by its own page number, or left or right');
}

/** A folder tells a page only if it says nothing else and says it in so many words: `p07`, `cover`; never `2`. */
function pageInFolder(claims: NameClaims, words: NameWords): string | undefined {
  if (claims.leftOver.length > 0 || claims.offPrint.length > 0) return undefined;
  const isPlain = claims.numbers.every((claim) => claim.strength === 'page word');
  const answer = isPlain ? pageInFileName(claims, words) : undefined;
  return answer?.kind === 'certain' ? answer.value : undefined;
}

/** The page of a file: its own name decides, its folders may fill in where it is silent and must not contradict. */
export function pageOf(file: NameClaims, folders: readonly NameClaims[], words: NameWords): Answer<string> {
  const own = pageInFileName(file, words);
  if (own.kind === 'doubtful') return own;
  const strange = folders.find((folder) => folder.unlistedCovers.length > 0 && folder.leftOver.length === 0);
  if (strange !== undefined) return unlistedCover(strange.unlistedCovers);
  const inFolders = new Set<string>();
  for (const folder of folders) {
    const page = pageInFolder(folder, words);
    if (page !== undefined) inFolders.add(page);
  }
  const all = new Set(own.kind === 'certain' ? [own.value, ...inFolders] : inFolders);
  if (all.size > 1)
    return doubtful(`its name and its folders tell different pages: ${listed(all)}`, [...all]);
  if (own.kind === 'certain') return own;
  const [page] = all;
  if (page !== undefined) return { kind: 'certain', value: page, rule: 'the page that its folder names' };
  return { kind: 'silent' };
}
