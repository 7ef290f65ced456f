import { pageHeight, pageWidth } from './ink/panels.js';
import type { Sheet } from './ink/sheet.js';
import { bookplateHeight, bookplateWidth, drawBookplate } from './pages/bookplate.js';
import { drawCover } from './pages/cover.js';
import { drawPage01 } from './pages/page-01.js';
import { drawPage02 } from './pages/page-02.js';
import { drawPage03 } from './pages/page-03.js';
import { drawPage04 } from './pages/page-04.js';
import { drawPage05 } from './pages/page-05.js';
import { drawSpread } from './pages/page-06-07.js';
import { drawPage08 } from './pages/page-08.js';
import { drawPage09 } from './pages/page-09.js';
import { drawPage10 } from './pages/page-10.js';
import { drawPage11 } from './pages/page-11.js';
import { drawPage12 } from './pages/page-12.js';
import { drawPage13 } from './pages/page-13.js';

/**
 * What of a page goes into a file: painted colour, flats, line, line with lettering burnt in, lettering, everything, in colour or grey, or a varnish
 * over letters.
 */
export type Content =
  | 'colour'
  | 'flats'
  | 'colour-16'
  | 'line'
  | 'lettered-line'
  | 'lettering'
  | 'flat'
  | 'grey'
  | 'layers'
  | 'varnish';

/** One file of incoming/, under the kind of name that files have in real life. */
export interface PageFile {
  readonly name: string;
  readonly content: Content;
}

/** One page of the sample: its size with bleed in page units, how it is drawn, and the files it comes in. */
export interface SamplePage {
  readonly id: string;
  readonly width: number;
  readonly height: number;
  readonly draw: (sheet: Sheet) => void;
  readonly files: readonly PageFile[];
}

function page(
  id: string,
  draw: (sheet: Sheet) => void,
  files: Readonly<Record<string, Content>>,
): SamplePage {
  return { id, width: pageWidth, height: pageHeight, draw, files: fileList(files) };
}

function fileList(files: Readonly<Record<string, Content>>): PageFile[] {
  return Object.entries(files).map(([name, content]) => ({ name, content }));
}

/** Trim is cut from the middle of a spread once, not twice: 2 x 6.625 in and the bleed of its outer edges. */
const spreadWidth = 1350;

/** All pages in the order in which they are drawn: the slow ones first, so that both cores end together. */
export const samplePages: readonly SamplePage[] = [
  {
    id: '6-7',
    width: spreadWidth,
    height: pageHeight,
    draw: drawSpread,
    files: fileList({
      'brl-03 pg 06-07 colour.tif': 'colour',
      'brl-03 pg 06-07 inks.tif': 'lettered-line',
    }),
  },
  page('cover', drawCover, { 'BRL03_cover_r3.ora': 'layers', 'BRL03_cover_varnish.tif': 'varnish' }),
  page('9', drawPage09, { 'BRL03_p9.ora': 'layers' }),
  page('11', drawPage11, { 'BRL03_p11_v3.ora': 'layers' }),
  page('5', drawPage05, { 'BRL03 05 colour.tif': 'colour-16', 'BRL03 05 inks.tif': 'lettered-line' }),
  page('12', drawPage12, { 'BRL03 page 12 painting.png': 'flat' }),
  page('4', drawPage04, { '04 final FINAL.png': 'flat' }),
  page('1', drawPage01, { 'BRL03_p01_colour.tif': 'colour', 'BRL03_p01_line.tif': 'lettered-line' }),
  page('2', drawPage02, {
    'BRL03_p02_line_v1.tif': 'line',
    'BRL03_p02_line_v2.tif': 'lettered-line',
    'BRL03_p02_colour_v2.tif': 'colour',
  }),
  page('3', drawPage03, { 'Brl-03 Pg 3 COLOR.TIF': 'colour', 'brl-03 pg 3 inks.tif': 'lettered-line' }),
  page('8', drawPage08, {
    'BRL03_p08_colour.tif': 'colour',
    'BRL03_p08_line.tif': 'line',
    'BRL03_p08_lettering.png': 'lettering',
  }),
  page('10', drawPage10, { 'BRL03-p10-colour.jpg': 'colour', 'BRL03-p10-line.tif': 'lettered-line' }),
  page('13', drawPage13, { 'BRL03 p13 v2.png': 'grey' }),
  {
    id: 'bookplate',
    width: bookplateWidth,
    height: bookplateHeight,
    draw: drawBookplate,
    files: fileList({ 'bookplate_v2.png': 'flat' }),
  },
];
