import { bleedBoxPx, type PrintSpec } from '../config/print-spec.js';
import { mmToPx } from '../config/units.js';
import { noticeCleaned } from './checks/specks.js';
import type { KernelMemory } from './kernels/kernel-memory.js';
import type { ArtFacts } from './layers/page-art.js';
import { findSpecks, type Speck, withoutSpecks } from './line-faults/specks.js';
import type { PageRequest } from './model/page-request.js';
import { type Bitmap, channelsOf, maxOf, type Raster } from './model/raster.js';
import type { ReadPage } from './read.js';
import type { RegisteredPage } from './register.js';
import { planFit } from './sizes/plan-fit.js';

/** What was cleaned off a line plate, and the plate before it. */
export interface CleanedLine {
  readonly before: Bitmap;
  /** In reading order, in pixels of the plate. */
  readonly specks: readonly Speck[];
}

/** A page whose line was cleaned, if its job asks for that. */
export interface CleanPage extends RegisteredPage {
  /** undefined where nothing was removed. */
  readonly cleaned: CleanedLine | undefined;
}

/** Squares of a page that lettering lies in, row by row. */
export interface LetteringCells {
  readonly columns: number;
  readonly cells: Uint8Array;
}

/** Side of such a square, in millimetres: a speck is safe in it and in those around it. Own choice. */
const cellMm = 1;

/** Pixels of lettering darker than this share of white show, and those that cover more than this. */
const shownShare = 0.1;

/**
 * Where lettering lies that came in a file of its own, before it is laid on the page.
 * @returns undefined for a page that is not to be cleaned, or that has no such lettering. Lettering in layers has no measures of its
 * own: what is small enough for a speck stands next to its letters there too.
 */
export function letteringCells(
  { parts }: Pick<ReadPage, 'parts'>,
  { page }: Pick<PageRequest, 'page'>,
): LetteringCells | undefined {
  const lettering = parts?.lettering;
  if (page.clean === 'off' || lettering?.kind !== 'flat') return undefined;
  const { plan } = planFit(lettering, page.spec, 'mm');
  return plan === undefined ? undefined : cellsOf(lettering.raster, plan.crop, page.spec);
}

function cellsOf(
  raster: Raster,
  crop: { left: number; top: number; width: number },
  spec: PrintSpec,
): LetteringCells {
  const { width, height, data, alpha } = raster;
  const size = bleedBoxPx(spec, spec.linePpi);
  const perCell = (mmToPx(cellMm, spec.linePpi) * crop.width) / size.width;
  const columns = Math.ceil(crop.width / perCell) + 1;
  const cells = new Uint8Array(columns * (Math.ceil(height / perCell) + 1));
  const channels = channelsOf(raster);
  const least = shownShare * maxOf(raster);
  for (let y = Math.max(0, crop.top); y < height; y++) {
    const row = Math.floor((y - crop.top) / perCell) * columns;
    for (
      let x = Math.max(0, crop.left), i = (y * width + x) * channels;
      x < crop.left + crop.width;
      x++, i += channels
    ) {
      const shows = alpha ? data[i + channels - 1] > least : isInked(raster, i, channels, least);
      if (shows) cells[row + Math.floor((x - crop.left) / perCell)] = 1;
    }
  }
  return { columns, cells };
}

/** Whether any channel of an opaque pixel is off white, which is no ink in CMYK. */
function isInked({ data, model }: Raster, at: number, channels: number, least: number): boolean {
  const white = model === 'cmyk' ? 0 : data instanceof Uint8Array ? 255 : 65535;
  for (let channel = 0; channel < channels; channel++) {
    if (Math.abs(data[at + channel] - white) > least) return true;
  }
  return false;
}

/**
 * Removes specks from the line of a page that asks for it (`clean: specks`), and says so. Line that was lifted from a picture keeps
 * the picture's own, and lettering all of its dots.
 * @param lettering where it lies, as far as it came in a file of its own
 */
export function cleanLine(
  registered: RegisteredPage,
  {
    art,
    lettering,
  }: { readonly art: Pick<ArtFacts, 'lifted'>; readonly lettering: LetteringCells | undefined },
  { page: { spec, clean } }: Pick<PageRequest, 'page'>,
  memory: KernelMemory,
): CleanPage {
  if (clean === 'off' || art.lifted || registered.line === undefined)
    return { ...registered, cleaned: undefined };
  const { line: before } = registered;
  const found = findSpecks(before, 'ink', spec.checks.speckMm, spec.linePpi, memory);
  const specks = found.filter((speck) => !isNear(speck, lettering, spec.linePpi));
  if (specks.length === 0) return { ...registered, line: before, cleaned: undefined };
  return {
    ...registered,
    line: withoutSpecks(before, specks),
    cleaned: { before, specks },
    noticed: [...registered.noticed, ...noticeCleaned(specks, { size: before, spec })],
  };
}

function isNear({ left, top }: Speck, lettering: LetteringCells | undefined, ppi: number): boolean {
  if (lettering === undefined) return false;
  const { columns, cells } = lettering;
  const [column, row] = [left, top].map((px) => Math.floor(px / mmToPx(cellMm, ppi)));
  for (let y = row - 1; y <= row + 1; y++) {
    for (let x = Math.max(0, column - 1); x <= column + 1; x++) if (cells[y * columns + x] === 1) return true;
  }
  return false;
}
