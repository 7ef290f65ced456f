import type { Raster } from '../model/raster.js';
import type { PageOnSheet, SheetHeading } from '../model/sheet-request.js';
import type { PxBox } from './drawing.js';
import type { SheetCell } from './sheet-layout.js';

/** One page of the page list as the contact sheet shows it. */
export interface SheetPage extends PageOnSheet {
  /** The page cut to its trim, rgb, 8 bit; undefined shows a blank. Missing, contested and held pages are always blank. */
  readonly thumbnail: Raster | undefined;
}

export interface ContactSheet extends SheetHeading {
  /** In reading order. */
  readonly pages: readonly SheetPage[];
}

/** A page on the sheet with the room it got. */
export interface PlacedPage {
  readonly page: SheetPage;
  readonly cell: SheetCell;
  /** Where its picture lies; undefined where a labelled blank stands for it. */
  readonly picture: PxBox | undefined;
  /** What stands under it, if anything. */
  readonly note: string | undefined;
}
