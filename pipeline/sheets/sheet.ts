import type { Scene } from '../../config/job.js';
import type { Raster } from '../model/raster.js';
import type { PxBox } from './drawing.js';
import type { PageMark } from './marks.js';
import type { SheetCell } from './sheet-layout.js';

/** One page of the page list as the contact sheet shows it. */
export interface SheetPage {
  readonly id: string;
  /** As people call it: `7`, `12-13`, `Front cover`. */
  readonly label: string;
  readonly scene: string | undefined;
  /** For a scene that is not among the sheet's scenes; undefined shows its id. */
  readonly sceneTitle: string | undefined;
  readonly kind: string;
  /** None for a cover, one for a page, two for a spread. */
  readonly numbers: readonly number[];
  readonly isSpread: boolean;
  /** Width by height of the trim. */
  readonly aspect: number;
  /** The page cut to its trim, rgb, 8 bit; undefined shows a blank. Missing, contested and held pages are always blank. */
  readonly thumbnail: Raster | undefined;
  readonly state: PageMark;
  /** Why it is in this state, in a few words. */
  readonly note: string | undefined;
}

export interface ContactSheet {
  /** Issue code as file names carry it. */
  readonly issue: string;
  readonly title: string;
  readonly number?: number | undefined;
  /** Such as `cgats-tr006, ink limit 320 %`. */
  readonly condition: string;
  /** ISO 8601 with zone. */
  readonly due?: string | undefined;
  /** In reading order. */
  readonly pages: readonly SheetPage[];
  /** In reading order; the place in this list gives a scene its hue. */
  readonly scenes: readonly Scene[];
  /** One line on how the issue stands. */
  readonly summary: string;
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
