import type { Entry } from 'yauzl';
import { PlatehandError } from '../../config/errors.js';
import { figureBeside } from '../../config/figures.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Noticed } from '../model/findings.js';
import type { Raster } from '../model/raster.js';
import type { Layer, LayeredPicture, LayerGroup } from '../model/working-page.js';
import { bufferSource, damaged, unsupported } from './byte-source.js';
import { type DecodeRequest, decodeSamples } from './decode-picture.js';
import { type Archive, listArchive, readEntry, withEntryHead } from './openraster-archive.js';
import { commonProfile, shownSources, statedDayOf } from './openraster-layers.js';
import { parseStack, type StackGroup, type StackLayer, stackLimits } from './openraster-stack.js';
import { checkPngEnd, describePng, pngSignature } from './png-picture.js';
import { checkPictureSize, type ReadLimits } from './read-limits.js';
import type { StoredPicture } from './stored-picture.js';

/** An OpenRaster file, as `read` hands it on. */
export interface LayeredFile {
  /** Its content, or its path where it is too large to be held. */
  readonly input: string | Buffer;
  readonly name: string;
  readonly picture: number | undefined;
  readonly limits: ReadLimits;
}

/** A file taken out of the archive, and how many layers are still to be decoded from it. */
interface TakenFile {
  readonly file: Promise<Buffer>;
  readonly uses: number;
}

/** An OpenRaster file being read, and the headers of the pictures its layers name. */
interface Opened {
  readonly archive: Archive;
  readonly limits: ReadLimits;
  readonly arena: PageArena;
  readonly heads: Map<string, StoredPicture>;
  /** Files of layers that are seen, by name, taken out of a content that may be gone when they are decoded. */
  readonly taken: Map<string, TakenFile>;
}

/**
 * Reads the layer tree of an OpenRaster file and the header of every layer's picture. Pixels are decoded later, layer
 * by layer. Where the file's content is given, it is needed no longer after this, but for layers that are hidden.
 * Source: OpenRaster file layout and layer stack specifications, github.com/openraster/ora-spec, baseline.
 * @throws PlatehandError `archive-unsafe`, `picture-unreadable`, `picture-unsupported`, `picture-too-large`
 */
export async function readOpenRaster(file: LayeredFile, arena: PageArena): Promise<LayeredPicture> {
  if (file.picture !== undefined && file.picture !== 1) {
    throw unsupported(
      file.name,
      `it holds one picture, and job.yaml asks for picture ${file.picture}`,
      'Leave out picture for this file in job.yaml',
    );
  }
  const archive = await listArchive(file.input, file.name, file.limits);
  const mimetype = await checkMimetype(archive);
  const stack = parseStack(await readStack(archive), file.name);
  checkPictureSize({ ...stack, model: 'rgb', alpha: true, bits: 8 }, file.limits, file.name);
  const opened: Opened = { archive, limits: file.limits, arena, heads: new Map(), taken: new Map() };
  await describeLayers(opened, stack.root);
  checkLayerPixels(opened, stack.root);
  if (typeof file.input !== 'string') await takeShown(opened, stack.root);
  const profile = commonProfile(opened, stack.root);
  return {
    kind: 'layered',
    format: 'openraster',
    width: stack.width,
    height: stack.height,
    ppi: stack.ppi,
    statedDay: statedDayOf(opened, stack.root),
    profile: profile.profile,
    noticed: [...mimetype, ...stack.noticed, ...profile.noticed],
    root: groupOf(opened, stack.root),
  };
}

/** `mimetype` comes first, stored, exactly these 16 bytes (file layout specification). */
async function checkMimetype(archive: Archive): Promise<Noticed[]> {
  const entry = archive.entries.get('mimetype');
  if (entry === undefined) {
    throw unsupported(
      archive.name,
      'it is a ZIP archive without the "mimetype" that marks an OpenRaster file',
      'Save the page as OpenRaster, TIFF, PNG or JPEG',
    );
  }
  const expected = 'image/openraster';
  const exact =
    entry.uncompressedSize === expected.length &&
    (await readEntry(archive, entry)).equals(Buffer.from(expected));
  if (exact && entry.relativeOffsetOfLocalHeader === 0 && entry.compressionMethod === 0) return [];
  return [
    {
      code: 'openraster-mimetype',
      severity: 'warn',
      message: exact
        ? 'Its "mimetype" is not the first entry, stored unpacked, as the format asks'
        : 'Its "mimetype" does not read "image/openraster"; the rest was read as OpenRaster',
      source: 'OpenRaster file layout specification',
      remedy: 'Look at the proof; if it is right, only other programs will mind',
    },
  ];
}

