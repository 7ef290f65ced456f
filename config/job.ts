import type { PrintSpec } from './print-spec.js';
import type { LengthUnit } from './units.js';

/** The role of a file or a layer on its page. */
export const parts = ['colour', 'line', 'lettering', 'flats'] as const;
export type Part = (typeof parts)[number];

/** What a file brings: one part, or the whole page when its name speaks of no part. */
export type FilePart = Part | 'whole';

/** One page that the issue owes, in reading order. A spread is one page of double width. */
export interface IssuePage {
  /** As in the page list, leading zeros included: `cover`, `7`, `007`, `12-13`. Unique in the issue, in any case. */
  readonly id: string;
  /** Kind of page: `interior` and `cover` are always known, others come from the job. */
  readonly kind: string;
  /** Page numbers it covers: none for a cover, one for a page, two for a spread. */
  readonly numbers: readonly number[];
  /** Other names that file names may use for it, such as `front` for the cover. */
  readonly aliases: readonly string[];
  /** Id of its scene, if the job puts it in one. */
  readonly scene: string | undefined;
  /** Parts without which the page is not complete; undefined lets any whole page or a colour and line pair do. */
  readonly needs: readonly Part[] | undefined;
  /** Why it is held back, if it is. */
  readonly heldReason: string | undefined;
  /** Finding codes that the people in charge accept on this page, each with the reason they gave. */
  readonly accepted: Readonly<Record<string, string>>;
  /** The print spec that holds for this page. */
  readonly spec: PrintSpec;
}

export interface Scene {
  readonly id: string;
  readonly title: string;
}

/** What the job says about a file whose name says too little: it is that page's part, or it is to be passed over. */
export type NameAssignment =
  | {
      readonly kind: 'page';
      readonly page: string;
      readonly part: FilePart;
      /** Which picture of a multi-page TIFF, counted from 1; undefined where the file holds one. */
      readonly picture: number | undefined;
    }
  | { readonly kind: 'ignore' };

/** A job.yaml, read, checked and resolved: lengths in millimetres, ranges expanded, overrides applied. */
export interface Job {
  /** Absolute path of the job folder. */
  readonly folder: string;
  /** Issue code as file names carry it, such as `TDL03`. */
  readonly issue: string;
  readonly title: string;
  readonly number: number | undefined;
  /** When the delivery is due, ISO 8601 with zone; undefined if the job does not say. */
  readonly due: string | undefined;
  /** The unit in which messages speak of lengths. */
  readonly units: LengthUnit;
  readonly scenes: readonly Scene[];
  /** In reading order. */
  readonly pages: readonly IssuePage[];
  /** File name (NFC, relative to incoming/, forward slashes) to what it is. */
  readonly assignments: ReadonlyMap<string, NameAssignment>;
  /** Words in file and layer names that tell a part, lower case. */
  readonly partWords: Readonly<Record<Part, readonly string[]>>;
  /** Pattern of output names; tokens {issue} {number} {page} {kind} {scene}. */
  readonly naming: string;
}
