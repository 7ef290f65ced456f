import type { FilePart } from '../../config/job.js';

/** Ids that YAML reads as they stand; others, such as 007 or true, need quotes to stay text. */
const plainId = /^(?:[1-9]\d{0,3}(?:-[1-9]\d{0,3})?|(?!(?:true|false|null|yes|no|on|off|y|n)$)[a-z][a-z-]*)$/;

/** A page id as YAML: plain where that is safe, quoted otherwise. */
function yamlId(page: string): string {
  return plainId.test(page) ? page : JSON.stringify(page);
}

/** The line of job.yaml that says what a file is; JSON's quoted text is YAML's too. */
export function pageLine(name: string, page: string, part: FilePart): string {
  return `names: { ${JSON.stringify(name.normalize('NFC'))}: { page: ${yamlId(page)}, part: ${part} } }`;
}

/** The line of job.yaml that sets a file aside. */
export function ignoreLine(name: string): string {
  return `names: { ${JSON.stringify(name.normalize('NFC'))}: ignore }`;
}
