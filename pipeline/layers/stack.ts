import { PlatehandError } from '../../config/errors.js';
import type { Part } from '../../config/job.js';
import type { PageBox, PrintSpec } from '../../config/print-spec.js';
import type { SizePx } from '../../config/units.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Noticed } from '../model/findings.js';
import type { Raster, RasterInPieces } from '../model/raster.js';
import type { Layer, LayeredPicture, LayerGroup, WorkingPicture } from '../model/working-page.js';
import { planFit } from '../sizes/plan-fit.js';
import { fitRaster } from '../sizes/resample.js';
import { type Entry, insert, lineTwice, withoutLine } from './own-line.js';
import { unpaint } from './painted-parts.js';
import { notOpaquePercent } from './paper.js';
import { inPieces, wholeOfPieces } from './pieces.js';
import { movedBy } from './same-page.js';

/**
 * The pictures of one page by part; `colour` also holds a page that came as one whole file. Not read-only: whoever lays
 * them on each other takes them out, so that each lives no longer than it is needed.
 */
export interface Parts {
  colour: WorkingPicture | undefined;
  line: WorkingPicture | undefined;
  lettering: WorkingPicture | undefined;
}

/** Parts laid on each other like layers, ready to be flattened. */
export interface Stack extends LayeredPicture {
  /** Share of the line that a colour part prints instead, in percent of its area. */
  readonly unpaintedPercent: number;
  /** Part of the layers that stand for whole files, by layer name. */
  readonly roles: ReadonlyMap<string, Part>;
}

type Base = SizePx & Pick<WorkingPicture, 'ppi'>;

/**
 * Lays the parts of a page on each other: colour at the bottom, line above it, lettering on top. In an OpenRaster
 * colour part, a line file takes the place of the line layers, or lies right beneath the lettering.
 * Flat parts of another pixel size are brought to the size of the colour layers, or of the larger of two flat parts.
 * @param parts used up: the stack holds the pictures from here on
 * @throws PlatehandError `picture-unsupported` for parts of different shapes, layers of another size than the page has, or
 *   colour on CMYK
 */
export async function stackOf(
  parts: Parts,
  partOf: (name: string) => Part | undefined,
  spec: PageBox & Pick<PrintSpec, 'line' | 'support'>,
  arena: PageArena,
): Promise<Stack> {
  const base = baseOf(parts.colour ?? parts.lettering, parts.line);
  const placer = placerOnto(base, spec);
  const roles = new Map<string, Part>();
  const profile = profileOf(parts);
  const noticed: Noticed[] = [];
  const above = await letteringEntries(parts, placer);
  if (above.entries.length > 0) await arena.reclaim.pictures(base.width * base.height * 4);
  const unpaintedPercent = await unpaint(parts, spec, arena);
  if (unpaintedPercent !== undefined) await arena.reclaim.pictures(base.width * base.height * 3);
  const { colour, line } = parts;
  let entries: Entry[] = [];
  if (colour !== undefined) entries = await colourEntries(colour, placer);
  if (line !== undefined) {
    roles.set('line', 'line');
    const rest = withoutLine(entries, partOf);
    if (rest.removed) noticed.push(lineTwice());
    entries = insert(rest.entries, await entryOf(line, 'line', blendOf(line), placer), rest.at, partOf);
  }
  if (above.entries.length > 0) roles.set('lettering', 'lettering');
  for (const one of [colour, line, above]) noticed.push(...(one?.noticed ?? []));
  Object.assign(parts, { colour: undefined, line: undefined });
  return {
    kind: 'layered',
    format: 'openraster',
    width: base.width,
    height: base.height,
    ppi: base.ppi,
    profile,
    noticed,
    root: group('page', [...above.entries, ...entries]),
    roles,
    unpaintedPercent: unpaintedPercent ?? 0,
  };
}

/**
 * The lettering as it lies on top. It comes first: most of it is empty, and in pieces it takes a tenth of its memory while the
 * rest of the page is laid.
 */
async function letteringEntries(
  parts: Parts,
  placer: Placer,
): Promise<{ entries: Entry[]; noticed: readonly Noticed[] }> {
  const { lettering } = parts;
  if (lettering === undefined) return { entries: [], noticed: [] };
  parts.lettering = undefined;
  const entry = await entryOf(lettering, 'lettering', blendOf(lettering), placer);
  if (entry.kind === 'group') return { entries: [entry], noticed: lettering.noticed };
  const raster = await entry.pixels();
  const pieces = inPieces(raster);
  const pixels = pieces === undefined ? { pixels: givenAway(raster) } : fromPieces(pieces);
  return { entries: [{ ...entry, ...pixels }], noticed: lettering.noticed };
}

function fromPieces(pieces: RasterInPieces): Pick<Layer, 'pixels' | 'pieces'> {
  return { pixels: async () => wholeOfPieces(pieces), pieces: async () => pieces };
}

