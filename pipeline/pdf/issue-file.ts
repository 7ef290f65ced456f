import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import type { PdfForm } from '../../config/print-spec.js';
import { infoDictionary, type PdfAbout, pdfVersions, xmpPacket } from './metadata.js';
import { pdfDictionary, pdfText, ref } from './notation.js';
import { firstOwn, pageObject } from './page-file.js';
import { type ReadObject, type ReadPage, readPagePdf } from './page-reader.js';
import { PdfFile } from './pdf-file.js';

/**
 * Many pages in one file, from the files of the pages: their streams are copied as they are, a piece at a time, so that an issue of
 * any length takes the memory of a piece. All its pages are of one printing condition: a PDF/X file can name no second one.
 */

/** A page of the issue. */
export interface IssuePdfPage {
  /** Its own PDF. */
  readonly path: string;
  /** How readers call it: `7`, `cover`, `12-13`. */
  readonly label: string;
  /** The title of its scene; undefined for a page in none. */
  readonly scene: string | undefined;
}

/** What the file is to hold. */
export interface IssuePdf {
  readonly form: PdfForm;
  readonly title: string;
  /** In reading order, one at least; all of one press condition and one form. */
  readonly pages: readonly IssuePdfPage[];
}

/** Read and written at a time. */
const pieceBytes = 1024 * 1024;

/**
 * The file, piece by piece. The same pages, labels and titles give the same bytes.
 * @param path of the file, as errors name it
 * @throws PlatehandError `pdf-unreadable` where a page's file is not as it was written, `pdf-too-large`
 */
export async function* issuePdf(issue: IssuePdf, path: string): AsyncGenerator<Uint8Array> {
  const pages: ReadPage[] = [];
  for (const page of issue.pages) pages.push(await readPagePdf(page.path));
  const about = aboutOf(issue, pages);
  const bookmarks = bookmarksOf(issue);
  // Where a page's own file has its page.
  const outlines = pageObject.page;
  // The outlines and their bookmarks, then page after page: itself, and what it alone needs.
  let next = firstOwn + bookmarks.length;
  const numbered = pages.map((page) => {
    const id = next;
    next += 1 + page.own.length;
    return { page, id };
  });
  const ids = numbered.map(({ id }) => id);
  const file = new PdfFile(path);
  yield* file.header(pdfVersions[issue.form]);
  yield* file.object(pageObject.catalog, catalogOf(issue, outlines));
  const kids = ids.map(ref).join(' ');
  yield* file.object(
    pageObject.pages,
    pdfDictionary({ Type: '/Pages', Count: `${ids.length}`, Kids: `[${kids}]` }),
  );
  yield* file.object(pageObject.info, infoDictionary(about));
  yield* file.stream(pageObject.metadata, { Type: '/Metadata', Subtype: '/XML' }, [xmpPacket(about)]);
  yield* copied(file, pageObject.intent, pages[0].intent, pages[0], (id) => id);
  yield* copied(file, pageObject.profile, pages[0].profile, pages[0], (id) => id);
  yield* outlineObjects(file, outlines, bookmarks, ids);
  for (const { page, id } of numbered) yield* pageObjects(file, page, id);
  yield* file.end({ root: pageObject.catalog, info: pageObject.info, identity: about.identity });
}

function aboutOf({ form, title, pages }: IssuePdf, read: readonly ReadPage[]): PdfAbout {
  const said = pages.map(({ label, scene }, at) => [read[at].identity, label, scene]);
  const identity = createHash('sha256').update(JSON.stringify({ form, title, said })).digest('hex');
  return {
    form,
    title,
    day: read
      .map(({ day }) => day)
      .sort()
      .at(-1),
    identity,
  };
}

function catalogOf({ pages }: IssuePdf, outlines: number): string {
  const labels = pages.map(({ label }, at) => `${at} << /P ${pdfText(label)} >>`);
  return pdfDictionary({
    Type: '/Catalog',
    Pages: ref(pageObject.pages),
    PageLabels: `<< /Nums [${labels.join(' ')}] >>`,
    Outlines: ref(outlines),
    PageMode: '/UseOutlines',
    Metadata: ref(pageObject.metadata),
    OutputIntents: `[${ref(pageObject.intent)}]`,
  });
}

/** A bookmark, and the place of its page. */
interface Bookmark {
  readonly title: string;
  readonly page: number;
}

/** One for each scene where it begins, and one for each page in none. */
function bookmarksOf({ pages }: IssuePdf): Bookmark[] {
  return pages.flatMap(({ label, scene }, page) => {
    if (scene === undefined) return [{ title: label, page }];
    return page > 0 && pages[page - 1].scene === scene ? [] : [{ title: scene, page }];
  });
}

/** ISO 32000-1 section 12.3.3: a list of items that know their neighbours. They lead by place, not by action. */
function outlineObjects(
  file: PdfFile,
  outlines: number,
  bookmarks: readonly Bookmark[],
  pageIds: readonly number[],
): Uint8Array[] {
  const first = firstOwn;
  const last = firstOwn + bookmarks.length - 1;
  const list = { Type: '/Outlines', First: ref(first), Last: ref(last), Count: `${bookmarks.length}` };
  // Written in this order: where an object begins is counted as it is written.
  return [
    ...file.object(outlines, pdfDictionary(list)),
    ...bookmarks.flatMap(({ title, page }, at) => {
      const id = first + at;
      const item = pdfDictionary({
        Title: pdfText(title),
        Parent: ref(outlines),
        Prev: id > first ? ref(id - 1) : undefined,
        Next: id < last ? ref(id + 1) : undefined,
        Dest: `[${ref(pageIds[page])} /Fit]`,
      });
      return file.object(id, item);
    }),
  ];
}

async function* pageObjects(file: PdfFile, page: ReadPage, id: number): AsyncGenerator<Uint8Array> {
  // Numbers that every file of ours has for the same thing stay; the page's own follow the page.
  const renumbered = (old: number) => (old < firstOwn ? old : id + 1 + old - firstOwn);
  yield* copied(file, id, page.page, page, renumbered);
  for (const [at, one] of page.own.entries()) yield* copied(file, id + 1 + at, one, page, renumbered);
}

async function* copied(
  file: PdfFile,
  id: number,
  { content, stream }: ReadObject,
  { path }: ReadPage,
  renumbered: (id: number) => number,
): AsyncGenerator<Uint8Array> {
  const text = content.replace(/\b(\d+) 0 R\b/g, (_, old: string) => ref(renumbered(Number(old))));
  if (stream === undefined) {
    yield* file.object(id, text);
    return;
  }
  yield* file.streamHead(id, text);
  const { from, length } = stream;
  const bytes = createReadStream(path, { start: from, end: from + length - 1, highWaterMark: pieceBytes });
  for await (const piece of bytes) yield* file.streamPart([piece as Buffer]);
  yield* file.streamEnd();
}
