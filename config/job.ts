import type { ExtraInk, InkPart } from './extra-ink.js';
import type { PrintSpec } from './print-spec.js';
import type { LengthUnit } from './units.js';

/** The role of a file or a layer on its page. */
export const parts = ['colour', 'line', 'lettering', 'flats'] as const;
/** One of the parts. */
export type Part = (typeof parts)[number];

/** What a file brings: one part, the plate of an extra ink, or the whole page when its name speaks of no part. */
export type FilePart = Part | 'whole' | InkPart;

/** Words in file and layer names, lower case, by the part that they tell. */
export type PartWords = Readonly<Record<Part, readonly string[]> & Record<InkPart, readonly string[]>>;

/** Whether line is laid on its colour where it lies beside it. */
export interface RegisterSettings {
  /** `auto` moves, turns and resizes it as it was measured, as far as that is beyond doubt; default `off`, told only. */
  readonly line: 'auto' | 'off';
}

/** One page that the issue owes, in reading order. A spread is one page of double width. */
export interface IssuePage {
  /** As in the page list, leading zeros included: `cover`, `7`, `007`, `12-13`. Unique in the issue, in any case. */
  readonly id: string;
  /** Kind of page: `interior` and `cover` are always known, others come from the job. */
  readonly kind: string;
  /** Page numbers it covers, 1 to 9999: none for a cover, one for a page, two that follow each other for a spread. */
  readonly numbers: readonly number[];
  /** Other names that file names may use for it, such as `front` for the cover; empty for most pages. */
  readonly aliases: readonly string[];
  /** Id of its scene; undefined where the job puts it in none. */
  readonly scene: string | undefined;
  /** Parts without which the page is not complete; undefined lets any whole page or a colour and line pair do. */
  readonly needs: readonly (Part | InkPart)[] | undefined;
  /** Why it is held back; undefined where it is not. A page held back is not worked on and keeps the issue incomplete. */
  readonly heldReason: string | undefined;
  /** Codes of findings that the people in charge accept on this page, each with the reason they gave; empty by default. */
  readonly accepted: Readonly<Record<string, string>>;
  /** What is put right where line and colour do not lie on each other. */
  readonly register: RegisterSettings;
  /** What is cleaned off its line: `specks` of dust; default `off`, told only. */
  readonly clean: 'specks' | 'off';
  /** The print spec that holds for this page: the job's, its kind's and its own settings laid over one another. */
  readonly spec: PrintSpec;
}

/** Pages that tell one stretch of the story; the contact sheet marks where it begins and ends. */
export interface Scene {
  /** As pages name it. Unique in the issue, in any case. */
  readonly id: string;
  /** As the contact sheet shows it; the id where the job gives no title. */
  readonly title: string;
  /** Whether it is to be set off from the scenes around it by its colours, as a flashback or dream is; default no. */
  readonly setOff?: boolean;
}

/** Red, green, blue of a screen (sRGB), whole levels from 0 to 255; or L, a, b of CIE L*a*b* relative to D50. */
export type SwatchColour =
  | { readonly kind: 'srgb'; readonly srgb: readonly [red: number, green: number, blue: number] }
  | { readonly kind: 'lab'; readonly lab: readonly [l: number, a: number, b: number] };

/** A colour that job.yaml names. */
export interface Swatch {
  /** What it is of, such as `coat`; with its character unique in the issue, in any case. One line of 1 to 60 characters. */
  readonly name: string;
  /** Whose it is; undefined for nobody's. */
  readonly character: string | undefined;
  readonly colour: SwatchColour;
  /** How far it may drift on a light page before that is told, CIEDE2000: 0.5 to 30, default 5. */
  readonly toleranceDe: number;
}

/** As people call it: `Mara, coat`, or the name alone. */
export function swatchTitle({ name, character }: Pick<Swatch, 'name' | 'character'>): string {
  return character === undefined ? name : `${character}, ${name}`;
}

