import type { FilePart } from '../../config/job.js';

/** A file of incoming/ as the folder lists it. */
export interface IncomingFile {
  /** Relative to incoming/, forward slashes, exactly as on disk (not normalised). */
  readonly name: string;
  readonly bytes: number;
  readonly mtimeMs: number;
  /** Time of its last change of any kind, and its number on the disk, where the folder was listed from a disk. */
  readonly ctimeMs?: number;
  readonly inode?: number;
}

/** A file that was matched to a page, and why. */
export interface MatchedFile {
  readonly name: string;
  readonly page: string;
  readonly part: FilePart;
  /** Page number of the half that it is, where the page is a spread that came in halves. */
  readonly half?: number;
  /** Explicit version read from its name (`v2`, `r3`); undefined where the name states none. */
  readonly version: number | undefined;
  /** Which picture of a multi-page TIFF, counted from 1, when job.yaml picks one. */
  readonly picture: number | undefined;
  /** The rule that decided, in words for people. */
  readonly rule: string;
}

/** Files that claim the same page, part and version: none of them is used. */
export interface ContestedClaim {
  readonly page: string;
  readonly part: FilePart;
  readonly names: readonly string[];
  readonly rule: string;
  /** What to do, with the line to put into job.yaml. */
  readonly remedy: string;
}

/** A file that is not used, and why: unknown to the page list, or passed over. */
export interface LeftOutFile {
  readonly name: string;
  readonly rule: string;
  /** One sentence: what to do, for instance the line to put into job.yaml; empty where nothing is to be done. */
  readonly remedy: string;
}

/** An older version that a newer one replaces. */
export interface SupersededFile {
  readonly name: string;
  readonly page: string;
  readonly part: FilePart;
  readonly by: string;
  readonly rule: string;
}

/**
 * State of one page of the page list as far as files go: `ready` has all it needs, `waiting` lacks a part, `missing` has
 * nothing, `contested` has files that claim the same part, `held` is held back by the job.
 */
export type PageState = 'ready' | 'waiting' | 'missing' | 'contested' | 'held';

/** A page of the page list and the files that were matched to it. */
export interface PageMatch {
  readonly page: string;
  readonly state: PageState;
  /** The files to use, at most one a part; of a spread that came in halves one a part and half. */
  readonly files: readonly MatchedFile[];
  /** Parts that have not arrived; `whole` stands for a page of which nothing arrived. */
  readonly missing: readonly FilePart[];
  /** Why it is in this state, in words for people. */
  readonly rule: string;
}

/** The outcome of matching incoming/ to the page list: plain data, in reading order and by name. */
export interface Reconciliation {
  readonly pages: readonly PageMatch[];
  readonly contested: readonly ContestedClaim[];
  readonly superseded: readonly SupersededFile[];
  readonly unknown: readonly LeftOutFile[];
  readonly passedOver: readonly LeftOutFile[];
  /** Names that job.yaml speaks of and incoming/ does not have. */
  readonly unusedAssignments: readonly string[];
}
