import type { Scene } from '../../config/job.js';
import type { StoryColours } from './palette.js';

/** How a page is marked on the contact sheet. */
export type PageMark =
  | 'done'
  | 'attention'
  | 'stopped'
  | 'ready'
  | 'waiting'
  | 'missing'
  | 'contested'
  | 'held';

/** What the contact sheet says of one page of the page list. */
export interface PageOnSheet {
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
  readonly state: PageMark;
  /** Why it is in this state, in a few words. */
  readonly note: string | undefined;
}

/** A colour of a palette as it is drawn. */
export interface StripColour {
  /** `#rrggbb`, sRGB. */
  readonly colour: string;
  /** Those of a palette come to 100. */
  readonly sharePercent: number;
}

/** What the contact sheet says of the issue. */
export interface SheetHeading {
  /** Issue code as file names carry it. */
  readonly issue: string;
  readonly title: string;
  readonly number?: number | undefined;
  /** Such as `cgats-tr006, ink limit 320 %`. */
  readonly condition: string;
  /** ISO 8601 with zone. */
  readonly due?: string | undefined;
  /** In reading order; the place in this list gives a scene its hue. */
  readonly scenes: readonly Scene[];
  /** One line on how the issue stands. */
  readonly summary: string;
  /** Palettes of scenes, by their ids, shown beneath their pages; a scene without one has no strip. */
  readonly palettes?: Readonly<Record<string, readonly StripColour[]>> | undefined;
}

/** A page to draw, with its small picture as a file. */
export interface RequestedSheetPage extends PageOnSheet {
  /** Its thumbnail, a PNG, by its checksum and, as a hint, where it stands on this machine; undefined shows a blank. */
  readonly thumbnail: { readonly sha256: string; readonly path: string } | undefined;
}

/** All that drawing a contact sheet needs to know: plain data, so that it can be sent to another process. */
export interface SheetRequest extends SheetHeading {
  /** In reading order. */
  readonly pages: readonly RequestedSheetPage[];
}

/** All that a colour script shows: plain data, so that it can be sent to another process. */
export interface ColourScriptRequest {
  /** Tells it from a contact sheet. */
  readonly kind: 'colour-script';
  /** Issue code as file names carry it. */
  readonly issue: string;
  /** Title of the issue, and its number where it has one. */
  readonly title: string;
  /** As job.yaml has it. */
  readonly number?: number | undefined;
  /** In reading order; the place in this list gives a scene its hue, as on the contact sheet. */
  readonly scenes: readonly Scene[];
  /** What it shows. */
  readonly story: StoryColours;
}

/** A picture of the whole issue. */
export type IssuePictureRequest = SheetRequest | ColourScriptRequest;
