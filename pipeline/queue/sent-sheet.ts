import type { ColourScriptRequest, RequestedSheetPage, SheetRequest } from '../model/sheet-request.js';
import { contentKey } from '../page/page-key.js';
import type { FileHash } from '../reading/hash-file.js';

/** Pictures of a whole issue on their way between machines: thumbnails by their content, for a path of one machine says nothing on another. */

/** A page of a contact sheet without paths. */
export type SentSheetPage = Omit<RequestedSheetPage, 'thumbnail'> & {
  /** Its small picture by its content; undefined shows a blank. */
  readonly thumbnail?: FileHash | undefined;
};

/** A contact sheet without paths. */
export type SentContactSheet = Omit<SheetRequest, 'pages'> & {
  /** In reading order. */
  readonly pages: readonly SentSheetPage[];
};

/** A picture of the whole issue without paths; a colour script has none. */
export type SentSheet = SentContactSheet | ColourScriptRequest;

/** Whether it is a colour script, and no contact sheet. */
export function isColourScript<T extends object>(
  sheet: T | ColourScriptRequest,
): sheet is ColourScriptRequest {
  return 'kind' in sheet && sheet.kind === 'colour-script';
}

/** A picture as it is put on the queue. @param thumbnails by path */
export function sentSheet(
  sheet: SheetRequest | ColourScriptRequest,
  thumbnails: ReadonlyMap<string, FileHash>,
): SentSheet {
  if (isColourScript(sheet)) return sheet;
  const sentPage = ({ thumbnail, ...page }: RequestedSheetPage): SentSheetPage => {
    return { ...page, thumbnail: thumbnail && thumbnails.get(thumbnail.path) };
  };
  return { ...sheet, pages: sheet.pages.map(sentPage) };
}

/** What a picture is drawn from. */
export function thumbnailsOf(sheet: SentSheet): readonly FileHash[] {
  if (isColourScript(sheet)) return [];
  return sheet.pages.flatMap(({ thumbnail }) => (thumbnail === undefined ? [] : [thumbnail]));
}

/** A sent picture as it is drawn on this machine. @param paths of thumbnails, by their checksums */
export function sheetHere(
  sheet: SentSheet,
  paths: ReadonlyMap<string, string>,
): SheetRequest | ColourScriptRequest {
  if (isColourScript(sheet)) return sheet;
  const pageHere = ({ thumbnail, ...page }: SentSheetPage): RequestedSheetPage => {
    const path = thumbnail && paths.get(thumbnail.sha256);
    return {
      ...page,
      thumbnail: path === undefined ? undefined : { sha256: thumbnail?.sha256 ?? '', path },
    };
  };
  return { ...sheet, pages: sheet.pages.map(pageHere) };
}

/** Names a drawing by all that it shows: the same asked for twice is one. */
export function sheetJobId(sheet: SentSheet): string {
  return `${contentKey(sheet)}-sheet`;
}
