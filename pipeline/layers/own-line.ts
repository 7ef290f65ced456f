import type { Part } from '../../config/job.js';
import type { Noticed } from '../model/findings.js';
import type { Layer, LayerGroup } from '../model/working-page.js';

/** Layers that bring line of their own, where the page has a line file besides: the file takes their place. */

export type Entry = Layer | LayerGroup;

/** Takes a file's own line layers out and says where the topmost of them was among the root's children. */
export function withoutLine(entries: readonly Entry[], partOf: (name: string) => Part | undefined) {
  let at = -1;
  const kept: Entry[] = [];
  for (const entry of entries) {
    const rest = dropLine(entry, partOf);
    if (rest !== entry && at < 0) at = kept.length;
    if (rest !== undefined) kept.push(rest);
  }
  return { entries: kept, at, removed: at >= 0 };
}

function dropLine(entry: Entry, partOf: (name: string) => Part | undefined): Entry | undefined {
  if (partOf(entry.name) === 'line') return undefined;
  if (entry.kind === 'layer') return entry;
  const children = entry.children.map((child) => dropLine(child, partOf));
  if (children.every((child, i) => child === entry.children[i])) return entry;
  return { ...entry, children: children.filter((child) => child !== undefined) };
}

/** Puts the line where its own layers were, or right beneath the lettering. */
export function insert(
  entries: readonly Entry[],
  line: Entry,
  at: number,
  partOf: (name: string) => Part | undefined,
): Entry[] {
  let index = at;
  if (index < 0) index = entries.findLastIndex((entry) => partOf(entry.name) === 'lettering') + 1;
  return [...entries.slice(0, index), line, ...entries.slice(index)];
}

/** That a page brings its line twice. */
export function lineTwice(): Noticed {
  return {
    code: 'line-twice',
    severity: 'warn',
    message: 'The page has a line file and line layers of its own; the file is used, the layers are left out',
    remedy:
      'Keep one of the two: drop the layered page without its inks, or put the line file on `names: ignore`.',
  };
}
