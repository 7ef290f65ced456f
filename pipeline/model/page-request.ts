import type { ExtraInk } from '../../config/extra-ink.js';
import type { FilePart, IssuePage, PartWords } from '../../config/job.js';
import type { LengthUnit } from '../../config/units.js';
import type { PageNote } from './page-notes.js';
import type { ProductName } from './page-result.js';

/**
 * What tells that a file is still the one that was looked at. The time of its last status change is part of it,
 * because a copy can set the time of its content back.
 */
export interface FileIdentity {
  readonly bytes: number;
  readonly mtimeMs: number;
  readonly ctimeMs: number;
  readonly inode: number;
}

/** Where a working file stands on this machine, and how it was when somebody looked at it before anybody read it. */
export interface LocalFile {
  /** Absolute path. */
  readonly path: string;
  readonly seen: FileIdentity;
}

/** A working file that goes into a page: its content, by checksum, and what it is on the page. */
export interface RequestedFile {
  /** Relative to incoming/, as people know it. */
  readonly name: string;
  readonly part: FilePart;
  /** Page number of the half that it is, where the page is a spread that came in halves. */
  readonly half?: number;
  readonly version: number | undefined;
  /** Which picture of a multi-page TIFF, counted from 1. */
  readonly picture: number | undefined;
  readonly bytes: number;
  /** Of its content, in lower case hexadecimal: this is the file that is meant, wherever it stands. */
  readonly sha256: string;
  /** A hint for runners that see this machine's files; another one has to find the content by its checksum. */
  readonly local: LocalFile;
}

/** A working file that nobody has read yet. */
export type UnhashedFile = Omit<RequestedFile, 'sha256'> & { readonly sha256: undefined };

/**
 * A request for a page that has no result yet: its files are read, and its key found, by whoever works on it. So they are
 * read once.
 */
export type UnhashedRequest = Omit<PageRequest, 'files' | 'key' | 'productKeys'> & {
  /** Without checksums. */
  readonly files: readonly UnhashedFile[];
  /** Found by whoever reads the files. */
  readonly key: undefined;
};

/** All that one page's work needs to know: plain data, so that it can be sent to another process. */
export interface PageRequest {
  /** Issue code, for the slug line. */
  readonly issue: string;
  /** Title of the comic, for the slug line. */
  readonly title: string;
  /** Title of the page's scene, for the slug line; undefined for a page in none. */
  readonly scene: string | undefined;
  /** Unit in which findings and proofs speak of lengths. */
  readonly units: LengthUnit;
  /** The page as the page list has it, with its print spec. */
  readonly page: IssuePage;
  /** Words in layer names that tell a part, lower case. */
  readonly partWords: PartWords;
  /** Inks beside the process inks of which a file brings the plate, in the order in which they print; undefined without any. */
  readonly extraInks?: readonly ExtraInk[];
  /** What it is made from, at most one file a part; of a spread that came in halves one a part and half. */
  readonly files: readonly RequestedFile[];
  /** Names the result; see page-key.ts. */
  readonly key: string;
  /** Names what each product is made from. */
  readonly productKeys: Readonly<Record<ProductName, string>>;
  /**
   * Parts that have not arrived yet: the others are inspected and proofed, flats among them, and nothing is made for print. undefined
   * for a page that has all it needs.
   */
  readonly awaits?: readonly FilePart[];
  /** What editors wrote about it and nobody has closed, for its proof; undefined where there is nothing. */
  readonly notes?: readonly PageNote[];
  /** Start of every output's file name. */
  readonly baseName: string;
  /** The same of the two single pages of a spread, the left one first; undefined for other pages. */
  readonly halfNames?: readonly string[];
  /** What to make, besides findings. */
  readonly products: readonly ProductName[];
  /** Existing folder for the outputs, on the machine of the runner; undefined only inspects. */
  readonly outFolder: string | undefined;
}

/** Files of a page, by which its kind is told: each kind takes memory in a way of its own. */
export type PageFiles = (PageRequest | UnhashedRequest)['files'];

/** Whether a page's lettering came in a file of its own. */
export function hasLettering(files: PageFiles): boolean {
  return files.some(({ part }) => part === 'lettering');
}

/** Whether a page came in layers. */
export function hasLayers(files: PageFiles): boolean {
  return files.some(({ name }) => name.toLowerCase().endsWith('.ora'));
}

/** Whether a page is made of flat pictures that need not be laid on each other. */
export function isPlain(files: PageFiles): boolean {
  return !hasLettering(files) && !hasLayers(files);
}
