import { type Part, parts } from '../job.js';
import { partWordsOfAll } from '../words/word-tables.js';

/**
 * Words in file and layer names that tell a part, lower case, of every language in config/words; the `parts` section of
 * job.yaml adds to them. `flats` are work in progress and never printed.
 */
export const builtInPartWords: Readonly<Record<Part, readonly string[]>> = partWordsOfAll;

/** The built-in words and the job's own, without repeats. */
export function partWordsWith(
  extra: Partial<Record<Part, readonly string[] | undefined>>,
): Record<Part, readonly string[]> {
  const words = { ...builtInPartWords };
  for (const part of parts) {
    const own = (extra[part] ?? []).map((word) => word.toLowerCase());
    words[part] = [...new Set([...builtInPartWords[part], ...own])];
  }
  return words;
}
