import type { FilePart } from '../../config/job.js';
import { type Answer, doubtful, orList, quoted } from './answers.js';
import type { NameClaims } from './file-name.js';

/** Part and version of a file, by the words of its name and its folders. */

/** What a file can be, in the order in which a page's files are listed. */
export const anyPart: readonly FilePart[] = ['whole', 'colour', 'line', 'lettering', 'flats'];

/** The parts that one name or its folders tell, doubtful words beside others settled: `tinta line` is line. */
function partsTold(names: readonly NameClaims[]) {
  const told = new Map<FilePart, string>(names.flatMap((claims) => [...claims.parts]));
  const open = names
    .flatMap(({ doubtful }) => doubtful)
    .filter(({ means }) => !means.some((part) => told.has(part)));
  // Beside a part that is told it is the title: `p07 noir colour`.
  const lone = told.size === 0 ? names.flatMap((claims) => claims.names) : [];
  return { told, open: [...open, ...lone] };
}

/** What to do about a word that may tell several parts, or be the title. */
function wordAdvice(names: readonly NameClaims[], written: string): string {
  const isName = names.some((claims) => claims.names.some((word) => word.written === written));
  const once = `; or once for all files in job.yaml, where it is the title or a scene: ignoreWords: [${written.toLowerCase()}]`;
  return `Say it in another word${isName ? once : ''}`;
}

const advisedWord = 'Leave one part word in its name';

/** The part of a file: by its own words, else by its folders'; two different parts are never settled by guessing. */
export function partOf(file: NameClaims, folders: readonly NameClaims[]): Answer<FilePart> {
  const own = partsTold([file]);
  const inFolders = partsTold(folders);
  const isOwn = own.told.size > 0 || own.open.length > 0;
  const { told, open } = isOwn ? own : inFolders;
  if (told.size + (open.length > 0 ? 1 : 0) > 1) {
    const written = [...told.values(), ...open.map((word) => word.written)];
    return doubtful(`has words of several parts: ${quoted(written)}`, [], advisedWord);
  }
  if (open.length > 0) {
    const [{ means, written }] = open;
    const rule = `"${written}" may tell ${orList(means)}`;
    return { ...doubtful(rule, [], wordAdvice(isOwn ? [file] : folders, written)), parts: means };
  }
  const [found] = told;
  if (found === undefined)
    return { kind: 'certain', value: 'whole', rule: 'no part named, so the whole page' };
  const [part, word] = found;
  if (isOwn && inFolders.told.size > 0 && !inFolders.told.has(part)) {
    const rule = `its name says "${word}", its folder says ${quoted(inFolders.told.values())}`;
    return doubtful(rule, [], 'Move it to the folder of its part');
  }
  return { kind: 'certain', value: part, rule: `${part} from ${isOwn ? '' : 'the folder '}"${word}"` };
}

/** The version of a file: the mark in its name, else the one in its folders' names. */
export function versionOf(file: NameClaims, folders: readonly NameClaims[]): Answer<number | undefined> {
  const own = file.versions.length > 0;
  const marks = own ? file.versions : folders.flatMap((folder) => folder.versions);
  const distinct = new Map(marks.map((mark) => [mark.version, mark.written]));
  const advice = 'Give it one version such as v3';
  if (distinct.size > 1) return doubtful(`has several versions: ${quoted(distinct.values())}`, [], advice);
  const [first] = marks;
  if (first === undefined) return { kind: 'silent' };
  if (first.version === undefined) {
    return doubtful(`the version "${first.written}" cannot be put in order`, [], advice);
  }
  return {
    kind: 'certain',
    value: first.version,
    rule: `version from ${own ? '' : 'the folder '}"${first.written}"`,
  };
}
