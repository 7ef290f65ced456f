import { PlatehandError } from '../../config/errors.js';
import { figureBeside } from '../../config/figures.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Noticed } from '../model/findings.js';
import type { Raster } from '../model/raster.js';
import type { Layer, LayeredPicture, LayerGroup } from '../model/working-page.js';
import { damaged, unsupported } from './byte-source.js';
import { type Archive, listArchive, readEntry, withEntryHead } from './openraster-archive.js';
import { commonProfile, shownSources, statedDayOf } from './openraster-layers.js';
import { about, called, decodeEntry, type Opened, rowsOf, takeShown } from './openraster-pixels.js';
import { parseStack, type StackGroup, type StackLayer, stackLimits } from './openraster-stack.js';
import { describePng, pngSignature } from './png-picture.js';
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

/**
 * Reads the layer tree of an OpenRaster file and the header of every layer's picture. Pixels are decoded later, layer
 * by layer. Where the file's content is given, it stays in the arena beyond the scope, until it is given up.
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
  const { input } = file;
  if (typeof input !== 'string') {
    arena.keep(input);
    await takeShown(opened, stack.root);
  }
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
    giveUp: () => {
      if (typeof input !== 'string') arena.free(input);
    },
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
  const rows = () => rowsOf(opened, layer);
  return { kind: 'layer', name, opacity, visible, blend, x, y, pixels, rows };
}
