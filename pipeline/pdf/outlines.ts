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
  const ends = (ids: readonly number[]) =>
    ids.length === 0 ? {} : { First: ref(ids[0]), Last: ref(ids[ids.length - 1]) };
  const item = (
    title: string,
    page: number,
    parent: number,
    [before, behind]: readonly [number | undefined, number | undefined],
  ) => ({
    Title: pdfText(title),
    Parent: ref(parent),
    Prev: before === undefined ? undefined : ref(before),
    Next: behind === undefined ? undefined : ref(behind),
    Dest: `[${ref(idOf(page))} /Fit]`,
  });
  const ids = numbered.map(({ id }) => id);
  const count = outlineSize(bookmarks) - 1;
  const list = pdfDictionary({ Type: '/Outlines', ...ends(ids), Count: `${count}` });
  return [
    ...file.object(first, list),
    ...numbered.flatMap(({ id, title, page, below }, at) => {
      const inner = below.map((_, n) => id + 1 + n);
      const open = below.length === 0 ? {} : { ...ends(inner), Count: `${below.length}` };
      return [
        ...file.object(
          id,
          pdfDictionary({ ...item(title, page, first, [ids[at - 1], ids[at + 1]]), ...open }),
        ),
        ...below.flatMap((one, n) =>
          file.object(inner[n], pdfDictionary(item(one.title, one.page, id, [inner[n - 1], inner[n + 1]]))),
        ),
      ];
    }),
  ];
}
