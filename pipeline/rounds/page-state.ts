import { createHash } from 'node:crypto';
import { damaged } from '../reading/byte-source.js';
import type { PictureState } from './compare-pictures.js';
import { type LineFile, openLineFile } from './line-file.js';
import { openPressFile, type PressFile } from './press-file.js';

/** A page as it was frozen, delivered or made: by which files it is compared, wherever they lie. */

/** A working page that a state was made of. */
export interface NamedUse {
  readonly name: string;
  readonly part: string;
  readonly version?: number | undefined;
  readonly sha256: string;
}

/** One press file of a page. */
export interface StateFile {
  /** `composite`, `line`, or the id of an extra ink. */
  readonly role: string;
  /** Page number of the half of a spread that it is. */
  readonly half?: number | undefined;
  readonly sha256: string;
  readonly ppi: number;
  /** As messages call it. */
  readonly name: string;
  /** Reads the whole of it. @throws the system's error where it is not there */
  read(): Promise<Buffer>;
}

/** One state of a page. */
export interface PageState {
  readonly used: readonly NamedUse[];
  /** SHA-256 of the press condition's profile; undefined where nothing was separated. */
  readonly profileSha256: string | undefined;
  /** The press files that are there; empty where there are none. */
  readonly files: readonly StateFile[];
  /** Why no composite is among them: `stopped`, `missing`, `the delivery holds no composite`. */
  readonly lacks: string;
}

/** A page of which nothing was there. */
export const nothingThere: PageState = { used: [], profileSha256: undefined, files: [], lacks: 'missing' };

/** What names a picture by its files: the same, the same pixels. */
export function pictureNames({ files }: PageState): string[] {
  return files.map(({ role, half, sha256 }) => `${half ?? ''} ${role} ${sha256}`).sort();
}

/**
 * The pictures that a page is compared by: the whole where there is one, else the halves of a spread.
 * @returns by page number of the half; undefined for the whole
 */
export function picturesOf({ files }: PageState): Map<number | undefined, readonly StateFile[]> {
  const isWhole = files.some(({ role, half }) => role === 'composite' && half === undefined);
  const halves = new Set(isWhole ? [undefined] : files.map(({ half }) => half));
  const pictures = [...halves].map((half) => [half, files.filter((file) => file.half === half)] as const);
  return new Map(pictures.filter(([, own]) => own.some(({ role }) => role === 'composite')));
}

/** The composite of a picture, which every picture has. */
export function compositeOf(files: readonly StateFile[]): StateFile {
  const found = files.find(({ role }) => role === 'composite');
  if (found === undefined) throw new Error('a picture without composite');
  return found;
}

/**
 * Opens the files of one picture.
 * @throws PlatehandError `picture-unreadable` where one is not there, or not as it was
 */
export async function openPicture(files: readonly StateFile[]): Promise<PictureState> {
  const composite = compositeOf(files);
  const extras = new Map<string, PressFile | LineFile>();
  let line: LineFile | undefined;
  for (const file of files.filter((one) => one !== composite)) {
    const bytes = await bytesOf(file);
    if (file.role === 'line') line = await openLineFile(bytes, file.name);
    else extras.set(file.role, await openPlate(bytes, file.name));
  }
  return { composite: await openPressFile(await bytesOf(composite), composite.name), line, extras };
}

/** A plate of 8 bits, or of one. */
async function openPlate(bytes: Buffer, name: string): Promise<PressFile | LineFile> {
  return openPressFile(bytes, name).catch(() => openLineFile(bytes, name));
}

/** A frozen file shares its bytes with the one in press/: whoever wrote into that has changed both. */
async function bytesOf({ read, sha256, name }: StateFile): Promise<Buffer> {
  const bytes = await read().catch((thrown: unknown) => {
    throw damaged(name, 'it is no longer there, or cannot be read', thrown);
  });
  if (createHash('sha256').update(bytes).digest('hex') === sha256) return bytes;
  throw damaged(name, 'somebody has written to it since');
}
