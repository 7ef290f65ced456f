import type { FileHandle } from 'node:fs/promises';
import { basename, extname } from 'node:path';
import { messageOf, PlatehandError } from '../../config/errors.js';
import { NotAFileError, openRegular } from '../../config/regular-file.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Noticed } from '../model/findings.js';
import type { WorkingPicture } from '../model/working-page.js';
import { type ByteSource, bufferSource, damaged, fileSource, unsupported } from './byte-source.js';
import type { FitWish } from './decode-picture.js';
import { wholeFileBytes } from './hash-file.js';
import { pngSignature } from './png-picture.js';
import { readFlat } from './read-flat.js';
import { checkFileSize, defaultReadLimits, type ReadLimits } from './read-limits.js';
import type { LayeredFile } from './read-openraster.js';

export interface ReadOptions {
  /** Which picture of a multi-page TIFF, counted from 1; undefined where the file should hold one. */
  readonly picture?: number | undefined;
  /** Name of the file for messages; its path by default. */
  readonly name?: string | undefined;
  /** What the file holds, where somebody has read it before; it is then not opened again. */
  readonly content?: Buffer | undefined;
  /** What is refused as too large; the defaults of `defaultReadLimits` where a limit is left out. */
  readonly limits?: Partial<ReadLimits> | undefined;
  /**
   * The size that a flat picture is wanted at. It arrives so (see FlatPicture.isFitted) where decoding and resampling can
   * go hand in hand; else it arrives as it is.
   */
  readonly fit?: FitWish | undefined;
}

type PictureFormat = WorkingPicture['format'];

/** First bytes of each format: TIFF and BigTIFF in both byte orders, PNG, JPEG, and the ZIP that OpenRaster is. */
const magics: readonly (readonly [PictureFormat, Buffer])[] = [
  ['tiff', Buffer.from('II\x2a\0', 'latin1')],
  ['tiff', Buffer.from('MM\0\x2a', 'latin1')],
  ['tiff', Buffer.from('II\x2b\0', 'latin1')],
  ['tiff', Buffer.from('MM\0\x2b', 'latin1')],
  ['png', pngSignature],
  ['jpeg', Buffer.from([0xff, 0xd8, 0xff])],
  ['openraster', Buffer.from('PK\x03\x04', 'latin1')],
];

const extensions: Readonly<Record<PictureFormat, readonly string[]>> = {
  tiff: ['.tif', '.tiff'],
  png: ['.png'],
  jpeg: ['.jpg', '.jpeg', '.jpe', '.jfif'],
  openraster: ['.ora'],
};

const formatNames: Readonly<Record<PictureFormat, string>> = {
  tiff: 'TIFF',
  png: 'PNG',
  jpeg: 'JPEG',
  openraster: 'OpenRaster',
};

/**
 * Reads one working page: a flat picture with its pixels, or a layered one whose layers decode when asked for. The
 * format is told from the content, never from the name. No number is changed on the way: no colour conversion, no
 * change of depth, only the turn that the orientation tag asks for.
 * @param arena holds the file's bytes while it is read, and of layers until they are decoded
 * @throws PlatehandError `picture-unreadable`, `picture-unsupported`, `picture-too-large`, `archive-unsafe`
 */
export async function readWorkingPicture(
  path: string,
  options: ReadOptions,
  arena: PageArena,
): Promise<WorkingPicture> {
  const name = options.name ?? path;
  const limits = { ...defaultReadLimits, ...options.limits };
  if (options.content !== undefined) {
    checkSize(options.content.length, limits, name);
    return pictureFrom({ path, name, limits, input: options.content }, undefined, options, arena);
  }
  const handle = await openFile(path, name);
  try {
    const before = await handle.stat();
    checkSize(before.size, limits, name);
    const isSmall = before.size <= wholeFileBytes;
    const input = isSmall ? await readWhole(handle, before.size, arena) : path;
    const source = isSmall ? undefined : fileSource(handle, before.size, name);
    const picture = await pictureFrom({ path, name, limits, input }, source, options, arena);
    const after = await handle.stat();
    if (after.size !== before.size || after.mtimeMs !== before.mtimeMs) {
      throw new PlatehandError(
        'picture-unreadable',
        'the file changed while it was read',
        'Wait until it is written to its end, then run again',
        { place: { file: name } },
      );
    }
    return picture;
  } finally {
    await handle.close();
  }
}

/** A file that turns out longer or shorter has changed meanwhile, which its next look tells. */
async function readWhole(handle: FileHandle, size: number, arena: PageArena): Promise<Buffer> {
  const content = arena.allocateBuffer(size);
  let length = 0;
  while (length < size) {
    const { bytesRead } = await handle.read(content, length, size - length, length);
    if (bytesRead === 0) break;
    length += bytesRead;
  }
  return content.subarray(0, length);
}

/** A file that is about to be decoded. */
interface OpenFile {
  readonly path: string;
  readonly name: string;
  readonly limits: ReadLimits;
  /** Its content, or its path where it is too large to be held. */
  readonly input: string | Buffer;
}

async function pictureFrom(
  file: OpenFile,
  opened: ByteSource | undefined,
  { picture, fit }: ReadOptions,
  arena: PageArena,
): Promise<WorkingPicture> {
  const { name, input } = file;
  const source = opened ?? bufferSource(input as Buffer, name);
  const format = formatOf(await source.read(0, Math.min(16, source.size)), name);
  const read =
    format === 'openraster'
      ? await readLayers({ ...file, picture }, arena)
      : await readFlat({ ...file, source, format, picture, fit }, arena);
  const mismatch = nameMismatch(name, format);
  return mismatch === undefined ? read : { ...read, noticed: [...read.noticed, mismatch] };
}

/** The readers of archives and of XML are loaded only where there are layers: most page processes never meet any. */
async function readLayers(file: LayeredFile, arena: PageArena): Promise<WorkingPicture> {
  const { readOpenRaster } = await import('./read-openraster.js');
  return readOpenRaster(file, arena);
}

async function openFile(path: string, name: string): Promise<FileHandle> {
  try {
    return (await openRegular(path)).handle;
  } catch (error) {
    if (error instanceof NotAFileError)
      throw unsupported(name, error.message, 'Put the picture itself into the folder');
    throw new PlatehandError(
      'picture-unreadable',
      `the file cannot be opened (${messageOf(error)})`,
      'Check that it is still there and that you may read it',
      { place: { file: name }, cause: error },
    );
  }
}

function checkSize(bytes: number, limits: ReadLimits, name: string): void {
  if (bytes === 0) throw damaged(name, 'the file is empty');
  checkFileSize(bytes, name, limits);
}

function formatOf(head: Buffer, name: string): PictureFormat {
  for (const [format, magic] of magics) {
    if (head.subarray(0, magic.length).equals(magic)) return format;
  }
  if (head.every((byte) => byte === 0)) throw damaged(name, 'it begins with nothing but zero bytes');
  throw unsupported(
    name,
    'its content is none of TIFF, PNG, JPEG and OpenRaster, whatever its name says',
    'Save the page as one of these four',
  );
}

function nameMismatch(name: string, format: PictureFormat): Noticed | undefined {
  const extension = extname(basename(name)).toLowerCase();
  if (extensions[format].includes(extension)) return undefined;
  return {
    code: 'picture-name-mismatch',
    severity: 'note',
    message: `The name ends in "${extension}" and the content is ${formatNames[format]}; it was read as ${formatNames[format]}`,
    remedy: `Nothing to do; a name in ${extensions[format][0]} would say what it is`,
  };
}