async function readStack(archive: Archive): Promise<Buffer> {
  const entry = archive.entries.get('stack.xml');
  if (entry === undefined)
    throw damaged(archive.name, 'the archive holds no stack.xml, the list of its layers');
  if (entry.uncompressedSize <= stackLimits.bytes) return readEntry(archive, entry);
  throw new PlatehandError(
    'archive-unsafe',
    `stack.xml has ${entry.uncompressedSize} bytes, more than the ${stackLimits.bytes} that are taken in`,
    'Save the page again, with fewer layers or as TIFF',
    { place: { file: archive.name } },
  );
}

async function describeLayers(opened: Opened, group: StackGroup): Promise<void> {
  for (const child of group.children) {
    if (child.kind === 'group') await describeLayers(opened, child);
    else if (!opened.heads.has(child.src)) opened.heads.set(child.src, await describeLayer(opened, child));
  }
}

/** Each layer by itself may be small enough: decoding all of them is what the page costs. */
function checkLayerPixels({ archive, limits, heads }: Opened, root: StackGroup): void {
  const pixels = shownSources(root).reduce((sum, src) => {
    const head = heads.get(src);
    return sum + (head === undefined ? 0 : head.width * head.height);
  }, 0);
  if (pixels <= limits.maxLayerPixels) return;
  const mostMp = Math.round(limits.maxLayerPixels / 1e6);
  throw new PlatehandError(
    'picture-too-large',
    `its layers have ${figureBeside(pixels / 1e6, mostMp, 0)} megapixels together, more than the ${mostMp} that are taken in`,
    'Merge layers that belong together, or save the page as TIFF',
    { place: { file: archive.name } },
  );
}

function describeLayer(opened: Opened, layer: StackLayer): Promise<StoredPicture> {
  const { archive, limits } = opened;
  const entry = archive.entries.get(layer.src);
  return about(archive.name, called(layer), async () => {
    if (entry === undefined) throw damaged(archive.name, 'the archive holds no such picture');
    return withEntryHead(archive, entry, async (source) => {
      const signature = await source.read(0, Math.min(source.size, pngSignature.length));
      if (!signature.equals(pngSignature)) {
        throw unsupported(archive.name, 'its picture is no PNG', 'Save the page again, or save it as TIFF');
      }
      const head = await describePng(source);
      checkPictureSize({ ...head, model: 'rgb', alpha: true }, limits, archive.name);
      return head;
    });
  });
}

/** Takes the files of the layers that are seen out of the archive. What is wrong with one is told when it is decoded. */
async function takeShown({ archive, taken }: Opened, root: StackGroup): Promise<void> {
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

function called(layer: StackLayer): string {
  return layer.name === '' ? `the layer with ${layer.src}` : `layer "${layer.name}" (${layer.src})`;
}

/** Says in a refusal which layer it is about. */
async function about<Result>(file: string, layer: string, work: () => Promise<Result>): Promise<Result> {
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

function groupOf(opened: Opened, group: StackGroup): LayerGroup {
  const { name, opacity, visible, blend, isolated } = group;
  const children = group.children.map((child) =>
    child.kind === 'group' ? groupOf(opened, child) : layerOf(opened, child),
  );
  return { kind: 'group', name, opacity, visible, blend, isolated, children };
}

function layerOf(opened: Opened, layer: StackLayer): Layer {
  const { name, opacity, visible, blend, x, y, src } = layer;
  const entry = opened.archive.entries.get(src);
  const pixels = async (): Promise<Raster> => {
    if (entry === undefined) throw damaged(opened.archive.name, `the archive holds no ${src}`);
    return decodeEntry(opened, entry, layer);
  };
  return { kind: 'layer', name, opacity, visible, blend, x, y, pixels };
}

/** Decodes one PNG of the archive to rgb with alpha; grey and palettes are widened, 16 bit is kept. */
function decodeEntry(opened: Opened, entry: Entry, layer: StackLayer): Promise<Raster> {
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