/** What the job says about a file whose name says too little: it is that page's part, or it is to be passed over. */
export type NameAssignment =
  | {
      readonly kind: 'page';
      /** Id of the page it belongs to. */
      readonly page: string;
      /** Page number of the half that it is, where that page is a spread and job.yaml names one of its two pages. */
      readonly half?: number;
      /** What it is to that page; default `whole`. */
      readonly part: FilePart;
      /** Which picture of a multi-page TIFF, 1 to 10,000; undefined where the file holds one. */
      readonly picture: number | undefined;
    }
  | { readonly kind: 'ignore' };

/** Kinds of files that a delivery may hold, in the order in which they are told. */
export const fileKinds = ['pdf', 'composite', 'line', 'plates', 'proofs'] as const;
/** One of them. */
export type FileKind = (typeof fileKinds)[number];

/** What a page needs before it is delivered, beside being ready: nothing, or to be accepted by the editor with all its notes closed. */
export const deliveryNeeds = ['nothing', 'accepted'] as const;
/** One of them. */
export type DeliveryNeeds = (typeof deliveryNeeds)[number];

/** How deliveries are named and dated, and what goes into them. */
export interface DeliverySettings {
  /** Pattern of their names; tokens {issue} {number} {delivery}. Default `{issue}-{delivery}`. */
  readonly naming: string;
  /** Where the day of a delivery is counted, `Europe/Vienna` or `+01:00`; default the zone of `due`, undefined is the machine's. */
  readonly timeZone: string | undefined;
  /**
   * Which files go out, in the order of `fileKinds`: one at least from which somebody can print. Default `pdf`, `composite`, `line`,
   * `proofs`; contact sheet and report go with `proofs`, the PDF of all pages with `pdf`.
   */
  readonly files: readonly FileKind[];
  /** What pages need beside being ready; default `nothing`. `accepted` also refuses while a notes file has mistakes. */
  readonly needs: DeliveryNeeds;
}

/** A job.yaml, read, checked and resolved: lengths in millimetres, ranges expanded, overrides applied. */
export interface Job {
  /** Absolute path of the job folder. */
  readonly folder: string;
  /** Issue code as file names carry it, such as `TDL03`: 1 to 32 letters, digits, hyphens, underscores. */
  readonly issue: string;
  /** For proofs and the contact sheet; one line of 1 to 200 characters. */
  readonly title: string;
  /** Number of the issue, 0 to 99,999; undefined if the job does not say. */
  readonly number: number | undefined;
  /** When the delivery is due, ISO 8601 with zone; undefined if the job does not say. */
  readonly due: string | undefined;
  /** The unit in which messages speak of lengths; all lengths in this type are millimetres already. */
  readonly units: LengthUnit;
  /** In the order of the contact sheet; empty where the job has none. */
  readonly scenes: readonly Scene[];
  /** Every page that the issue owes, in reading order: 1 to 2000. */
  readonly pages: readonly IssuePage[];
  /** File name (NFC, relative to incoming/, forward slashes) to what it is; empty where the job names no file. */
  readonly assignments: ReadonlyMap<string, NameAssignment>;
  /** Words in file and layer names that tell a part, lower case: the built-in ones and the job's own. */
  readonly partWords: PartWords;
  /** Inks beside the process inks; empty by default. */
  readonly extraInks: readonly ExtraInk[];
  /** Colours that keep through the issue, in the order of job.yaml; empty by default. */
  readonly swatches: readonly Swatch[];
  /** Further codes in file names that count as this issue's, beside `issue`; empty by default. */
  readonly codes: readonly string[];
  /** Letters, lower case, that tell a part where they touch a page number (`p007c`); empty by default: 7c is a page of its own. */
  readonly letters: Readonly<Record<string, FilePart>>;
  /** Words in file names that mean nothing in this issue, such as an artist's name; empty by default. */
  readonly ignoreWords: readonly string[];
  /** Pattern of output names without extension; tokens {issue} {number} {page} {kind} {scene}. Default `{issue}_{page}`. */
  readonly naming: string;
  /** Whether all pages also go into one PDF. Default true. */
  readonly issuePdf: boolean;
  /** How deliveries are named and dated, and what goes into them. */
  readonly delivery: DeliverySettings;
}
