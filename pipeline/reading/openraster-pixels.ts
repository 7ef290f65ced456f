import type { Entry } from 'yauzl';
import { PlatehandError } from '../../config/errors.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Raster } from '../model/raster.js';
import type { LayerRows } from '../model/working-page.js';
import { bufferSource, damaged } from './byte-source.js';
import { type DecodeRequest, decodeSamples } from './decode-picture.js';
import { type Archive, readEntry } from './openraster-archive.js';
import { shownSources } from './openraster-layers.js';
import type { StackGroup, StackLayer } from './openraster-stack.js';
import { checkPngEnd, describePng } from './png-picture.js';
import { openPngRows } from './png-rows.js';
import { checkPictureSize, type ReadLimits } from './read-limits.js';
import type { StoredPicture } from './stored-picture.js';

/** The pictures of an OpenRaster file's layers: taken out of the archive, and decoded as a whole or row by row. */

/** A file taken out of the archive, and how many layers are still to be decoded from it. */
interface TakenFile {
  readonly file: Promise<Buffer>;
  readonly uses: number;
}

/** An OpenRaster file being read, and the headers of the pictures its layers name. */
export interface Opened {
  readonly archive: Archive;
  readonly limits: ReadLimits;
  readonly arena: PageArena;
  readonly heads: Map<string, StoredPicture>;
  /** Files of layers that are seen, by name, as they stand in the archive's content or were unpacked. */
  readonly taken: Map<string, TakenFile>;
}

/** Takes the files of the layers that are seen out of the archive. What is wrong with one is told when it is decoded. */
export async function takeShown({ archive, taken }: Opened, root: StackGroup): Promise<void> {
  for (const src of shownSources(root)) {
    const known = taken.get(src);
    const entry = archive.entries.get(src);
    if (entry === undefined) continue;
    const file = known?.file ?? readEntry(archive, entry);
    taken.set(src, { file, uses: (known?.uses ?? 0) + 1 });
    await file.catch(() => undefined);
  }
}

/** What was taken out for a layer; the last layer that it serves takes it away. */
function takenFor({ taken }: Opened, src: string): Promise<Buffer> | undefined {
  const found = taken.get(src);
  if (found === undefined) return undefined;
  if (found.uses === 1) taken.delete(src);
  else taken.set(src, { ...found, uses: found.uses - 1 });
  return found.file;
}

export function called(layer: StackLayer): string {
  return layer.name === '' ? `the layer with ${layer.src}` : `layer "${layer.name}" (${layer.src})`;
}

/** Says in a refusal which layer it is about. */
export async function about<Result>(
  file: string,
  layer: string,
  work: () => Promise<Result>,
): Promise<Result> {
  try {
    return await work();
  } catch (error) {
    if (!(error instanceof PlatehandError)) throw error;
    throw new PlatehandError(error.code, `${layer}: ${error.what}`, error.remedy, {
      place: { file },
      cause: error,
    });
  }
}

/** One PNG of the archive row by row; undefined for one that is to be decoded as a whole. */
export async function rowsOf(opened: Opened, layer: StackLayer): Promise<LayerRows | undefined> {
  const { archive, taken, arena } = opened;
  const file = taken.get(layer.src)?.file;
  if (file === undefined) return undefined;
  const tell = <Result>(work: () => Promise<Result>) => about(archive.name, called(layer), work);
  const rows = openPngRows(await tell(() => file), archive.name, arena);
  if (rows === undefined) return undefined;
  void takenFor(opened, layer.src);
  const { width, height, model, alpha } = rows;
  return {
    ...{ width, height, model, alpha },
    next: (count, into) => tell(() => rows.next(count, into)),
    end: () => tell(() => rows.end()),
    close: () => rows.close(),
  };
}

/** Decodes one PNG of the archive to rgb with alpha; grey and palettes are widened, 16 bit is kept. */
export function decodeEntry(opened: Opened, entry: Entry, layer: StackLayer): Promise<Raster> {
  const { archive, limits } = opened;
  return about(archive.name, called(layer), async () => {
    const bytes = await (takenFor(opened, layer.src) ?? readEntry(archive, entry));
    const source = bufferSource(bytes, archive.name);
    const head = await describePng(source);
    checkPictureSize({ ...head, model: 'rgb', alpha: true }, limits, archive.name);
    await checkPngEnd(source);
    const deep = head.bits === 16;
    const request: DecodeRequest = {
      input: bytes,
      name: archive.name,
      space: deep ? 'rgb16' : 'srgb',
      bits: deep ? 16 : 8,
      turnUpright: false,
      ensureAlpha: true,
      isTiff: false,
      maxPixels: limits.maxPixels,
    };
    const { width, height, channels, data } = await decodeSamples(request, opened.arena);
    if (channels !== 4 || width !== head.width || height !== head.height) {
      throw damaged(archive.name, 'its pixels are not what its header promises');
    }
    return { width, height, model: 'rgb', alpha: true, data };
  });
}
