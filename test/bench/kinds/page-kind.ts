import { join } from 'node:path';

/**
 * Kinds of pages for measuring: `pairs` are colour and line apart, `flat` one picture with the line in it, `lettering` colour,
 * line and lettering apart, all others layers (layer-stacks.ts says which).
 */
export const pageKinds = ['pairs', 'layers6', 'layers12', 'sparse6', 'groups6', 'flat', 'lettering'] as const;
export type PageKind = (typeof pageKinds)[number];

/** Kinds of which a page is one OpenRaster file. */
export type LayeredKind = 'layers6' | 'layers12' | 'sparse6' | 'groups6';

export function isLayered(kind: PageKind): kind is LayeredKind {
  return kind !== 'pairs' && kind !== 'flat' && kind !== 'lettering';
}

/** @throws Error for a word that is no kind */
export function pageKindOf(word: string): PageKind {
  const kind = pageKinds.find((one) => one === word);
  if (kind === undefined) throw new Error(`--kind ${word}: expected one of ${pageKinds.join(', ')}`);
  return kind;
}

/** Ends of the names of a page's files, in the order in which scripts take them. */
function suffixesOf(kind: PageKind): readonly string[] {
  if (kind === 'pairs') return ['_colour.tif', '_line.tif'];
  if (kind === 'lettering') return ['_colour.tif', '_line.tif', '_lettering.png'];
  return kind === 'flat' ? ['.tif'] : ['.ora'];
}

/** Paths of the files of one page in a job folder. */
export function pageFiles(folder: string, kind: PageKind, page: number): string[] {
  const start = join(folder, 'incoming', `BEN01_p${String(page).padStart(2, '0')}`);
  return suffixesOf(kind).map((suffix) => `${start}${suffix}`);
}

/** The list of composites that a script needs for a layered page; recipe.ts says how it reads. */
export function recipePath(folder: string, page: number): string {
  return join(folder, 'recipes', `p${String(page).padStart(2, '0')}.txt`);
}
