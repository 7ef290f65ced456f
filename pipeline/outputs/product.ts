import type { FileKind } from '../../config/job.js';
import type { Press } from '../../config/press.js';
import type { PixelBox, SizePx } from '../../config/units.js';
import type { Separator } from '../inks/separator.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Finding } from '../model/findings.js';
import type { PageRequest } from '../model/page-request.js';
import type { PlateShift, ProductName } from '../model/page-result.js';
import type { Raster } from '../model/raster.js';
import type { PageInks } from '../separate.js';
import type { HalfPage } from './delivered-pages.js';
import type { PackedParts } from './packed-parts.js';
import type { Setting } from './settings.js';

/** What a product is made from. */
export interface OutputContext {
  readonly arena: PageArena;
  readonly request: PageRequest;
  readonly press: Press;
  readonly separator: Separator;
  readonly inks: PageInks;
  /** What plates out of register would show; undefined where that is not simulated. */
  readonly plateShift: PlateShift | undefined;
  readonly findings: readonly Finding[];
  /** The latest day that one of the page's files states; it follows from what they hold. */
  readonly statedDay: string | undefined;
  /** The page as it will print, at the proof's resolution: rgb, 8 bit. Made when it is first asked for, once. */
  readonly softProof: () => Promise<Raster>;
  /** The process inks at the proof's resolution: cmyk, 8 bit. Made when they are first asked for, once; nobody changes them. */
  readonly proofInks: () => Promise<Raster>;
  /** What several products hold alike, packed once. */
  readonly packed: PackedParts;
}

/** One file of a product, ready to be written. */
export interface MadeFile {
  /** What it is; names the file by `suffixOf`. */
  readonly role: string;
  /** The half of a spread that it is; undefined for the page itself. */
  readonly of?: HalfPage | undefined;
  readonly size: SizePx;
  readonly ppi: number;
  /** What a strip of pictures shows, from its top. */
  readonly shows?: readonly string[];
  /** Where the trim lies on a proof, in its pixels. */
  readonly trim?: PixelBox | undefined;
  /** The file, in pieces. */
  readonly encode: () => Promise<readonly Uint8Array[]>;
}

/** A picture for people as a PNG file. */
export function picture(role: string, raster: Raster, ppi: number): MadeFile {
  const encode = async () => {
    const { encodePicture } = await import('../write.js');
    return [await encodePicture(raster, { ppi, format: 'png' })];
  };
  return { role, size: raster, ppi, encode };
}

/** What is made of a page: a row of `pageProducts`. */
export interface PageProduct {
  readonly name: ProductName;
  /** What its files are, in the order in which they are listed. A page may lack some of them, and others may follow. */
  readonly roles: readonly string[];
  /** How the name of a file of that role ends. */
  suffixOf(role: string): string;
  /** Folder of the job in which its files appear, and of the bundle; undefined keeps them in the store. */
  readonly folder: string | undefined;
  /** The kinds of files with any of which a file of that role goes into a bundle; none keeps it out of every bundle. */
  deliveredWith(role: string): readonly FileKind[];
  /** Whether it is made with whatever is asked for, and nobody asks for it by name: platehand needs it for contact sheet or report. */
  readonly comesAlong: boolean;
  /** Whether a stopped page gets it. Press files of a stopped page could be sent by mistake. */
  readonly forStoppedPage: boolean;
  /** When a daemon makes it: people wait for proofs, so those of all pages come first. */
  readonly phase: 'proof' | 'press';
  /** All that its bytes depend on, besides the program itself: where none of it has changed, it is not made anew. */
  readonly dependsOn: readonly Setting[];
  /** Makes its files ready to be written. */
  make(context: OutputContext): Promise<readonly MadeFile[]>;
}
