import { pdfDictionary, pdfText, ref } from './notation.js';
import type { PdfFile } from './pdf-file.js';

/** Bookmarks of two levels, scenes and their pages, say: ISO 32000-1 section 12.3.3. They lead by place, not by action. */

/** A bookmark that leads to a page, with those below it. */
export interface Bookmark {
  readonly title: string;
  /** Place of its page in the file, from 0. */
  readonly page: number;
  readonly below: readonly { readonly title: string; readonly page: number }[];
}

/** How many objects they take: the list itself, and one each. */
export function outlineSize(bookmarks: readonly Bookmark[]): number {
  return 1 + bookmarks.length + bookmarks.reduce((sum, { below }) => sum + below.length, 0);
}

/**
 * The list and its items, which know their neighbours. All are shown open.
 * @param first number of the list's object; the items follow
 * @param idOf number of a page's object
 */
export function outlineObjects(
  file: PdfFile,
  first: number,
  bookmarks: readonly Bookmark[],
  idOf: (page: number) => number,
): Uint8Array[] {
  let next = first + 1;
  const numbered = bookmarks.map((bookmark) => {
    const id = next;
    next += 1 + bookmark.below.length;
    return { ...bookmark, id };
  });
  const ids = numbered.map(({ id }) => id);
  const count = outlineSize(bookmarks) - 1;
  const list = pdfDictionary({ Type: '/Outlines', ...ends(ids), Count: `${count}` });
  const written = [...file.object(first, list)];
  for (const [at, { id, below, ...own }] of numbered.entries()) {
    const inner = below.map((_, n) => id + 1 + n);
    const open = below.length === 0 ? {} : { ...ends(inner), Count: `${below.length}` };
    const place = { parent: first, before: ids[at - 1], behind: ids[at + 1] };
    written.push(...file.object(id, pdfDictionary({ ...item(own, place, idOf), ...open })));
    for (const [n, one] of below.entries()) {
      const place = { parent: id, before: inner[n - 1], behind: inner[n + 1] };
      written.push(...file.object(inner[n], pdfDictionary(item(one, place, idOf))));
    }
  }
  return written;
}

function ends(ids: readonly number[]): Readonly<Record<string, string>> {
  const last = ids.at(-1);
  return last === undefined ? {} : { First: ref(ids[0]), Last: ref(last) };
}

/** Numbers of the items around one. */
interface ItemPlace {
  readonly parent: number;
  readonly before: number | undefined;
  readonly behind: number | undefined;
}

function item(
  { title, page }: Pick<Bookmark, 'title' | 'page'>,
  { parent, before, behind }: ItemPlace,
  idOf: (page: number) => number,
): Readonly<Record<string, string | undefined>> {
  return {
    Title: pdfText(title),
    Parent: ref(parent),
    Prev: before === undefined ? undefined : ref(before),
    Next: behind === undefined ? undefined : ref(behind),
    Dest: `[${ref(idOf(page))} /Fit]`,
  };
}
