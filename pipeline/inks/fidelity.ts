import { ciede2000 } from '../../config/press/ciede2000.js';
import type { PrintSpec } from '../../config/print-spec.js';
import { pxToMm } from '../../config/units.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Fidelity } from '../model/fidelity.js';
import { channelsOf, gathered, type Plate, type Raster } from '../model/raster.js';
import { type ProcessPlanes, processPlanes, type Separation } from '../model/separation.js';
import { type FidelitySample, samplePage } from './fidelity-sample.js';
import { Differences, WorstPlaces } from './fidelity-sums.js';
import type { Separator } from './separator.js';

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

/** Steps of the page as painted from which on it is not smooth any more, in CIELAB units: own choice. */
const smoothStep = 3;

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
  const asked = withNeighbours(sample.pixels, width, height);
  const wanted = processPlanes(separator.separate(wantedAt(page, asked), page.profile, arena).separation);
  const printed = printedAt(page, asked, wanted);
  const looks = { wanted: separator.labOf(wanted), printed: separator.labOf(printed) };
  const [line, rest] = [new Differences(), new Differences()];
  const places = new WorstPlaces(spec, width);
  const edges = { pixels: 0, mostDe: 0 };
  for (let n = 0; n < sample.pixels.length; n++) {
    const de = isSame(wanted, printed, 3 * n) ? 0 : differenceAt(looks, 3 * n);
    (sample.isLine[n] === 1 ? line : rest).add(de, sample.weights[n]);
    if (sample.isLine[n] === 0) places.add(sample.pixels[n], de, sample.weights[n]);
    for (const near of [3 * n + 1, 3 * n + 2]) {
      if (isLineOnPurpose(page.coverage, asked[3 * n], asked[near])) continue;
      const step = unpaintedStep(looks, 3 * n, near);
      if (step <= spec.fidelity.edgeDe) continue;
      edges.pixels += sample.weights[n];
      edges.mostDe = Math.max(edges.mostDe, step);
      places.add(sample.pixels[n], step, sample.weights[n]);
    }
  }
  return {
    line: line.isEmpty ? undefined : line.summary(),
    rest: rest.summary(),
    edges: { lengthMm: pxToMm(edges.pixels, spec.colourPpi), mostDe: edges.mostDe },
    places: places.worst(),
  };
}

/** Each pixel with its neighbour to the right and the one below; at the edge of the page it is its own. */
function withNeighbours(pixels: FidelitySample['pixels'], width: number, height: number): Int32Array {
  const asked = new Int32Array(pixels.length * 3);
  for (const [n, i] of pixels.entries()) {
    asked[3 * n] = i;
    asked[3 * n + 1] = (i + 1) % width === 0 ? i : i + 1;
    asked[3 * n + 2] = i + width < width * height ? i + width : i;
  }
  return asked;
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

function isSame(wanted: ProcessPlanes, printed: ProcessPlanes, n: number): boolean {
  return wanted.every((plane, ink) => plane[n] === printed[ink][n]);
}

interface Looks {
  readonly wanted: Float32Array;
  readonly printed: Float32Array;
}

function differenceAt({ wanted, printed }: Looks, n: number): number {
  return ciede2000(labAt(wanted, n), labAt(printed, n));
}

function labAt(lab: Float32Array, n: number): [number, number, number] {
  return [lab[3 * n], lab[3 * n + 1], lab[3 * n + 2]];
}

/** Black over all of both pixels has whatever lies beneath it on purpose, and its soft edge is the line's own. */
function isLineOnPurpose(coverage: Plate | undefined, one: number, other: number): boolean {
  if (one === other) return true;
  if (coverage === undefined) return false;
  const [first, second] = [coverage.data[one], coverage.data[other]];
  return (first === 255 && second === 255) || first % 255 !== 0 || second % 255 !== 0;
}

/** By how much two neighbours differ more in print than as painted, where the page is smooth; 0 elsewhere. */
function unpaintedStep({ wanted, printed }: Looks, one: number, other: number): number {
  const asked = distance(wanted, one, other);
  if (asked > smoothStep || distance(printed, one, other) <= asked) return 0;
  const step = ciede2000(labAt(printed, one), labAt(printed, other));
  return step - ciede2000(labAt(wanted, one), labAt(wanted, other));
}

/** In CIELAB (CIE 1976). */
function distance(lab: Float32Array, one: number, other: number): number {
  const [i, j] = [3 * one, 3 * other];
  const [l, a, b] = [lab[i] - lab[j], lab[i + 1] - lab[j + 1], lab[i + 2] - lab[j + 2]];
  return Math.sqrt(l * l + a * a + b * b);
}
