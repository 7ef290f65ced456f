import type { Raster } from '../model/raster.js';
import type { SheetChange } from '../model/sheet-request.js';
import { box, fill, ground, line, type PxBox, text } from './drawing.js';
import { textWidth } from './type.js';

/** What a review round's sheet shows beside the pages: grey for what an editor has seen before, a frame and a word for what is new. */

/** A page with what became of it. */
export interface ChangedPage {
  readonly page: { readonly change?: SheetChange | undefined };
  /** Where its picture lies; undefined where a labelled blank stands for it. */
  readonly picture: PxBox | undefined;
}

/** How much of an unchanged page is left beside the sheet's grey. Own choice: it can still be told which page it is. */
const leftOfUnchanged = 0.4;
/** Shares of red, green and blue in lightness (Rec. ITU-R BT.709). */
const lightness = [0.2126, 0.7152, 0.0722] as const;

/** Colour of frames: read on light pages and on dark ones, for it stands on white. */
const markColour = '#a3115c';

/** A page without colour, faded into the sheet. @param page rgb, 8 bit */
export function greyed(page: Raster): Raster {
  const { data } = page;
  const grey = new Uint8Array(data.length);
  const [red, green, blue] = lightness;
  for (let i = 0; i < data.length; i += 3) {
    const light = red * data[i] + green * data[i + 1] + blue * data[i + 2];
    grey.fill(Math.round(leftOfUnchanged * light + (1 - leftOfUnchanged) * ground.sheet), i, i + 3);
  }
  return { ...page, data: grey };
}

/** A frame around a page that is new or changed, with the word in its corner. */
export function drawChange({ page: { change }, picture }: ChangedPage, unit: number): string {
  if (change === undefined || change === 'unchanged' || picture === undefined) return '';
  const { left, top, width, height } = picture;
  const thick = Math.max(2, 3 * unit);
  const inset = thick / 2;
  const frame = box(left + inset, top + inset, width - thick, height - thick);
  const look = { sizePx: 13 * unit, bold: true, fill: '#ffffff' };
  const tag = box(left, top, textWidth(change, look) + 14 * unit, 20 * unit);
  return [
    line(box(left + thick, top + thick, width - 2 * thick, height - 2 * thick), {
      stroke: '#ffffff',
      width: 2,
    }),
    line(frame, { stroke: markColour, width: thick }),
    fill(tag, markColour),
    text(change, left + 7 * unit, top + 14.5 * unit, look),
  ].join('');
}
