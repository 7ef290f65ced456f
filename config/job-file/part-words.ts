import { inkPart } from '../extra-ink.js';
import { type FilePart, type Part, type PartWords, parts } from '../job.js';
import { flatWords } from '../words/language.js';
import { together } from '../words/word-tables.js';

/** Spellings that names do not tell apart: `à plat` and `aplat`. */
const spelling = (word: string): string =>
  word
    .normalize('NFD')
    .replace(/[\u0300-\u036f]/g, '')
    .replace(/[^\p{L}\p{M}\p{N}]/gu, '');

/** Each word that tells a part in some language to all parts that it tells in any. */
function partsByWord(): Map<string, Set<Part>> {
  const found = new Map<string, Set<Part>>();
  for (const part of parts) {
    for (const word of together((words) => words.parts[part])) {
      const key = spelling(word);
      found.set(key, (found.get(key) ?? new Set()).add(part));
    }
  }
  return found;
}

const told = partsByWord();

/**
 * Words in file and layer names that tell a part, lower case, of every language in config/words, less those that mean two
 * parts; the `parts` section of job.yaml adds to them. `flats` are work in progress and never printed.
 */
export const builtInPartWords: Readonly<Record<Part, readonly string[]>> = {
  colour: plainWords('colour'),
  line: plainWords('line'),
  lettering: plainWords('lettering'),
  flats: plainWords('flats'),
};

function plainWords(part: Part): string[] {
  return together((words) => words.parts[part]).filter((word) => told.get(spelling(word))?.size === 1);
}

/**
 * Words that may tell several things: `flat` is flat fills or a flattened page, `tinta` the ink of Spanish and
 * Portuguese pages and the colour of Italian ones. A job that lists one under `parts:` says which.
 */
export const doubtfulPartWords: ReadonlyMap<string, readonly FilePart[]> = new Map<
  string,
  readonly FilePart[]
>([
  ...flatWords.map((word) => [word, ['flats', 'whole']] as const),
  ...[...told].flatMap(([word, meant]) => (meant.size > 1 ? [[word, [...meant]] as const] : [])),
]);

/**
 * The built-in words and the job's own, without repeats.
 * @param inks extra inks, each with its words; without any its id is its word
 */
export function partWordsWith(
  extra: Partial<Record<Part, readonly string[] | undefined>>,
  inks: readonly { readonly id: string; readonly words?: readonly string[] | undefined }[] = [],
): PartWords {
  const ofInks = inks.map(({ id, words = [id] }) => [inkPart(id), words.map((word) => word.toLowerCase())]);
  const words = { ...builtInPartWords, ...Object.fromEntries(ofInks) };
  for (const part of parts) {
    const own = (extra[part] ?? []).map((word) => word.toLowerCase());
    words[part] = [...new Set([...builtInPartWords[part], ...own])];
  }
  return words;
}
