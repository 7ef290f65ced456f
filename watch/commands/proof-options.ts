import { type Eyes, type Job, otherEyes, PlatehandError, type SeenAs } from '../../pipeline/index.js';

/** What the options of `proof` mean, and what came of them in words. */

/** A job whose proofs are the pages alone, whatever it says itself. */
export function withoutBoxes(job: Job): Job {
  const pages = job.pages.map((page) => ({ ...page, spec: { ...page.spec, proofBoxes: false } }));
  return { ...job, pages };
}

/**
 * Whose eyes `--seen-as` names.
 * @param words as they were typed, with commas; undefined where the option was not given
 * @throws PlatehandError `wrong-use` for a word that is none of the possible ones, or for none at all
 */
export function eyesNamed(words: string | undefined): readonly Eyes[] | undefined {
  if (words === undefined) return undefined;
  const named = words
    .split(',')
    .map((word) => word.trim().toLowerCase())
    .filter((word) => word !== '');
  const unknown = named.filter((word) => !isEyes(word));
  if (named.length > 0 && unknown.length === 0) return named.filter(isEyes);
  const quoted = unknown.map((word) => `"${word}"`).join(', ');
  const what = named.length === 0 ? '--seen-as names nobody' : `--seen-as does not know ${quoted}`;
  const remedy = `Possible are ${otherEyes.join(', ')}; several with commas, such as --seen-as grey,deuteranopia.`;
  throw new PlatehandError('wrong-use', what, remedy);
}

function isEyes(word: string): word is Eyes {
  return (otherEyes as readonly string[]).includes(word);
}

/** A line for each kind of eyes. */
export function seenText(seenAs: readonly SeenAs[] = []): string[] {
  return seenAs.map(({ eyes, pages, contactSheet }) => {
    const proofs = `${pages.length} ${pages.length === 1 ? 'proof' : 'proofs'}`;
    const sheet = contactSheet === undefined ? '' : `, and ${contactSheet}`;
    return `Seen as ${eyes}: ${proofs} in proofs/seen-as${sheet}`;
  });
}
