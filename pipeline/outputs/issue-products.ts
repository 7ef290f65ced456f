import { visibleLines } from '../../config/visible-text.js';
import type { StoryColours } from '../model/palette.js';
import type { ColourScriptRequest, SheetRequest } from '../model/sheet-request.js';
import { palettesCss, palettesCsv } from '../palette/palette-files.js';
import type { ReportData } from '../report/report-form.js';
import type { SwatchRequest } from './swatch-picture.js';

/** What is made of a whole issue, from the results of its pages: a row of `issueProducts`. */
export interface IssueProduct<Request> {
  /** Names what is remembered of it below `.platehand/`. */
  readonly name: string;
  /** Where it stands in the job folder, with forward slashes. */
  readonly path: string;
  /** Its path in a bundle; undefined for what does not go into one. */
  readonly bundlePath: string | undefined;
  /** Raised whenever the same request gives other bytes. */
  readonly revision: number;
  /** Makes the file. The request is all that it depends on: the same request, the same bytes. */
  make(request: Request): Promise<Uint8Array>;
}

/** All pages in reading order on one picture. */
const contactSheet: IssueProduct<SheetRequest> = {
  name: 'contact-sheet',
  path: 'proofs/contact-sheet.png',
  bundlePath: 'contact-sheet.png',
  revision: 1,
  async make(request) {
    // Loaded only when there is something to draw: the image library takes longer to start than an unchanged issue.
    const { sheetPicture } = await import('./sheet-picture.js');
    return sheetPicture(request);
  },
};

/** What was found on all pages, to be read in a browser; its pictures are the pages' views. */
const report: IssueProduct<ReportData> = {
  name: 'report',
  path: 'report/report.html',
  bundlePath: 'report/report.html',
  revision: 2,
  async make(data) {
    // Loaded only when there is something to write.
    const { reportPage } = await import('../report/report-page.js');
    return Buffer.from(reportPage(data));
  },
};

/** The same for programs; config/report.schema.json says what it holds. */
const reportJson: IssueProduct<ReportData> = {
  name: 'report-json',
  path: 'report/report.json',
  bundlePath: 'report/report.json',
  revision: 2,
  // As JSON writes them, characters that a terminal obeys stand for themselves.
  make: async (data) => Buffer.from(`${visibleLines(JSON.stringify(data, null, 1))}\n`),
};

/** Where swatches appear on pages: made at once from the pages' colours. */
const swatchTable: IssueProduct<string> = {
  name: 'swatch-table',
  path: 'palettes/swatches.csv',
  bundlePath: undefined,
  revision: 1,
  make: async (table) => Buffer.from(table),
};

/** The story's colour on one picture. */
const colourScript: IssueProduct<ColourScriptRequest> = {
  name: 'colour-script',
  path: 'palettes/colour-script.png',
  // A colourist's own: it says nothing to a printer.
  bundlePath: undefined,
  revision: 1,
  async make(request) {
    const { sheetPicture } = await import('./sheet-picture.js');
    return sheetPicture(request);
  },
};

/** Palettes of pages and scenes as a table, for other programs. */
const paletteTable: IssueProduct<StoryColours> = {
  name: 'palettes-csv',
  path: 'palettes/palettes.csv',
  bundlePath: undefined,
  revision: 1,
  make: async (story) => Buffer.from(palettesCsv(story)),
};

/** The same as custom properties of CSS. */
const paletteStyle: IssueProduct<StoryColours> = {
  name: 'palettes-css',
  path: 'palettes/palettes.css',
  bundlePath: undefined,
  revision: 1,
  make: async (story) => Buffer.from(palettesCss(story)),
};

/** All that is made of an issue; swatch sheets beside it, one a press condition. */
export const issueProducts = {
  ...{ contactSheet, report, reportJson },
  ...{ colourScript, paletteTable, paletteStyle, swatchTable },
} as const;

/** The issue's swatches as a press condition prints them. @param press id of the condition */
export function swatchSheetOf(press: string): IssueProduct<SwatchRequest> {
  return {
    name: `swatches_${press}`,
    path: `palettes/swatches_${press}.png`,
    bundlePath: undefined,
    revision: 1,
    async make(request) {
      // Loaded only when there is something to draw.
      const { swatchPicture } = await import('./swatch-picture.js');
      return (await swatchPicture(request)).png;
    },
  };
}