/** Size and resolution of the largest part: without its picture, which is given up before the stack is complete. */
function baseOf(lowest: WorkingPicture | undefined, line: WorkingPicture | undefined): Base {
  const base = lowest ?? line;
  if (base === undefined) throw new Error('a stack needs a part');
  const isLineLarger = base.kind !== 'layered' && line !== undefined && line.width > base.width;
  const { width, height, ppi } = isLineLarger ? line : base;
  return { width, height, ppi };
}

function group(
  name: string,
  children: readonly Entry[],
  blend: LayerGroup['blend'] = 'src-over',
): LayerGroup {
  return { kind: 'group', name, opacity: 1, visible: true, blend, isolated: true, children };
}

/** The profile of what brings colour: the colour part, or without one the line and lettering in colour. */
function profileOf({ colour, line, lettering }: Parts): Uint8Array | undefined {
  if (colour !== undefined) return colour.profile;
  const coloured = [line, lettering].find((part) => part?.kind === 'layered' || part?.raster.model === 'rgb');
  return coloured?.profile;
}

/** What brings a part to the pixels of the base picture. */
interface Placer {
  readonly base: Base;
  place(raster: Raster, picture: WorkingPicture): Promise<{ raster: Raster; x: number; y: number }>;
  /** How far layers have to be moved; undefined where the page has another size in them. */
  move(picture: LayeredPicture): { x: number; y: number } | undefined;
}

/** Brings a part to the pixels of the base picture, without stretching: both are cut to trim plus bleed. */
function placerOnto(base: Base, spec: PageBox): Placer {
  const move: Placer['move'] = (picture) => {
    if (picture.width === base.width && picture.height === base.height) return { x: 0, y: 0 };
    const onto = planFit(base, spec, 'mm').plan?.crop;
    const from = planFit(picture, spec, 'mm').plan?.crop;
    if (onto === undefined || from?.width !== onto.width || from.height !== onto.height) return undefined;
    return { x: onto.left - from.left, y: onto.top - from.top };
  };
  const place: Placer['place'] = async (raster, picture) => {
    if (raster.width === base.width && raster.height === base.height) return { raster, x: 0, y: 0 };
    const onto = planFit(base, spec, 'mm').plan;
    const from = planFit(picture, spec, 'mm').plan;
    if (onto === undefined || from === undefined) throw differingParts(base, picture);
    const { left, top, width, height } = onto.crop;
    return { raster: await fitRaster(raster, from, { width, height }), x: left, y: top };
  };
  return { base, place, move };
}

/**
 * How a part above the colour is laid on it: what is transparent somewhere covers with what it shows; white paper all
 * over, with or without an alpha channel, must not cover the page.
 */
function blendOf(part: WorkingPicture): 'src-over' | 'multiply' {
  return part.kind === 'flat' && notOpaquePercent(part.raster) === 0 ? 'multiply' : 'src-over';
}

async function colourEntries(colour: WorkingPicture, placer: Placer): Promise<Entry[]> {
  if (colour.kind === 'layered') return [...colour.root.children];
  return [await entryOf(colour, 'colour', 'src-over', placer)];
}

async function entryOf(
  picture: WorkingPicture,
  name: string,
  blend: 'src-over' | 'multiply',
  { base, place, move }: Placer,
): Promise<Entry> {
  if (picture.kind === 'layered') {
    const by = move(picture);
    if (by === undefined) throw differingLayers(base, picture);
    return movedBy(group(name, picture.root.children, blend), by.x, by.y);
  }
  const { raster, x, y } = await place(picture.raster, picture);
  if (raster.model === 'cmyk') throw cmykStack();
  return { kind: 'layer', name, opacity: 1, visible: true, blend, x, y, pixels: givenAway(raster) };
}

/** Pixels that are there until they are asked for: they are laid once, and take their memory no longer than that. */
function givenAway(raster: Raster): Layer['pixels'] {
  let left: Raster | undefined = raster;
  return async () => {
    const given = left;
    left = undefined;
    if (given === undefined) throw new Error('a layer was laid twice');
    return given;
  };
}

function differingParts(base: SizePx, picture: SizePx): PlatehandError {
  return new PlatehandError(
    'picture-unsupported',
    `The parts of the page do not have the same shape (${base.width} x ${base.height} and ${picture.width} x ${picture.height} px)`,
    'Export all parts of the page from the same canvas.',
  );
}

/** Layers may blend with what lies beneath them, so they cannot be made smaller one by one and stay the same picture. */
function differingLayers(base: SizePx, picture: SizePx): PlatehandError {
  return new PlatehandError(
    'picture-unsupported',
    `The layers are of another size than the page (${picture.width} x ${picture.height} px on ${base.width} x ${base.height} px)`,
    'Export the layers from the canvas of the page, or as one flat TIFF or PNG, which is brought to its size.',
  );
}

function cmykStack(): PlatehandError {
  return new PlatehandError(
    'picture-unsupported',
    'A CMYK colour part cannot be combined with lettering in colour or with coloured line',
    'Drop the colour part as RGB, or the lettering and the line in black only.',
  );
}
