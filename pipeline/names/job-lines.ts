import { writtenPart } from '../../config/extra-ink.js';
import type { FilePart } from '../../config/job.js';
import { orList } from './answers.js';
import type { OpenPlace } from './name-reading.js';
import type { NameWords } from './name-words.js';

/** The lines of job.yaml that settle what a name leaves open. */

/** Ids that YAML reads as they stand; others, such as 007 or true, need quotes to stay text. */
const plainId = /^(?:[1-9]\d{0,3}(?:-[1-9]\d{0,3})?|(?!(?:true|false|null|yes|no|on|off|y|n)$)[a-z][a-z-]*)$/;

/** A page id as YAML: plain where that is safe, quoted otherwise. */
function yamlId(page: string): string {
  return plainId.test(page) ? page : JSON.stringify(page);
}

/** The line of job.yaml that says what a file is; JSON's quoted text is YAML's too. */
export function pageLine(name: string, page: string, part: FilePart): string {
  return `names: { ${JSON.stringify(name.normalize('NFC'))}: { page: ${yamlId(page)}, part: ${writtenPart(part)} } }`;
}

/** The line of job.yaml that sets a file aside. */
export function ignoreLine(name: string): string {
  return `names: { ${JSON.stringify(name.normalize('NFC'))}: ignore }`;
}

/** Stands where somebody has to fill something in: job.yaml is refused while it is there, so no wrong page is copied. */
const blank = '___';

/** Page ids in short: runs of single pages as `1 to 11`. */
function pagesInShort(words: NameWords): string {
  const runs: { first: string; last: string; next: number | undefined }[] = [];
  for (const { id, numbers } of words.pages.values()) {
    const single = numbers.length === 1 ? numbers[0] : undefined;
    const run = runs.at(-1);
    if (run !== undefined && single !== undefined && run.next === single) {
      run.last = id;
      run.next = single + 1;
    } else runs.push({ first: id, last: id, next: single === undefined ? undefined : single + 1 });
  }
  return orList(runs.map(({ first, last }) => (first === last ? first : `${first} to ${last}`)));
}

/**
 * The line of job.yaml for a file whose page or part is open: what is certain stands there, what is not is a blank, and a
 * comment behind it names the candidates.
 */
export function openLine(name: string, open: OpenPlace, words: NameWords): string {
  const page = open.page === undefined ? blank : yamlId(open.page);
  const line = `names: { ${JSON.stringify(name.normalize('NFC'))}: { page: ${page}, part: ${open.part === undefined ? blank : writtenPart(open.part)} } }`;
  const pages = open.pages.length === 0 ? pagesInShort(words) : orList([...new Set(open.pages)]);
  const choices = [
    ...(open.page === undefined ? [`page: ${pages}`] : []),
    ...(open.part === undefined ? [`part: ${orList(open.parts.map(writtenPart))}`] : []),
  ];
  return choices.length === 0 ? line : `${line}  # ${choices.join('; ')}`;
}
