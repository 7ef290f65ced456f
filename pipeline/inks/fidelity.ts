import { ciede2000 } from '../../config/press/ciede2000.js';
import type { PrintSpec } from '../../config/print-spec.js';
import { pxToMm } from '../../config/units.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Fidelity } from '../model/fidelity.js';
import { channelsOf, gathered, type Plate, type Raster } from '../model/raster.js';
import { type ProcessPlanes, processPlanes, type Separation } from '../model/separation.js';
import { samplePage } from './fidelity-sample.js';
import { Differences, WorstPlaces } from './fidelity-sums.js';
import type { Separator } from './separator.js';
import { labAt, type PageLooks, unpaintedEdges } from './unpainted-edges.js';

/** A page as it prints, and what it is held against. */
export interface PrintedPage {
  /** What was separated: beneath the line the colour there, the page as painted elsewhere; undefined for line alone. */
  readonly colour: Raster | undefined;
  /** The page as painted, line included; undefined where it is the colour with the line over it. */
  readonly painted: Raster | undefined;
  readonly profile: Uint8Array | undefined;
  readonly coverage: Plate | undefined;
  /** The process plates, over which the line plate prints. */
  readonly plates: Separation;
  readonly composite: Separation;
}

/**
 * Compares what prints with what was painted. Wanted is the page as painted through the press condition, with the same intent,
 * compensation and ink limit; what prints is the composite, or the plates with the line plate over them where these differ.
 * @returns undefined for colour that came as CMYK, whose numbers stand
 */
export function measureFidelity(
  page: PrintedPage,
  spec: Pick<PrintSpec, 'colourPpi' | 'bleedMm' | 'fidelity'>,
  separator: Separator,
  arena: PageArena,
): Fidelity | undefined {
  if (page.colour?.model === 'cmyk') return undefined;
  const { width, height } = page.composite;
  const sample = samplePage({ width, height }, page.coverage, page.colour, page.painted, arena);
  const lookAt = (pixels: Int32Array) => looksAt(page, pixels, separator, arena);
  const looks = lookAt(sample.pixels);
  const [line, rest] = [new Differences(), new Differences()];
  const places = new WorstPlaces(spec, width);
  for (const [n, pixel] of sample.pixels.entries()) {
    const de = looks.isSame(n) ? 0 : differenceAt(looks, n);
    (sample.isLine[n] === 1 ? line : rest).add(de, sample.weights[n]);
    if (sample.isLine[n] === 0) places.add(pixel, de, sample.weights[n]);
  }
  const edges = { pixels: 0, mostDe: 0 };
  for (const { at, step } of unpaintedEdges(sample.pixels, looks, page, lookAt, spec.fidelity.edgeDe)) {
    edges.pixels += sample.weights[at];
    edges.mostDe = Math.max(edges.mostDe, step);
    places.add(sample.pixels[at], step, sample.weights[at]);
  }
  return {
    line: line.isEmpty ? undefined : line.summary(),
    rest: rest.summary(),
    edges: { lengthMm: pxToMm(edges.pixels, spec.colourPpi), mostDe: edges.mostDe },
    places: places.worst(),
  };
}

/** CIEDE2000 between paint and print at some pixels, by index. @param page with its painted picture */
export function differencesAt(
  page: PrintedPage,
  pixels: Int32Array,
  separator: Separator,
  arena: PageArena,
): Float32Array {
  const looks = looksAt(page, pixels, separator, arena);
  return Float32Array.from(pixels, (_, n) => (looks.isSame(n) ? 0 : differenceAt(looks, n)));
}

/** How some pixels of a page were painted, and how they print. */
function looksAt(page: PrintedPage, pixels: Int32Array, separator: Separator, arena: PageArena): PageLooks {
  const wanted = processPlanes(separator.separate(wantedAt(page, pixels), page.profile, arena).separation);
  const printed = printedAt(page, pixels, wanted);
  return {
    wanted: separator.labOf(wanted),
    printed: separator.labOf(printed),
    isSame: (n) => wanted.every((plane, ink) => plane[n] === printed[ink][n]),
  };
}

/** The page as painted at some pixels, as a picture of one row. */
function wantedAt({ painted, colour, coverage }: PrintedPage, asked: Int32Array): Raster {
  if (painted !== undefined) return gathered(painted, asked);
  const paper: Raster = {
    width: asked.length,
    height: 1,
    model: 'grey',
    alpha: false,
    data: new Uint8Array(asked.length),
  };
  const beneath = colour === undefined ? { ...paper, data: paper.data.fill(255) } : gathered(colour, asked);
  if (coverage === undefined) return beneath;
  const { data } = beneath;
  const channels = channelsOf(beneath);
  for (let n = 0, at = 0; n < asked.length; n++) {
    const shown = 255 - coverage.data[asked[n]];
    for (let c = 0; c < channels; c++, at++) data[at] = Math.round((data[at] * shown) / 255);
  }
  return beneath;
}

/** Inks that differ by no more than rounding are the same. */
const roundingCounts = 1;

/** What prints at some pixels: the composite, or the plates with line over them where their black is further from what is wanted. */
function printedAt(
  { composite, plates, coverage }: PrintedPage,
  asked: Int32Array,
  wanted: ProcessPlanes,
): ProcessPlanes {
  const at = (plane: Uint8Array) => {
    const picked = new Uint8Array(asked.length);
    for (let n = 0; n < asked.length; n++) picked[n] = plane[asked[n]];
    return picked;
  };
  const [cyan, magenta, yellow, black] = processPlanes(composite).map(at);
  const plate = at(processPlanes(plates)[3]);
  for (let n = 0; n < asked.length && coverage !== undefined; n++) {
    const over = Math.round(plate[n] + ((255 - plate[n]) * coverage.data[asked[n]]) / 255);
    if (Math.abs(over - black[n]) <= roundingCounts) continue;
    if (Math.abs(over - wanted[3][n]) > Math.abs(black[n] - wanted[3][n])) black[n] = over;
  }
  return [cyan, magenta, yellow, black];
}

function differenceAt({ wanted, printed }: PageLooks, n: number): number {
  return ciede2000(labAt(wanted, n), labAt(printed, n));
}
